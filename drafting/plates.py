"""Plates: the construction as numbered drawings with a sentence each, to project and teach from.

Every plate has the same page and the same scale, so that plates projected on paper one after the
other build up one drawing. What is new is dark, what was there before is pale. Letters and lines
are sized for the scale they are shown at.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass, replace

from drafting.curves import Segment, point_at
from drafting.draft import Draft
from drafting.drawing import (
    INK,
    Box,
    Curve,
    Drawing,
    Layer,
    Mark,
    Pen,
    Polyline,
    Words,
    around,
    grown,
    scaled,
)
from drafting.errors import DraftingError
from drafting.exchange.piece_drawing import piece_layers, pieces_drawing
from drafting.labels import LETTER
from drafting.piece import Piece
from drafting.plan_drawing import BACK, FRONT, POINTS
from drafting.plane import Point
from drafting.plate_steps import Chain, Step, plan_steps

__all__ = ["SCALES", "plates"]

SCALES = {"true": 1.0, "half": 0.5, "quarter": 0.25}
PRINTED = {1.0: 9.0, 0.5: 6.0, 0.25: 4.0}
"""Height of the letters as they are seen at each scale, mm."""

PALE = "#a9b4b8"
COLOURS = {"guide": "#5d6b72", "back": BACK, "front": FRONT, "contour": INK}
WIDTHS = {"guide": 0.6, "back": 0.7, "front": 0.7, "contour": 1.2}
OFFSETS = {name: offset for name, _, offset in POINTS} | {"squared_wrist": (-9.0, -14.0)}
CAPTION_LINES = 4
LEAST_WIDTH = 52.0
"""Of a plate, in letters' heights."""

ADVANCE = 0.56
"""Mean width of a letter over its height."""


@dataclass(frozen=True, slots=True)
class _Page:
    """What all plates share: the drawn region, letter height in the model, weight of lines."""

    region: Box
    letter: float
    weight: float


def plates(made: Draft, scale: str = "true") -> tuple[Drawing, ...]:
    """One drawing a step, then the finished pieces; "true", "half" or "quarter" scale.

    Raises `DraftingError` for another scale.
    """
    if scale not in SCALES:
        raise DraftingError(f"scale {scale!r} is not one of {', '.join(SCALES)}")
    factor = SCALES[scale]
    steps = plan_steps(made)
    letter = PRINTED[factor] / factor
    points = [p for step in steps for _, chain in step.chains for p in _places(chain)]
    page = _Page(_roomy(grown(around(points), 3.0 * letter), letter), letter, 0.5 + 0.5 * factor)
    numbers = {name: n for n, name in enumerate((p for s in steps for p in s.points), 1)}
    drawn = [_plan_plate(made, steps, n, numbers, page) for n in range(len(steps))]
    drawn += _finished_plates(made, len(steps), page)
    return tuple(scaled(plate, factor) for plate in drawn)


def _places(chain: tuple[Segment, ...]) -> list[Point]:
    return [point_at(segment, i / 8) for segment in chain for i in range(9)]


def _plan_plate(
    made: Draft, steps: tuple[Step, ...], place: int, numbers: dict[str, int], page: _Page
) -> Drawing:
    step = steps[place]
    before = [chain for earlier in steps[:place] for chain in earlier.chains]
    known = [name for earlier in steps[:place] for name in earlier.points]
    layers = [
        Layer("before", tuple(_line(chain, page, True) for chain in before)),
        Layer("new", tuple(_line(chain, page, False) for chain in step.chains)),
        Layer(
            "points",
            (
                *(m for n in known for m in _point(made, n, numbers, page, PALE)),
                *(m for n in step.points for m in _point(made, n, numbers, page, INK)),
            ),
        ),
    ]
    sentence = step.sentence.format(**numbers)
    return _with_caption(made, layers, place + 1, step.title, sentence, page)


def _line(chain: Chain, page: _Page, pale: bool) -> Curve:
    look, segments = chain
    dash = (8.0, 3.0) if look == "guide" else ()
    width = WIDTHS[look] * page.weight * (0.7 if pale else 1.0)
    return Curve(segments, Pen(width, PALE if pale else COLOURS[look], dash))


def _point(
    made: Draft, name: str, numbers: dict[str, int], page: _Page, colour: str
) -> tuple[Mark, ...]:
    at: Point = getattr(made.plan, name)
    size = 0.22 * page.letter
    ring = tuple(at + Point(x, y) for x, y in ((size, 0), (0, size), (-size, 0), (0, -size)))
    dx, dy = OFFSETS[name]
    off = at + (page.letter / 9.0) * Point(dx, dy)
    number = Words(off, str(numbers[name]), page.letter, "middle", colour=colour, bold=True)
    return (Polyline(ring, None, colour, closed=True), number)


