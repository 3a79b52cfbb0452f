"""What the place for tracing remembers, and finding an outline in a process of its own."""

from __future__ import annotations

from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from pathlib import Path

from calibration.errors import CalibrationError
from projector.desk.view import View, told
from projector.errors import ProjectorError
from projector.photo import read_photo
from projector.photo_plane import PhotoPlane
from projector.photo_scale import (
    COARSEST,
    pixel_on_table,
    scale_of_scan,
    scale_of_sheet,
    traced_photo,
)
from projector.printed_bars import AS_DRAWN, PrintedBars
from projector.traced_outline import Tracing

__all__ = [
    "TOOLS", "TracePart", "Traced", "of_photo", "traced_from", "with_trace_photo", "with_traced",
]  # fmt: skip

TOOLS = {
    "move": "Move",
    "corner": "Corner",
    "notch": "Notch",
    "remove": "Remove",
}


@dataclass(frozen=True, slots=True, eq=False)
class Traced:
    """An outline found in a photograph, and where its millimetres lie in it."""

    photo: Path
    plane: PhotoPlane
    tracing: Tracing
    told: str = ""


@dataclass(frozen=True, slots=True)
class TracePart:
    """Parameters
    ----------
    photo, page
        The photograph, and the page of the folder's list.
    paper, bars, dots
        What lies beside the piece: a printed board and its bars as measured; "scan" for a
        scan of so many dots an inch.
    traced, before
        The outline as it is now, and as it was before each correction.
    tool
        What a press on the photograph does: one of `TOOLS`.
    zoom, middle
        How large the photograph is shown, and its pixel in the middle, None for its own.
    name, size, line, allowance, fold
        Of the piece: which line its edge is, mm added, and the number of its fold edge, 0 for
        none.
    """

    photo: Path | None = None
    page: int = 0
    paper: str = "A4"
    bars: PrintedBars = AS_DRAWN
    dots: float = 300.0
    traced: Traced | None = None
    before: tuple[Traced, ...] = ()
    tool: str = "move"
    zoom: float = 1.0
    middle: tuple[float, float] | None = None
    name: str = ""
    size: str = ""
    line: str = "cutting"
    allowance: float = 10.0
    fold: int = 0


def of_photo(part: TracePart, photo: Path | None) -> TracePart:
    """A photograph chosen, nothing traced in it yet."""
    name = part.name if photo is None else photo.stem
    return replace(part, photo=photo, traced=None, before=(), zoom=1.0, middle=None, name=name,
                   fold=0)  # fmt: skip


def with_trace_photo(view: View, photo: Path) -> View:
    """The view with a photograph to trace."""
    return view.with_part(of_photo(view.part(TracePart), photo))


def with_traced(view: View, news: object) -> View:
    """The view with an outline that was found, or with what was told instead of one."""
    part = view.part(TracePart)
    if isinstance(news, str) and news:
        return told(view, news, "stop")
    if not isinstance(news, Traced) or news.photo != part.photo:
        return view
    view = view.with_part(replace(part, traced=news, before=()))
    return told(view, "mend what is not right, name it, and take it into the job", "fine")


def traced_from(part: TracePart, told: Connection) -> None:
    """Find the outline; tells what is done, then a `Traced`, or why there is none."""
    try:
        assert part.photo is not None
        told.send((f"looking at {part.photo.name}", 0.1))
        image = read_photo(part.photo).image
        if part.paper == "scan":
            scale = scale_of_scan(image, part.dots)
        else:
            scale = scale_of_sheet(image, part.paper, part.bars)
        told.send(("following the edge of the piece", 0.4))
        tracing, points_px = traced_photo(image, scale)
        pixel = pixel_on_table(scale, points_px)
        warning = "" if pixel <= COARSEST else (
            f"a pixel shows {pixel:.1f} mm; small notches are lost: come nearer"
        )  # fmt: skip
        told.send(Traced(part.photo, scale.plane, tracing, warning))
    except (CalibrationError, ProjectorError, OSError) as error:
        told.send(str(error))
    finally:
        told.close()
