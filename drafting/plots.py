"""Small plots as drawings: lines over a common axis, each named at its end.

Frame: mm on paper, origin at the corner of the axes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from drafting.drawing import INK, Box, Drawing, Layer, Mark, Pen, Polyline, Words
from drafting.errors import DraftingError
from drafting.plane import Point

__all__ = ["Series", "plot"]

WIDTH, HEIGHT = 120.0, 70.0
LETTER = 3.2
AXIS, GRID = Pen(0.35), Pen(0.15, "#c3ccd0")
COLOURS = ("#1f6f8b", "#b3461e", "#4b7a2b", "#6a3d8f", "#8c2f5f", "#a3762a")
DASHES: tuple[tuple[float, ...], ...] = ((), (4.0, 1.5), (1.5, 1.2), (6.0, 1.5, 1.2, 1.5))


@dataclass(frozen=True, slots=True)
class Series:
    """Points (x, y) of one line in the plot's own units, x ascending, and its name."""

    name: str
    points: tuple[tuple[float, float], ...]


def plot(
    title: str, across: str, up: str, series: Sequence[Series], marked: float | None = None
) -> Drawing:
    """Draw lines over each other; `marked` is an x at which an upright line stands.

    Raises `DraftingError` where there is nothing to draw.
    """
    points = [point for line in series for point in line.points]
    if not points:
        raise DraftingError(f"plot {title!r}: there is nothing to draw")
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    step = _round_step(max(max(y for _, y in points), 1e-9) / 4)
    top = step * max(1, math.ceil(max(y for _, y in points) / step - 1e-9))
    wide = max(right - left, 1e-9)

    def place(x: float, y: float) -> Point:
        return Point((x - left) / wide * WIDTH, y / top * HEIGHT)

    grid: list[Mark] = []
    words: list[Mark] = [
        Words(Point(0.0, HEIGHT + 10.0), title, 4.2, bold=True),
        Words(Point(WIDTH / 2, -12.0), across, LETTER, "middle"),
        Words(Point(-10.0, HEIGHT + 3.5), up, LETTER),
    ]
    for number in range(round(top / step) + 1):
        y = number * step
        grid.append(Polyline((place(left, y), place(right, y)), GRID))
        words.append(Words(place(left, y) + Point(-2.0, -1.1), f"{y:g}", LETTER, "end"))
    for number in range(5):
        x = left + wide * number / 4
        grid.append(Polyline((place(x, 0.0), place(x, 0.0) + Point(0.0, -1.2)), AXIS))
        words.append(Words(place(x, 0.0) + Point(0.0, -5.5), f"{x:.2f}", LETTER, "middle"))
    grid.append(Polyline((place(left, 0.0), place(right, 0.0)), AXIS))
    grid.append(Polyline((place(left, 0.0), place(left, top)), AXIS))
    if marked is not None and left <= marked <= right:
        grid.append(Polyline((place(marked, 0.0), place(marked, top)), Pen(0.25, INK, (2.0, 1.5))))
    lines: list[Mark] = []
    ends = sorted(
        (place(*line.points[-1]).y, number) for number, line in enumerate(series) if line.points
    )
    low = -math.inf
    for height, number in ends:
        colour = COLOURS[number % len(COLOURS)]
        chain = tuple(place(x, y) for x, y in series[number].points)
        if len(chain) > 1:
            lines.append(Polyline(chain, Pen(0.6, colour, DASHES[number % len(DASHES)])))
        low = max(height - 1.1, low + 1.35 * LETTER)  # names never stand on each other
        words.append(Words(Point(WIDTH + 2.0, low), series[number].name, LETTER, colour=colour))
    longest = max(len(line.name) for line in series)
    page = Box(-16.0, -16.0, WIDTH + 6.0 + 0.6 * LETTER * longest, HEIGHT + 18.0)
    layers = (
        Layer("grid", tuple(grid)),
        Layer("lines", tuple(lines)),
        Layer("words", tuple(words)),
    )
    return Drawing(page, tuple(layer for layer in layers if layer.marks), title)


def _round_step(size: float) -> float:
    """The next of 1, 2, 5, 10 ... that is not smaller."""
    power = 10.0 ** math.floor(math.log10(size))
    return next(power * part for part in (1.0, 2.0, 5.0, 10.0) if power * part >= size - 1e-12)
