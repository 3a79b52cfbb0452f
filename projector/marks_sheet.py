"""Table marks to print: crosses with letters, cut apart and taped to the table.

Crosshairs are moved onto them, lengths are measured between them, and the map is checked on them
again another day; they stay when the projector was moved.
"""

from __future__ import annotations

import math

from calibration.board import PAPER
from drafting.drawing import INK, Box, Drawing, Layer, Mark, Pen, Polyline, Words, rectangle
from drafting.exchange.drawing_pdf import pdf_bytes
from drafting.exchange.drawing_svg import svg_bytes
from drafting.plane import Point
from projector.marks_picture import LETTERS

__all__ = ["marks_drawing", "marks_pdf", "marks_svg"]

SIDE = 58.0
ARM = 22.0
RING = 9.0
BAR = 100.0
FINE = Pen(0.2)
CUT = Pen(0.15, "#7a8a92", (2.0, 2.0))
ADVICE = (
    "Print at 100 %, measure the line, cut along the dashes, tape one mark near each corner of the",
    "lit area and others between; measure from the middle of one cross to the middle of another.",
)


def marks_drawing(paper: str) -> Drawing:
    """Nine marks on an upright sheet, true size: the middle of every cross is the place."""
    height, width = PAPER[paper]
    left, top = (width - 3 * SIDE) / 2, height - 12.0
    marks: list[Mark] = []
    for number, letter in enumerate(LETTERS):
        row, column = divmod(number, 3)
        centre = Point(left + (column + 0.5) * SIDE, top - (row + 0.5) * SIDE)
        marks += _mark(centre, letter)
    low = top - 3 * SIDE - 10.0
    start, end = Point((width - BAR) / 2, low), Point((width + BAR) / 2, low)
    marks.append(Polyline((start, end), FINE, name="scale bar"))
    for tip in (start, end):
        marks.append(Polyline((tip + Point(0, 2), tip - Point(0, 2)), FINE))
    marks.append(Words(Point(width / 2, low + 2.0), f"{BAR:g} mm", 3.0, "middle"))
    for number, line in enumerate(ADVICE):
        marks.append(Words(Point(width / 2, low - 7.0 - 4.5 * number), line, 3.0, "middle"))
    return Drawing(Box(0.0, 0.0, width, height), (Layer("marks", tuple(marks)),), "Table marks")


def _mark(centre: Point, letter: str) -> list[Mark]:
    half = SIDE / 2
    box = Box(centre.x - half, centre.y - half, centre.x + half, centre.y + half)
    made: list[Mark] = [rectangle(box, CUT)]
    for arm in (Point(ARM, 0.0), Point(0.0, ARM)):
        made.append(Polyline((centre - arm, centre + arm), FINE, name=f"cross {letter}"))
    turns = [k * math.pi / 24 for k in range(48)]
    ring = tuple(centre + RING * Point(math.cos(t), math.sin(t)) for t in turns)
    made.append(Polyline(ring, Pen(0.4), closed=True))
    for way in (1.0, -1.0):  # opposite quarters filled, which a camera finds too
        fan = [centre] + [centre + way * RING * Point(math.cos(t), math.sin(t)) for t in turns[:13]]
        made.append(Polyline(tuple(fan), None, INK, closed=True))
    made.append(Words(centre + Point(ARM - 8.0, ARM - 8.0), letter, 9.0, "middle", bold=True))
    return made


def marks_pdf(paper: str) -> bytes:
    """The sheet as a PDF page of the paper's size."""
    return pdf_bytes(marks_drawing(paper), "Table marks")


def marks_svg(paper: str) -> bytes:
    """The sheet as SVG in mm."""
    return svg_bytes(marks_drawing(paper))
