"""A job written beside its file for the printer and for other programs."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from calibration.record import Record
from projector.files.writing import write_bytes
from projector.job import Job
from projector.job_sheet.content import job_sections
from projector.job_sheet.pdf_pages import pdf_pages
from projector.written_job import written_job

__all__ = ["PAPERS", "written_beside"]

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
