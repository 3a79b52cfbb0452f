"""What the table's place remembers: the route, its step, and what was given so far."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from calibration.record import Record
from projector.desk.calibrating import Found
from projector.desk.seeing import Boards, Seen
from projector.desk.watching import Live
from projector.printed_bars import AS_DRAWN, PrintedBars

__all__ = ["ROUTES", "TableKnown", "TablePart"]

ROUTES = {"camera": "Camera", "hand": "By hand", "tape": "Tape"}


@dataclass(frozen=True, slots=True)
class TablePart:
    """Parameters
    ----------
    route
        "camera", "hand", "tape"; empty for the overview.
    step
        Of the route, from 0.
    display
        Number of the projector's display; None until one was chosen.
    paper, bars
        The printed sheet, and its bars as measured.
    source
        The live camera: its number, or a video file.
    photos, looked_at, page
        Photographs to go by, which one is looked at, and the page of the folder's list.
    mat
        Width and depth of the rectangle of known marks, mm.
    places
        Crosshairs put so far, pixels; `chosen` is the one that is moved by `stride` pixels.
    lengths
        Typed lengths by the pair of marks, mm.
    """

    route: str = ""
    step: int = 0
    display: int | None = None
    paper: str = "A4"
    bars: PrintedBars = AS_DRAWN
    source: str = "0"
    photos: tuple[Path, ...] = ()
    looked_at: int = 0
    page: int = 0
    mat: tuple[float, float] = (900.0, 600.0)
    places: tuple[tuple[float, float], ...] = ()
    chosen: int = 0
    stride: float = 10.0
    lengths: tuple[tuple[tuple[int, int], float], ...] = ()


@dataclass(frozen=True, slots=True)
class TableKnown:
    """Parameters
    ----------
    record, path
        The calibration in use and its file; None without one.
    progress
        What a calibration under way does, and how much of it is done.
    found
        A map that was found and is not in use yet.
    lit
        Whether the board, the marks or the crosshairs are lit now.
    images
        Photographs in the folder that is listed.
    watching, live
        Whether a camera is watched, and what it sees once it sees anything.
    doing
        What is lit for the camera now, and the part that is done.
    seen
        What photographs show of these boards, as far as they were looked at.
    """

    record: Record | None = None
    path: Path | None = None
    progress: tuple[str, float] | None = None
    found: Found | None = None
    lit: bool = False
    images: tuple[str, ...] = ()
    watching: bool = False
    live: Live | None = None
    doing: tuple[str, float] | None = None
    seen: Mapping[tuple[Path, Boards], Seen] = field(default_factory=dict)
