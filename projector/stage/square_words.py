"""What is written into some of the 100 mm squares: how sure their side and their place are."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from calibration.errors import CalibrationError
from calibration.table_map import TableMap, screen_points
from calibration.uncertainty import error_radius, length_error, point_covariance
from drafting.plane import Point
from projector.stage.lit_frame import LitFrame, part_of, text_block
from projector.stage.picture import Array, Bounds, Part

__all__ = ["SIDE", "met_squares", "square_part", "told_squares"]

SIDE = 100.0
HEIGHT = 9.0
HALF_LONG, HALF_DEEP = 46.0, 20.0
"""Half of the room the words take in their square, mm."""
SHARES = (0.12, 0.5, 0.88)
"""Where squares are wanted that tell, as parts of the light across and away."""


def told_squares(frame: LitFrame, dots: Array, cards: list[Bounds]) -> tuple[Point, ...]:
    """The middles of nine squares spread over the light whose words meet no line, mm.

    `dots` (n, 2) are lines and labels on the table, `cards` the areas of cards, screen pixels.
    Where no square nearby is clear, the one that is wanted tells all the same.
    """
    low_x, low_y, high_x, high_y = frame.window
    first = np.ceil(np.array([low_x, low_y]) / SIDE).astype(int)
    size = np.floor(np.array([high_x, high_y]) / SIDE).astype(int) - first
    if size.min() < 1:
        return ()
    middles = (np.moveaxis(np.indices(tuple(size)), 0, -1) + first) * SIDE + SIDE / 2
    clear = np.ones(tuple(size), bool)
    met = _cells(frame, dots) - first
    met = met[((met >= 0) & (met < size)).all(axis=1)]
    clear[met[:, 0], met[:, 1]] = False
    for card in cards:
        clear &= ~_under(frame, middles, card)
    found: list[Point] = []
    for share_y in SHARES:
        for share_x in SHARES:
            wanted = (low_x + share_x * (high_x - low_x), low_y + share_y * (high_y - low_y))
            off = middles - np.array(wanted)
            away = np.hypot(off[:, :, 0], off[:, :, 1]) + np.where(clear, 0.0, 4.0 * SIDE)
            x, y = middles.reshape(-1, 2)[int(np.argmin(away))]
            found.append(Point(float(x), float(y)))
    return tuple(dict.fromkeys(found))


def met_squares(frame: LitFrame, dots: Array) -> set[tuple[int, int]]:
    """The squares, by their low corners in units of their side, whose words a dot lies on."""
    return {(int(x), int(y)) for x, y in _cells(frame, dots)}


def _cells(frame: LitFrame, dots: Array) -> npt.NDArray[np.int_]:
    cells = np.floor(dots / SIDE).astype(int)
    within = np.abs(dots - cells * SIDE - SIDE / 2)
    met: npt.NDArray[np.int_] = cells[(within < _half(frame)).all(axis=1)]
    return met


def _half(frame: LitFrame) -> Array:
    """Half of the words' room along the table's axes, mm."""
    half = (HALF_DEEP, HALF_LONG) if frame.text_turn % 2 else (HALF_LONG, HALF_DEEP)
    return np.array(half)


def _under(frame: LitFrame, middles: Array, card: Bounds) -> npt.NDArray[np.bool_]:
    """Which squares' words, by their corners and middles, a card on the screen meets."""
    left, top, right, bottom = card
    met = np.zeros(middles.shape[:2], bool)
    for x in (-1.0, 0.0, 1.0):
        for y in (-1.0, 0.0, 1.0):
            rows = (middles + _half(frame) * (x, y)).reshape(-1, 2)
            u, v = screen_points(frame.table_map, rows).T.reshape(2, *middles.shape[:2])
            met |= (u > left) & (u < right) & (v > top) & (v < bottom)
    return met


def square_part(frame: LitFrame, middle: Point) -> Part:
    """The words in one square: the 95 % error of its side and of its place on the table."""
    lines = [("100 mm", HEIGHT), ("error not known", HEIGHT)]
    errors = _errors(frame.table_map, middle)
    if errors is not None:
        side, place = errors
        lines = [(f"100 ±{side:.1f} mm", HEIGHT), (f"place ±{place:.1f}", HEIGHT)]
    return part_of(frame, writings=text_block(frame, middle, lines, frame.ink.text))


@lru_cache(maxsize=256)
def _errors(table_map: TableMap, middle: Point) -> tuple[float, float] | None:
    """95 % errors of the worse side and of the place, mm, rounded up to tenths."""
    x, y = middle.x, middle.y
    half = SIDE / 2
    try:
        sides = length_error(
            table_map, [(x - half, y), (x, y - half)], [(x + half, y), (x, y + half)]
        )
        place = error_radius(point_covariance(table_map, [(x, y)]))[0]
    except CalibrationError:
        return None
    side, there = (math.ceil(10.0 * float(error)) / 10.0 for error in (sides.max(), place))
    return side, there
