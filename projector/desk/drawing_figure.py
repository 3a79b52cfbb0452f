"""A device-free drawing (`drafting.drawing`) on the desk's board."""

from __future__ import annotations

from collections.abc import Iterable

from drafting.chains import flattened_chain
from drafting.drawing import Curve, Mark, Words
from drafting.plane import coordinates
from projector.desk.drawing_board import Board, Scale
from projector.desk.palette import Colour

__all__ = ["draw_marks"]


def draw_marks(
    board: Board,
    marks: Iterable[Mark],
    scale: Scale,
    colours: dict[str, Colour],
    letters_px: int,
    pen_px: float,
) -> None:
    """Draw marks. Pens are `pen_px` pixels a mm of theirs, letters all of one size.

    `colours` gives what to draw a written colour in, so that drawings suit a dark hall.
    """
    for mark in marks:
        if isinstance(mark, Words):
            place = scale.pixels([(mark.point.x, mark.point.y)])[0]
            anchor = {"start": "left", "middle": "middle", "end": "right"}[mark.anchor]
            place[1] -= 0.4 * letters_px  # a base line is given, the middle is wanted
            board.text(place, mark.text, letters_px, _in(colours, mark.colour), anchor, mark.bold)
            continue
        if isinstance(mark, Curve):
            points = flattened_chain(mark.segments, 0.3 / scale.px)
        else:
            points = mark.points
        rows = scale.pixels(coordinates(points))
        if mark.fill is not None:
            board.area(rows, _in(colours, mark.fill))
        if mark.pen is not None:
            width = max(1.0, mark.pen.width * pen_px)
            dash = None
            if len(mark.pen.dash) >= 2:
                dash = (max(2.0, mark.pen.dash[0] * pen_px), max(2.0, mark.pen.dash[1] * pen_px))
            board.line(rows, _in(colours, mark.pen.colour), width, mark.closed, dash)


def _in(colours: dict[str, Colour], written: str) -> Colour:
    known = colours.get(written)
    return known or (int(written[1:3], 16), int(written[3:5], 16), int(written[5:7], 16))
