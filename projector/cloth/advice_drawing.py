"""The ways to cut a job side by side: bars of the cloth that is bought, in square metres."""

from __future__ import annotations

from collections.abc import Sequence

from drafting.drawing import INK, Box, Drawing, Layer, Mark, Pen, Polyline, Words, rectangle
from drafting.plane import Point
from projector.cloth.advice import Choice

__all__ = ["advice_drawing"]

WIDTH, ROW, BAR, LETTER = 120.0, 9.0, 5.5, 3.4
"""Of the longest bar, of a row and of its bar, and the letters, mm."""
NAMES, FIGURES = 74.0, 44.0
NOW, OTHER, LESS = "#8a9aa0", "#cfd8da", "#7fb3a1"


def advice_drawing(choices: Sequence[Choice], title: str) -> Drawing:
    """One bar a choice, the first the job as it is; a line carries its cloth down past the others.

    What takes less cloth than the job as it is stands out; what does not fit has no bar.
    """
    most = max((choice.cloth_area or 0.0 for choice in choices), default=0.0) or 1.0
    now = choices[0].cloth_area if choices else None
    marks: list[Mark] = [Words(Point(0.0, ROW * 0.9), title, 1.2 * LETTER, bold=True)]
    for number, choice in enumerate(choices):
        middle = -ROW * (number + 0.5)
        base = middle - 0.35 * LETTER
        marks.append(Words(Point(NAMES - 3.0, base), choice.what, LETTER, "end"))
        if choice.cloth_area is None or choice.length is None or choice.bought is None:
            marks.append(Words(Point(NAMES, base), "does not fit", LETTER))
            continue
        less = now is not None and choice.cloth_area < now
        reach = NAMES + WIDTH * choice.cloth_area / most
        bar = Box(NAMES, middle - BAR / 2, reach, middle + BAR / 2)
        marks.append(rectangle(bar, None, NOW if number == 0 else LESS if less else OTHER))
        told = f"{choice.cloth_area:.2f} m², {choice.bought / 1000:.1f} m, {choice.used or 0:.0%}"
        marks.append(Words(Point(NAMES + WIDTH + 4.0, base), told, LETTER))
    if now is not None:
        x = NAMES + WIDTH * now / most
        ends = (Point(x, 0.0), Point(x, -ROW * len(choices)))
        marks.append(Polyline(ends, Pen(0.3, INK, (1.5, 1.5))))
    below = -ROW * (len(choices) + 0.7)
    note = (
        "cloth bought, length bought, part of it that is pieces; differences under 1 % are chance"
    )
    marks.append(Words(Point(NAMES, below), note, 0.8 * LETTER, colour="#5d6b70"))
    box = Box(-4.0, below - 4.0, NAMES + WIDTH + FIGURES, 2.0 * ROW)
    return Drawing(box, (Layer("advice", tuple(marks)),), title)
