"""What a file holds before anyone says what it means: strokes and words, in millimetres.

Frame: x to the right, y up, millimetres, whatever the file's own frame was.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from drafting.chains import moved_chain
from drafting.characters import without_stray
from drafting.curves import Cubic, Line, Segment
from drafting.drawing import Box, Data, box_of_boxes, box_of_chain
from drafting.errors import DraftingError
from drafting.plane import Point

__all__ = [
    "FARTHEST",
    "Chain",
    "Lettering",
    "Linework",
    "Spot",
    "Stroke",
    "chosen",
    "grown_by",
    "layers_of",
    "legible",
    "linework_box",
]  # fmt: skip

FARTHEST = 100_000.0
"""No place lies farther than 100 m from the origin: what does was written in another unit."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One chain of segments as the file has it; `data` is what the file says beside it."""

    segments: tuple[Segment, ...]
    closed: bool = False
    layer: str = ""
    colour: str = ""
    name: str = ""
    data: Data = ()

    def __post_init__(self) -> None:
        if not self.segments:
            raise DraftingError("a stroke of no segments holds nothing")

    @property
    def start(self) -> Point:
        """Where it begins."""
        return self.segments[0].start

    @property
    def end(self) -> Point:
        """Where it ends."""
        return self.segments[-1].end


@dataclass(frozen=True, slots=True)
class Lettering:
    """Words in the file, at the start of their base line."""

    point: Point
    text: str
    layer: str = ""
    data: Data = ()


@dataclass(frozen=True, slots=True)
class Spot:
    """A point that the file marks by itself, such as a notch or a drill hole."""

    point: Point
    layer: str = ""
    data: Data = ()


@dataclass(frozen=True, slots=True)
class Linework:
    """The strokes and words of a file.

    Parameters
    ----------
    unit
        What one unit of the file was taken for, in words.
    stated
        True when the file itself says so; otherwise somebody has to be asked.
    told
        What was left out or assumed, one sentence each.
    """

    strokes: tuple[Stroke, ...]
    words: tuple[Lettering, ...] = ()
    spots: tuple[Spot, ...] = ()
    unit: str = "millimetres"
    stated: bool = True
    told: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.strokes:
            raise DraftingError("no lines were found in it; wanted outlines drawn as vector lines")
        box = linework_box(self)
        farthest = max(abs(box.left), abs(box.right), abs(box.bottom), abs(box.top))
        if farthest > FARTHEST:
            raise DraftingError(
                f"its lines reach {farthest / 1000:.0f} m from the origin, wanted at most "
                f"{FARTHEST / 1000:.0f} m; was it drawn in another unit?"
            )


def legible(linework: Linework) -> Linework:
    """The same without characters that command a terminal or cannot be saved, in any name."""

    def told(data: Data) -> Data:
        return tuple((without_stray(key), without_stray(value)) for key, value in data)

    parts: tuple[Stroke | Lettering | Spot, ...] = (
        *linework.strokes, *linework.words, *linework.spots,
    )  # fmt: skip
    texts = {text for part in parts for text in _texts(part)}
    if all(text.isprintable() for text in (*texts, linework.unit, *linework.told)):
        return linework
    return replace(
        linework,
        strokes=tuple(
            replace(
                stroke,
                layer=without_stray(stroke.layer),
                colour=without_stray(stroke.colour),
                name=without_stray(stroke.name),
                data=told(stroke.data),
            )
            for stroke in linework.strokes
        ),
        words=tuple(
            replace(
                word,
                text=without_stray(word.text),
                layer=without_stray(word.layer),
                data=told(word.data),
            )
            for word in linework.words
        ),
        spots=tuple(
            replace(spot, layer=without_stray(spot.layer), data=told(spot.data))
            for spot in linework.spots
        ),
        unit=without_stray(linework.unit),
        told=tuple(without_stray(line) for line in linework.told),
    )


