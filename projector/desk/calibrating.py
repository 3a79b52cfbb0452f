"""A calibration from photographs in a process of its own, and pictures from a live camera."""

from __future__ import annotations

import multiprocessing
from dataclasses import dataclass
from datetime import datetime
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from calibration.board import printed_board, screen_board
from calibration.errors import CalibrationError
from calibration.estimate import Missed, joint
from calibration.record import Record
from calibration.sighting import Printed, photo_sight
from drafting.finding import Finding
from projector.board_sheet import SCALE_BAR
from projector.calibration_findings import findings_of
from projector.camera import frames
from projector.errors import ProjectorError
from projector.files.writing import write_bytes
from projector.photo import read_photo

__all__ = ["Calibrating", "Found", "Photographs", "sheet_hole", "stamp"]

TOLERANCE = 1.0
"""What a cutter is content with, mm; common practice, no source."""
HOLE = (0.34, 0.28, 0.66, 0.72)
"""The white field in the lit board, for the printed sheet: left, top, right, bottom, parts."""


@dataclass(frozen=True, slots=True)
class Photographs:
    """What a calibration by camera goes by; `bar` is the measured length of the bar, mm."""

    paths: tuple[Path, ...]
    screen_size: tuple[int, int]
    paper: str = "A4"
    bar: float = SCALE_BAR


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A map that was found: its record, what to think of it, and what photographs showed."""

    record: Record
    findings: tuple[Finding, ...]
    missed: tuple[Missed, ...] = ()


def sheet_hole(screen_size: tuple[int, int]) -> tuple[float, float, float, float]:
    """The white field for the printed sheet, in pixels of the screen."""
    width, height = screen_size
    left, top, right, bottom = HOLE
    return round(left * width), round(top * height), round(right * width), round(bottom * height)


def stamp() -> str:
    """The date and time, as a record carries it."""
    return datetime.now().astimezone().strftime("%Y-%m-%d %H:%M %z")


def _calibrated(job: Photographs, told: Connection) -> None:
    try:
        size = job.screen_size
        board = screen_board(size, hole=sheet_hole(size))
        scale = job.bar / SCALE_BAR
        sheet = Printed(job.paper, printed_board(job.paper), scale, 0.1 / SCALE_BAR)
        sights, count = [], len(job.paths)
        for number, path in enumerate(job.paths):
            told.send((f"looking for corners in {path.name}", 0.5 * number / count))
            photo = read_photo(path)
            sights.append(photo_sight(photo.image, board, (sheet,), photo.focal_px, path.name))
        found = joint(sights, size, progress=lambda what, part: told.send((what, 0.5 + 0.5 * part)))
        findings = findings_of(found, sights, TOLERANCE)
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


def _pictured(camera: int, path: Path, told: Connection) -> None:
    try:
        told.send((f"taking a picture with camera {camera}", 0.5))
        (photo,) = frames(str(camera), 1)
        write_bytes(path, cv2.imencode(".png", photo.image)[1].tobytes())
        told.send(path)
    except (ProjectorError, OSError) as error:
        told.send(str(error))
    finally:
        told.close()


class Calibrating:
    """Work under way in a process: `progress` while it runs, `poll` for what has come of it."""

    def __init__(self) -> None:
        self._process: Any = None
        self._told: Connection | None = None
        self.progress: tuple[str, float] | None = None

    def calibrate(self, job: Photographs) -> None:
        """Find the map in photographs."""
        self._begin(_calibrated, job)

    def picture(self, camera: int, path: Path) -> None:
        """Take a picture with a live camera, into a file."""
        self._begin(_pictured, camera, path)

    def _begin(self, work: Any, *given: Any) -> None:
        self.stop()
        context = multiprocessing.get_context("spawn")
        self._told, told = context.Pipe(duplex=False)
        self._process = context.Process(target=work, args=(*given, told), daemon=True)
        self._process.start()
        told.close()
        self.progress = ("beginning", 0.0)

    def poll(self) -> Found | Path | str | None:
        """What has come of it: a map, a picture's file, or why there is none; None before that."""
        result: Found | Path | str | None = None
        while self._told is not None and self._told.poll():
            try:
                news = self._told.recv()
            except (EOFError, OSError):
                self.stop()
                return "the work ended without a result; try again"
            if isinstance(news, tuple):
                self.progress = news
            else:
                result = news
                self.stop()
        return result

    def stop(self) -> None:
        """End it, whatever has been done."""
        if self._told is not None:
            self._told.close()
            self._process.terminate()
            self._process.join(2.0)
        self._told, self.progress = None, None
