"""How sure the map is, drawn over the table: steps of error, hatched where it is too much."""

from __future__ import annotations

import numpy as np

from calibration.table_map import Array, TableMap, lit_outline
from calibration.uncertainty import error_map, metre_error
from drafting.drawing import (
    Box,
    Drawing,
    Layer,
    Mark,
    Pen,
    Polyline,
    Words,
    around,
    grown,
    rectangle,
)
from drafting.plane import Point

__all__ = ["STEPS", "error_drawing"]

STEPS = (0.25, 0.5, 0.75, 1.0, 1.5, 2.0)
"""Upper ends of the steps of error, mm."""
TINTS = ("#e7f0ea", "#cfe3d6", "#f4eccb", "#f0d6a8", "#e6b48c", "#d48f79", "#b96a6a")
LETTER = 26.0


def error_drawing(table_map: TableMap, tolerance: float = 1.0) -> Drawing:
    """The 95 % error over the lit area, mm, in the table's frame.

    Raises `CalibrationError` for a map that does not say how sure it is.
    """
    found = error_map(table_map, 50.0)
    points, radius = found.points, found.radius
    told = _told(radius)
    cells: list[Mark] = []
    hatches: list[Mark] = []
    for row in range(radius.shape[0] - 1):
        for column in range(radius.shape[1] - 1):
            square = points[row : row + 2, column : column + 2]
            error = float(radius[row : row + 2, column : column + 2].mean())
            corners = (square[0, 0], square[0, 1], square[1, 1], square[1, 0])
            step = int(np.searchsorted(STEPS, error))
            cells.append(Polyline(tuple(map(_point, corners)), None, TINTS[step], closed=True))
            words = any(row in (y - 1, y) and column in (x - 1, x) for y, x in told)
            if error > tolerance and not words:  # no hatching through the numbers
                ends = (_point(square[0, 0]), _point(square[1, 1]))
                hatches.append(Polyline(ends, Pen(1.6, "#6b3030")))
    outline = lit_outline(table_map)
    box = around(map(_point, outline))
    edge = Polyline(tuple(map(_point, outline)), Pen(2.0), closed=True)
    layers = (
        Layer("error", tuple(cells)),
        Layer("too much", tuple(hatches)),
        Layer("lit area", (edge,)),
        Layer("numbers", _numbers(points, radius, told)),
        Layer("key", _key(box, table_map, tolerance)),
    )
    page = Box(box.left, box.bottom - 5.2 * LETTER, box.right, box.top + 1.9 * LETTER)
    return Drawing(grown(page, LETTER), layers, "How sure the map is")


def _point(place: Array) -> Point:
    return Point(float(place[0]), float(place[1]))


def _numbers(points: Array, radius: Array, told: list[tuple[int, int]]) -> tuple[Mark, ...]:
    return tuple(
        Words(
            _point(points[row, column]) - Point(0.0, 0.4 * LETTER),
            f"± {radius[row, column]:.2f}",
            LETTER,
            "middle",
        )
        for row, column in told
    )


def _told(radius: Array) -> list[tuple[int, int]]:
    """The rows and columns whose error is written, clear of the edge of the light."""
    high, wide = radius.shape
    rows = np.linspace(1, high - 2, 4).round().astype(int)
    columns = np.linspace(min(2.0, 0.1 * wide), wide - 1 - min(2.0, 0.1 * wide), 6)
    return [(int(row), int(column)) for row in rows for column in columns.round()]


def _key(box: Box, table_map: TableMap, tolerance: float) -> tuple[Mark, ...]:
    head = (
        f"Error in mm (95 %) over the lit table; a length of 1 m is right to "
        f"± {metre_error(table_map):.2f} mm"
    )
    marks: list[Mark] = [Words(Point(box.left, box.top + 0.9 * LETTER), head, LETTER)]
    width = box.width / len(TINTS)
    top = box.bottom - 0.9 * LETTER
    for number, tint in enumerate(TINTS):
        left = box.left + number * width
        patch = Box(left, top - LETTER, left + width, top)
        marks.append(rectangle(patch, Pen(0.8), tint))
        text = f"to {STEPS[number]:g}" if number < len(STEPS) else f"over {STEPS[-1]:g}"
        place = Point(left + width / 2, top - 2.4 * LETTER)
        marks.append(Words(place, text, 0.8 * LETTER, "middle"))
    words = f"hatched: more than the {tolerance:g} mm that are wanted"
    marks.append(Words(Point(box.left, top - 4.2 * LETTER), words, 0.8 * LETTER))
    return tuple(marks)
