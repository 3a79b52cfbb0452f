"""Photographs looked at for corners, and the map found in them; each is `work` in a process."""

from __future__ import annotations

from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

from calibration.errors import CalibrationError
from calibration.estimate import Missed, joint
from calibration.record import Record
from drafting.finding import Finding
from projector.calibration_findings import camera_record, findings_of
from projector.desk.seeing import Boards, Seen, seen_in, unreadable
from projector.errors import ProjectorError
from projector.photo import read_photo

__all__ = ["TOLERANCE", "Found", "Looked", "Photographs", "calibrated", "looked"]

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


def _seen(path: Path, boards: Boards) -> Seen:
    photo = read_photo(path)
    return seen_in(photo.image, boards, photo.focal_px, path.name)


def looked(photographs: Photographs, told: Connection) -> None:
    """Look for corners in photographs, one after the other; tells a `Looked` of each."""
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


def calibrated(job: Photographs, told: Connection) -> None:
    """Find the map in photographs; tells what is done, then a `Found`, or why there is none."""
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
        told.send(Found(camera_record(found, findings), findings, found.missed))
    except (CalibrationError, ProjectorError, OSError) as error:
        told.send(str(error))
    finally:
        told.close()
