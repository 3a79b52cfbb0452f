"""What is on the table while a job is lit: the lay, what is selected, and every earlier state."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from drafting.plane import Motion, Point
from projector.cloth.layout import Layout
from projector.job import Job

__all__ = ["EVERY_LAYER", "LAYERS", "Kept", "Lamp", "Reading", "Ruler", "Session", "TakeUp"]

LAYERS = (
    "cutting line", "seam line", "grain", "fold", "notches", "inner lines", "labels",
    "cloth edge", "crosses", "countdown",
)  # fmt: skip
"""What is lit at first."""

EVERY_LAYER = (*LAYERS, "100 mm squares", "help", "every key")
"""Everything that can be lit or left dark."""

Lamp = Literal["pieces", "work light", "dark"]
"""What the projector is used for: the lay, plain white to work by, or nothing."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What undo brings back: the lay, and the job it came from.

    `taken_up` is by what motion of the table the cloth was taken up in the change this state is
    the other side of. Sections paged since then stay as they are. `place` is where the cloth lay
    (table from cloth) in a state on the other side of a switch to another cloth.
    """

    layout: Layout
    job: Job | None = None
    taken_up: Motion | None = None
    place: Motion | None = None


@dataclass(frozen=True, slots=True)
class TakeUp:
    """Taking up the shift and twist of the cloth after it was slid: two crosses, one by one.

    Parameters
    ----------
    found
        Table points onto which crosses have been put so far, in the order of `Session.marks`.
    at
        Where the cross that is being put is lit now, table frame; None before the first move.
    """

    found: tuple[Point, ...] = ()
    at: Point | None = None


@dataclass(frozen=True, slots=True)
class Ruler:
    """A lit ruler between two table points, and the digits of a tape reading being typed."""

    start: Point
    end: Point
    typed: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """What a tape showed along the ruler, mm, between two table points."""

    start: Point
    end: Point
    tape: float


@dataclass(frozen=True, slots=True)
class Session:
    """A job under the light.

    Parameters
    ----------
    layout
        Where the pieces lie.
    table_from_cloth
        Where the cloth lies on the table; sliding it by a section moves the window along it.
    selection
        Index of the selected placement, None for none.
    layers
        Which layers are lit.
    lamp
        "pieces", "work light" (plain white) or "dark".
    text_turn
        Quarter turns to the left of the text from where the near side reads it: 0 to 3.
    snapping
        Whether pieces snap to grain, to each other and to the edges of the cloth.
    magnified
        Which notch of the selected piece is shown magnified, None for none.
    marks
        The two registration crosses of the latest slide, cloth frame; empty before it.
    take_up
        The take-up under way, None when there is none.
    ruler
        The lit ruler, None when there is none.
    readings
        Tape readings typed so far, latest last.
    wants_calibration
        True once the worker has accepted the offer of a fresh calibration.
    said
        The latest thing she is told, one line; empty for nothing.
    trouble
        Why no piece may be lit now (another screen than the map's); empty when all is well.
    job
        The job whose pieces these are, where it is worked on too (the desk changes its style).
    past, future
        Earlier and undone states, latest last.
    """

    layout: Layout
    table_from_cloth: Motion = field(default_factory=Motion)
    selection: int | None = None
    layers: frozenset[str] = frozenset(LAYERS)
    lamp: Lamp = "pieces"
    text_turn: int = 0
    snapping: bool = True
    magnified: int | None = None
    marks: tuple[Point, ...] = ()
    take_up: TakeUp | None = None
    ruler: Ruler | None = None
    readings: tuple[Reading, ...] = ()
    wants_calibration: bool = False
    said: str = ""
    trouble: str = ""
    job: Job | None = None
    past: tuple[Kept, ...] = ()
    future: tuple[Kept, ...] = ()
