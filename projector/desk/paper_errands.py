"""A job written beside its file for the printer and for other programs, while she works on."""

from __future__ import annotations

import os
import time
from dataclasses import dataclass
from datetime import datetime
from multiprocessing.connection import Connection
from pathlib import Path

from calibration.record import Record
from projector.desk.sessions import FAULTS
from projector.desk.work import Work
from projector.files.writing import write_bytes
from projector.job import Job
from projector.job_sheet.content import job_sections
from projector.job_sheet.pdf_pages import pdf_pages
from projector.written_job import written_job

__all__ = ["PAPERS", "Papers", "written_beside"]

PATIENCE = 60.0
"""How long the end of the program waits for what is still being written, seconds."""
PAPERS = {
    "sheet": ("Job sheet", "PDF: body, plan, pieces, cloth, seams, cutting and sewing order"),
    "pdf": ("Pieces, PDF", "True size, on pages of A4 to be put together; print at 100 %"),
    "dxf": ("Pieces, DXF", "True size, for other programs"),
}


def written_beside(job: Job, record: Record | None, path: Path, what: str) -> str:
    """Write one of `PAPERS` into the folder of the job's file; what was written, in a line.

    Raises `ProjectorError` and `DraftingError` for a job without pieces or that cannot be drafted.
    """
    if what == "sheet":
        told = f"Job sheet, written {datetime.now().astimezone():%Y-%m-%d %H:%M}"
        content = pdf_pages(job.name, told, job_sections(job, record))
        out = path.with_name(f"{path.stem}-sheet.pdf")
        write_bytes(out, content)
        return f"written to {out.name}"
    made = written_job(job, what, "pieces", "A4" if what == "pdf" else "one-page")
    for file in made:
        write_bytes(path.with_name(file.name), file.content)
    if len(made) == 1:
        return f"written to {made[0].name}"
    return f"{len(made)} files written, {made[0].name} to {made[-1].name}"


@dataclass(frozen=True, slots=True)
class Written:
    """What has come of it, in a line, and whether it went well."""

    words: str
    fine: bool = True


def _written(job: Job, record: Record | None, path: Path, what: str, told: Connection) -> None:
    try:
        told.send((f"writing: {PAPERS[what][0]}", 0.0))
        told.send(Written(written_beside(job, record, path, what)))
    except (*FAULTS, OSError) as error:
        # The folder is known; its path would fill the line.
        told.send(Written(str(error).replace(f"{path.parent}{os.sep}", ""), False))
    finally:
        told.close()


class Papers:
    """What is being written, one after the other, in a process of its own."""

    def __init__(self) -> None:
        self._writing = Work()
        self._waiting: list[tuple[Job, Record | None, Path, str]] = []

    @property
    def busy(self) -> bool:
        """Whether something is being written."""
        return self._writing.progress is not None

    def write(self, job: Job, record: Record | None, path: Path, what: str) -> None:
        """Write one of `PAPERS` of a job as it is now."""
        self._waiting.append((job, record, path, what))
        self._next()

    def news(self) -> Written | None:
        """What was written, or why nothing was; None before that."""
        told = self._writing.poll() if self.busy else None
        self._next()
        if isinstance(told, str):
            return Written(told, False)
        return told if isinstance(told, Written) else None

    def end(self) -> None:
        """Wait for what is still being written, but not for ever."""
        until = time.monotonic() + PATIENCE
        while self.busy and time.monotonic() < until:
            time.sleep(0.02)
            self.news()
        self._writing.stop()
        self._waiting.clear()

    def _next(self) -> None:
        if self._waiting and not self.busy:
            self._writing.begin(_written, *self._waiting.pop(0))
