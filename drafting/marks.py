"""What is marked on a piece besides its outline: notches, grain, drill holes, lines, a label."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from drafting.curves import Segment
from drafting.errors import DraftingError
from drafting.plane import Point

__all__ = ["Drill", "Grain", "InnerLine", "Label", "Mark", "Notch", "grain_heads"]


@dataclass(frozen=True, slots=True)
class Notch:
    """A balance mark on an edge, `along` mm from its start, measured on the seam line.

    `kind` is single (front) or double (back): a published rule of thumb of the trade.
    `name` is equal on the two edges that are sewn together there.
    """

    edge: str
    along: float
    kind: Literal["single", "double"] = "single"
    name: str = ""

    def __post_init__(self) -> None:
        if self.along < 0.0:
            raise DraftingError(f"notch on {self.edge!r}: {self.along} mm lies before its start")


@dataclass(frozen=True, slots=True)
class Grain:
    """The grain line. `start` to `end` points up the garment, against which a nap runs."""

    start: Point
    end: Point

    def __post_init__(self) -> None:
        if self.start == self.end:
            raise DraftingError("a grain line needs two different points")


@dataclass(frozen=True, slots=True)
class Drill:
    """A point marked inside the piece, such as the end of a dart."""

    point: Point
    name: str = ""


@dataclass(frozen=True, slots=True)
class InnerLine:
    """A line drawn inside the piece, such as a waist level, a dart leg or a stripe to match."""

    name: str
    segments: tuple[Segment, ...]

    def __post_init__(self) -> None:
        if not self.segments:
            raise DraftingError(f"inner line {self.name!r} has no segments")


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text, set with their middle at `point`, upright in the piece frame."""

    point: Point
    lines: tuple[str, ...]


Mark = Notch | Grain | Drill | InnerLine | Label


def grain_heads(
    grain: Grain, length: float, half_width: float, one_way: bool = False
) -> tuple[tuple[Point, Point, Point], ...]:
    """The open arrow heads of a grain line, each as barb, tip, barb, in mm.

    Two heads where the piece may lie either way along the cloth, as the trade draws the grain;
    with `one_way` only the head at `grain.end`, up the garment.
    """
    along = (grain.end - grain.start).unit
    ends = ((grain.end, -along), (grain.start, along))
    return tuple(
        (
            tip + length * back + half_width * back.left,
            tip,
            tip + length * back - half_width * back.left,
        )
        for tip, back in ends[: 1 if one_way else 2]
    )
