"""Work on photographs in a process of its own: looking for corners, and finding the map."""

from __future__ import annotations

import multiprocessing
from dataclasses import dataclass
from datetime import datetime
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import numpy as np

from calibration.errors import CalibrationError
from calibration.estimate import Missed, joint
from calibration.record import Record
from drafting.finding import Finding
from projector.calibration_findings import findings_of
from projector.desk.seeing import Boards, Seen, seen_in, unreadable
from projector.errors import ProjectorError
from projector.photo import read_photo

__all__ = ["Calibrating", "Found", "Looked", "Photographs", "stamp"]

TOLERANCE = 1.0
"""What a cutter is content with, mm; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Photographs:
    """What a calibration by camera goes by; `seen` is what is known of some of them already."""

    paths: tuple[Path, ...]
    boards: Boards
    seen: tuple[tuple[Path, Seen], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Looked:
    """What a photograph shows of these boards."""

    path: Path
    boards: Boards
    seen: Seen


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A map that was found: its record, what to think of it, and what photographs showed."""

    record: Record
    findings: tuple[Finding, ...]
    missed: tuple[Missed, ...] = ()


def stamp() -> str:
    """The date and time, as a record carries it."""
    return datetime.now().astimezone().strftime("%Y-%m-%d %H:%M %z")


def _seen(path: Path, boards: Boards) -> Seen:
    photo = read_photo(path)
    return seen_in(photo.image, boards, photo.focal_px, path.name)


def _looked(photographs: Photographs, told: Connection) -> None:
    try:
        for number, path in enumerate(photographs.paths):
            told.send((f"looking at {path.name}", number / len(photographs.paths)))
            try:
                seen = _seen(path, photographs.boards)
            except (ProjectorError, OSError) as error:
                seen = unreadable(str(error))
            told.send(Looked(path, photographs.boards, seen))
        told.send("")
    except OSError as error:
        told.send(str(error))
    finally:
        told.close()


def _calibrated(job: Photographs, told: Connection) -> None:
    try:
        known, count = dict(job.seen), len(job.paths)
        seen: list[Seen] = []
        for number, path in enumerate(job.paths):
            told.send((f"looking for corners in {path.name}", 0.5 * number / count))
            seen.append(known[path] if path in known else _seen(path, job.boards))
        sights = [each.sight for each in seen if each.sight is not None]
        if not any(sight.references for sight in sights):
            raise CalibrationError(next(each.fault for each in seen if each.fault))
        found = joint(
            sights,
            job.boards.screen_size,
            progress=lambda what, part: told.send((what, 0.5 + 0.5 * part)),
        )
        left_out = tuple(
            Finding("warning", path.name, "left out: the lit board is not found in it",
                    "both boards", "Take it again, or forget it.")
            for path, each in zip(job.paths, seen, strict=True) if each.sight is None
        )  # fmt: skip
        findings = (*left_out, *findings_of(found, sights, TOLERANCE))
        record = Record(
            found.table_map,
            "camera",
            stamp(),
            np.concatenate([part.residuals_px[~part.left_out] for part in found.missed]),
            "px",
            tuple(f"{f.severity}: {f.subject}: {f.measured}" for f in findings),
        )
        told.send(Found(record, findings, found.missed))
    except (CalibrationError, ProjectorError, OSError) as error:
        told.send(str(error))
    finally:
        told.close()


class Calibrating:
    """Work under way in a process: `progress` while it runs, `poll` for what has come of it."""

    def __init__(self) -> None:
        self._process: Any = None
        self._told: Connection | None = None
        self.progress: tuple[str, float] | None = None

    def calibrate(self, photographs: Photographs) -> None:
        """Find the map in photographs."""
        self.begin(_calibrated, photographs)

    def look(self, photographs: Photographs) -> None:
        """Look for corners in photographs, one after the other."""
        self.begin(_looked, photographs)

    def begin(self, work: Any, *given: Any) -> None:
        """Do `work(*given, told)` in a process; it tells what is done, then what came of it."""
        self.stop()
        context = multiprocessing.get_context("spawn")
        self._told, told = context.Pipe(duplex=False)
        self._process = context.Process(target=work, args=(*given, told), daemon=True)
        self._process.start()
        told.close()
        self.progress = ("beginning", 0.0)

    def poll(self) -> Found | Looked | str | None:
        """What has come of it: a map, a photograph looked at, or why it ended; None before that.

        What was looked at comes one by one, and an empty word at the end.
        """
        result: Found | Looked | str | None = None
        while self._told is not None and self._told.poll():
            try:
                news = self._told.recv()
            except (EOFError, OSError):
                self.stop()
                return "the work ended without a result; try again"
            if isinstance(news, tuple):
                self.progress = news
                continue
            result = news
            if isinstance(news, Looked):
                break
            self.stop()
        return result

    def stop(self) -> None:
        """End it, whatever has been done."""
        if self._told is not None:
            self._told.close()
            self._process.terminate()
            self._process.join(2.0)
        self._told, self.progress = None, None
