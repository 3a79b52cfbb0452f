"""A drawing that knows no device: strokes, fills and words in millimetres, in named layers.

Frame: x to the right, y up, as in the piece, cloth and table frames. A writer of a format whose
y runs down turns it over; nobody else has to.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from drafting.chains import moved_chain
from drafting.curves import Line, Segment, point_at
from drafting.errors import DraftingError
from drafting.plane import Motion, Point, coordinates

__all__ = [
    "INK", "Anchor", "Box", "Curve", "Data", "Drawing", "Layer", "Mark", "Pen", "Polyline", "Words",
    "around", "box_of", "box_of_boxes", "box_of_chain", "grown", "moved_mark", "rectangle",
    "scaled",
]  # fmt: skip

INK = "#1b2a33"
_COLOUR = re.compile(r"#[0-9a-f]{6}")

Anchor = Literal["start", "middle", "end"]
Data = tuple[tuple[str, str], ...]


def _check_colour(colour: str | None) -> None:
    if colour is not None and not _COLOUR.fullmatch(colour):
        raise DraftingError(f"colour {colour!r} is not written as #rrggbb, in small letters")


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle, mm."""

    left: float
    bottom: float
    right: float
    top: float

    def __post_init__(self) -> None:
        if not all(map(math.isfinite, (self.left, self.bottom, self.right, self.top))):
            raise DraftingError("a box has a side that is not a finite number")
        if self.right < self.left or self.top < self.bottom:
            raise DraftingError(f"a box of {self.width} x {self.height} mm is turned inside out")

    @property
    def low(self) -> Point:
        """The lower left corner."""
        return Point(self.left, self.bottom)

    @property
    def high(self) -> Point:
        """The upper right corner."""
        return Point(self.right, self.top)

    @property
    def width(self) -> float:
        """From left to right, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From bottom to top, mm."""
        return self.top - self.bottom


@dataclass(frozen=True, slots=True)
class Pen:
    """Width in mm, colour as "#rrggbb", and the lengths of dashes and gaps in mm."""

    width: float = 0.35
    colour: str = INK
    dash: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        _check_colour(self.colour)
        if not self.width > 0.0 or any(part < 0.0 for part in self.dash):
            raise DraftingError(f"a pen of {self.width} mm, dashes {self.dash}, draws nothing")


@dataclass(frozen=True, slots=True)
class Curve:
    """A chain of segments, stroked, filled or both; `data` is for machines that read the file."""

    segments: tuple[Segment, ...]
    pen: Pen | None = Pen()
    fill: str | None = None
    closed: bool = False
    name: str = ""
    data: Data = ()

    def __post_init__(self) -> None:
        if not self.segments:
            raise DraftingError("a curve of no segments cannot be drawn")
        _check_colour(self.fill)


@dataclass(frozen=True, slots=True)
class Polyline:
    """Straight lines through points; the first point is not repeated when it is closed."""

    points: tuple[Point, ...]
    pen: Pen | None = Pen()
    fill: str | None = None
    closed: bool = False
    name: str = ""
    data: Data = ()

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise DraftingError("a polyline needs two points or more")
        _check_colour(self.fill)


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text on its base line, letters `size` mm high, turned by `angle` radians."""

    point: Point
    text: str
    size: float = 4.0
    anchor: Anchor = "start"
    angle: float = 0.0
    colour: str = INK
    bold: bool = False

    def __post_init__(self) -> None:
        _check_colour(self.colour)
        if not self.size > 0.0:
            raise DraftingError(f"text of {self.size} mm cannot be read")


Mark = Curve | Polyline | Words


@dataclass(frozen=True, slots=True)
class Layer:
    """Marks that belong together, drawn in turn; only what lies inside `clip` is seen."""

    name: str
    marks: tuple[Mark, ...]
    clip: Box | None = None


@dataclass(frozen=True, slots=True)
class Drawing:
    """A page `box` in mm and the layers drawn on it, the first one lowest."""

    box: Box
    layers: tuple[Layer, ...]
    title: str = ""

    def __post_init__(self) -> None:
        if not (self.box.width > 0.0 and self.box.height > 0.0):
            raise DraftingError("a drawing needs a page with a width and a height")


def box_of(mark: Mark) -> Box:
    """What the mark covers at most, mm; pens left out, letters counted as wide as high."""
    if isinstance(mark, Words):
        reach = mark.size * max(1, len(mark.text))
        return grown(around([mark.point]), reach)
    if isinstance(mark, Polyline):
        return around(mark.points)
    return box_of_chain(mark.segments)


def box_of_chain(segments: Iterable[Segment]) -> Box:
    """The upright box round a chain; curves are followed at 16 steps, not at control points."""
    return around(
        point_at(segment, step / 16)
        for segment in segments
        for step in ((0, 16) if isinstance(segment, Line) else range(17))
    )


def box_of_boxes(boxes: Iterable[Box]) -> Box:
    """The least box round some boxes. Raises `DraftingError` when there are none."""
    return around(corner for box in boxes for corner in (box.low, box.high))


def around(points: Iterable[Point]) -> Box:
    """The least box round some points. Raises `DraftingError` when there are none."""
    pairs = coordinates(points)
    if not pairs:
        raise DraftingError("a box round no points at all has no place")
    xs, ys = zip(*pairs, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def grown(box: Box, margin: float) -> Box:
    """The box with a margin on every side, mm."""
    return Box(box.left - margin, box.bottom - margin, box.right + margin, box.top + margin)


def rectangle(box: Box, pen: Pen | None = Pen(), fill: str | None = None) -> Polyline:
    """The outline of a box."""
    corners = (
        Point(box.left, box.bottom),
        Point(box.right, box.bottom),
        Point(box.right, box.top),
        Point(box.left, box.top),
    )
    return Polyline(corners, pen, fill, closed=True)


def moved_mark(mark: Mark, motion: Motion) -> Mark:
    """The mark after a motion. Words stay readable: they are turned, never mirrored."""
    if isinstance(mark, Words):
        angle = motion.direction(Point(math.cos(mark.angle), math.sin(mark.angle))).angle
        if math.cos(angle) < -1e-9:  # upside down would be hard to read
            angle = math.remainder(angle + math.pi, 2 * math.pi)
        return replace(mark, point=motion(mark.point), angle=angle)
    if isinstance(mark, Polyline):
        return replace(mark, points=tuple(motion(p) for p in mark.points))
    return replace(mark, segments=moved_chain(mark.segments, motion))


def _scaled_mark(mark: Mark, factor: float) -> Mark:
    """The mark with every place and letter `factor` times as large; pens keep their width."""
    if isinstance(mark, Words):
        return replace(mark, point=factor * mark.point, size=factor * mark.size)
    if isinstance(mark, Polyline):
        return replace(mark, points=tuple(factor * p for p in mark.points))
    return replace(mark, segments=moved_chain(mark.segments, lambda p: factor * p))


def scaled(drawing: Drawing, factor: float) -> Drawing:
    """The drawing `factor` times as large, as for teaching at half or quarter scale."""
    if not 0.0 < factor <= 100.0:
        raise DraftingError(f"a scale of {factor} is not from 0 to 100")
    return replace(
        drawing,
        box=_scaled_box(drawing.box, factor),
        layers=tuple(
            Layer(
                layer.name,
                tuple(_scaled_mark(mark, factor) for mark in layer.marks),
                None if layer.clip is None else _scaled_box(layer.clip, factor),
            )
            for layer in drawing.layers
        ),
    )


def _scaled_box(box: Box, factor: float) -> Box:
    return Box(*(factor * side for side in (box.left, box.bottom, box.right, box.top)))