def _with_caption(
    made: Draft, layers: list[Layer], number: int, title: str, sentence: str, page: _Page
) -> Drawing:
    region, letter = page.region, page.letter
    head = 1.6 * letter
    columns = max(20, int((region.width - 2.0 * letter) / (ADVANCE * letter)))
    lines = textwrap.wrap(sentence, columns)
    y = region.bottom - 2.2 * head
    words: list[Mark] = [
        Words(Point(region.left + letter, y), str(number), 1.5 * head, bold=True, colour=FRONT),
        Words(Point(region.left + letter + 2.6 * head, y), title, head, bold=True),
        Words(
            Point(region.right - letter, y),
            f"{made.size}, lift {made.style.lift:g}".removeprefix(", "),
            letter,
            "end",
            colour=COLOURS["guide"],
        ),
    ]
    y -= 0.4 * letter
    for line in lines:
        y -= 1.6 * letter
        words.append(Words(Point(region.left + letter, y), line, letter))
    y -= 1.6 * letter * max(0, CAPTION_LINES - len(lines))  # one page size for all of them
    ends = (Point(region.left + letter, region.bottom), Point(region.right - letter, region.bottom))
    box = Box(region.left, y - 1.5 * letter, region.right, region.top)
    caption = Layer("caption", (Polyline(ends, Pen(0.35, PALE)), *words))
    return Drawing(box, (*layers, caption), f"Plate {number}: {title}")


def _finished_plates(made: Draft, done: int, page: _Page) -> list[Drawing]:
    """Back and front each on a plate with their allowances; all other pieces on one more."""
    drawn = []
    for piece in made.pieces[:2]:
        done += 1
        sentence = (
            f"Trace the {piece.name} from the plan and add {_allowances(piece)}. A hem's ends are "
            "mirrored in its fold line, so that it lies flat. Carry every notch square to the "
            f"cutting line, {'two slits at the back' if piece.name == 'back' else 'one slit'}."
        )
        layers = [_lettered(layer, page) for layer in piece_layers(piece) if layer.marks]
        drawn.append(
            _with_caption(made, layers, done, f"The {piece.name}", sentence, _fitted(layers, page))
        )
    rest = made.pieces[2:]
    if rest:
        whole = pieces_drawing(rest)
        names = ", ".join(piece.name for piece in rest)
        box = grown(whole.box, page.letter)
        right = max(box.right, box.left + page.region.width)
        wide = _Page(Box(box.left, box.bottom, right, box.top), page.letter, page.weight)
        sentence = (
            f"Cut as well: {names}. Walk each along the seam it is sewn to before you cut: it is "
            "as long as the seam, less what it is stretched by."
        )
        drawn.append(
            _with_caption(made, list(whole.layers), done + 1, "The other pieces", sentence, wide)
        )
    return drawn


def _allowances(piece: Piece) -> str:
    """The allowances in words, edges of the same one together."""
    edges: dict[float, list[str]] = {}
    for edge in piece.edges:
        if edge.allowance > 0.0:
            edges.setdefault(edge.allowance, []).append(edge.name)
    return "; ".join(f"{size / 10:g} cm at {', '.join(n)}" for size, n in edges.items())


def _lettered(layer: Layer, page: _Page) -> Layer:
    """The label of a piece in the letters of the plate, grown about its middle."""
    grow = page.letter / LETTER
    level = [m for m in layer.marks if isinstance(m, Words) and m.angle == 0.0]
    if grow == 1.0 or not level:
        return layer
    middle = (1.0 / len(level)) * sum((m.point for m in level), Point(0.0, 0.0))
    marks = tuple(
        replace(m, size=grow * m.size, point=middle + grow * (m.point - middle))
        if isinstance(m, Words) and m.angle == 0.0
        else m
        for m in layer.marks
    )
    return replace(layer, marks=marks)


def _fitted(layers: list[Layer], page: _Page) -> _Page:
    points = [p for mark in layers[0].marks if isinstance(mark, Polyline) for p in mark.points]
    region = _roomy(grown(around(points), 3.0 * page.letter), page.letter)
    return _Page(region, page.letter, page.weight)


def _roomy(region: Box, letter: float) -> Box:
    """At least wide enough for the longest title."""
    return replace(region, right=max(region.right, region.left + LEAST_WIDTH * letter))
