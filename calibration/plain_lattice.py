"""The corners of a plain checkerboard that something covers: a hole in it, a sheet, a hand.

Crossings are joined to their neighbours from one to the next, round whatever is covered, and so
numbered. Where the rows and columns seen are as many as the board has, every crossing is known up
to a half turn.
"""

from __future__ import annotations

from collections import deque

import numpy as np
import numpy.typing as npt

from calibration.crossings import BLURS_PX, crossings
from calibration.homography import Array

__all__ = ["covered_corners"]

NEAR = 0.22
"""How far from where its neighbour puts it a crossing may lie, parts of the way."""
LEAST_SEEN = 0.4
"""Part of the board's corners that must be seen."""


def covered_corners(
    grey: npt.NDArray[np.uint8], columns: int, rows: int
) -> tuple[npt.NDArray[np.int64], Array] | None:
    """Ids (n,) and places (n, 2), pixels, of the inner corners seen of `columns` x `rows`.

    Counted row by row, or of a half turn; None when no lattice shows as many rows and columns.
    """
    for blur in reversed(BLURS_PX):
        seen = crossings(grey, blur)
        if seen is None:
            continue
        numbers, places = _numbered(*seen)
        ids = _ids(numbers, columns, rows)
        if ids is not None and len(ids) >= LEAST_SEEN * columns * rows:
            return ids, places
    return None


def _numbered(places: Array, one: Array, other: Array) -> tuple[npt.NDArray[np.int64], Array]:
    """Column and row (n, 2) of the most crossings that hang together, and their places (n, 2)."""
    left = set(range(len(places)))
    best: dict[tuple[int, int], int] = {}
    order = np.argsort(np.hypot(*(places - np.median(places, axis=0)).T))
    for first in order.tolist():
        if first not in left:
            continue
        found = _hanging(first, places, one, other)
        left -= set(found.values())
        if len(found) > len(best):
            best = found
    numbers = np.array(list(best), dtype=np.int64)
    return numbers, places[list(best.values())]


def _hanging(first: int, places: Array, one: Array, other: Array) -> dict[tuple[int, int], int]:
    across, down = one[first], other[first]
    if across[0] * down[1] - across[1] * down[0] < 0.0:
        down = -down  # as seen from above, x right and y down
    found = {(0, 0): first}
    taken = {first}
    waiting = deque([((0, 0), across, down)])
    while waiting:
        (column, row), right, below = waiting.popleft()
        here = places[found[column, row]]
        for x, y in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            place = (column + x, row + y)
            if place in found:
                continue
            step = x * right + y * below
            off = np.hypot(*(places - here - step).T)
            nearest = int(off.argmin())
            if off[nearest] > NEAR * np.hypot(*step) or nearest in taken:
                continue
            found[place] = nearest
            taken.add(nearest)
            real = places[nearest] - here
            ways = (x * real, below) if x else (right, y * real)
            waiting.append((place, *ways))
    return found


def _ids(numbers: npt.NDArray[np.int64], columns: int, rows: int) -> npt.NDArray[np.int64] | None:
    if len(numbers) == 0:
        return None
    x, y = (numbers - numbers.min(axis=0)).T
    size = int(x.max()) + 1, int(y.max()) + 1
    if size == (columns, rows):
        return np.asarray(y * columns + x, dtype=np.int64)
    if size == (rows, columns):  # turned by a quarter
        return np.asarray((rows - 1 - x) * columns + y, dtype=np.int64)
    return None