def _texts(part: Stroke | Lettering | Spot) -> Iterator[str]:
    yield part.layer
    if isinstance(part, Stroke):
        yield part.name
        yield part.colour
    elif isinstance(part, Lettering):
        yield part.text
    for pair in part.data:
        yield from pair


@dataclass(slots=True)
class Chain:
    """Gathers the segments of one stroke; parts without length are passed over."""

    segments: list[Segment] = field(default_factory=list)

    def line(self, start: Point, end: Point) -> None:
        """Add a straight segment."""
        if math.dist((start.x, start.y), (end.x, end.y)) > 1e-9:
            self.segments.append(Line(start, end))

    def cubic(self, start: Point, control_1: Point, control_2: Point, end: Point) -> None:
        """Add a cubic curve; one that is a straight line becomes one."""
        points = (start, control_1, control_2, end)
        reach = max(math.dist((start.x, start.y), (p.x, p.y)) for p in points)
        if reach <= 1e-9:
            return
        along = end - start
        size = abs(along)
        if size > 1e-9:
            aside = max(abs(along.cross(p - start)) / size for p in (control_1, control_2))
            between = all(-1e-9 <= along.dot(p - start) <= size * size + 1e-9 for p in points)
            if aside < 1e-9 and between:
                self.segments.append(Line(start, end))
                return
        self.segments.append(Cubic(*points))

    def quadratic(self, start: Point, control: Point, end: Point) -> None:
        """Add a quadratic curve, raised to a cubic one exactly."""
        first, second = start + 2 / 3 * (control - start), end + 2 / 3 * (control - end)
        self.cubic(start, first, second, end)


def linework_box(linework: Linework) -> Box:
    """The upright box round all strokes."""
    return box_of_boxes(box_of_chain(stroke.segments) for stroke in linework.strokes)


def layers_of(linework: Linework) -> dict[tuple[str, str], int]:
    """How many strokes every layer and colour has, in the file's order."""
    counts: dict[tuple[str, str], int] = {}
    for stroke in linework.strokes:
        key = (stroke.layer, stroke.colour)
        counts[key] = counts.get(key, 0) + 1
    return counts


def chosen(linework: Linework, layers: Iterable[str] = (), colours: Iterable[str] = ()) -> Linework:
    """Only the strokes of these layers and colours; none named means all.

    Raises `DraftingError` for a layer or colour the file does not have.
    """
    wanted_layers, wanted_colours = set(layers), {colour.lower() for colour in colours}
    have_layers = {stroke.layer for stroke in linework.strokes}
    have_colours = {stroke.colour for stroke in linework.strokes}
    for what, wanted, have in (
        ("layer", wanted_layers, have_layers),
        ("colour", wanted_colours, have_colours),
    ):
        strange = sorted(wanted - have)
        if strange:
            names = ", ".join(repr(name) for name in sorted(have))
            raise DraftingError(f"there is no {what} {strange[0]!r}; there are {names:.300}")
    kept = tuple(
        stroke
        for stroke in linework.strokes
        if (not wanted_layers or stroke.layer in wanted_layers)
        and (not wanted_colours or stroke.colour in wanted_colours)
    )
    return replace(linework, strokes=kept)


def grown_by(linework: Linework, factor: float) -> Linework:
    """The linework `factor` times as large, when its scale was found to be another.

    Raises `DraftingError` for a factor that is not from 0.001 to 1000.
    """
    if not 0.001 <= factor <= 1000.0:
        raise DraftingError(f"a scale of {factor:g} is not from 0.001 to 1000")
    if factor == 1.0:
        return linework

    def grown(point: Point) -> Point:
        return factor * point

    return replace(
        linework,
        strokes=tuple(
            replace(stroke, segments=moved_chain(stroke.segments, grown))
            for stroke in linework.strokes
        ),
        words=tuple(replace(each, point=grown(each.point)) for each in linework.words),
        spots=tuple(replace(each, point=grown(each.point)) for each in linework.spots),
    )
