"""Half-planes in which two pieces may move past each other without overlapping."""

from __future__ import annotations

import numpy as np

from projector.cloth.search.compiled import compiled
from projector.cloth.search.no_fit import Array, winding

__all__ = ["corridor", "nearest"]

MOST_PLANES = 8
"""Half-planes kept round one place."""


@compiled
def nearest(
    parts: Array, planes: Array, count: int, x: float, y: float, reach: float, hair: float
) -> tuple[float, float, int]:
    """The point nearest to (x, y) of what the half-planes leave of a boundary, and its part.

    `planes` rows are nx, ny, c: nx X + ny Y >= c. Part -1 when nothing lies within a square of
    half-width `reach` about (x, y).
    """
    best, best_x, best_y, best_k = np.inf, 0.0, 0.0, -1
    for k in range(len(parts)):
        ax, ay, bx, by = parts[k, 0], parts[k, 1], parts[k, 2], parts[k, 3]
        if (
            max(ax, bx) < x - reach
            or min(ax, bx) > x + reach
            or max(ay, by) < y - reach
            or min(ay, by) > y + reach
        ):
            continue
        begin, end = 0.0, 1.0
        for h in range(count):
            at_a = planes[h, 0] * ax + planes[h, 1] * ay - planes[h, 2] - hair
            at_b = planes[h, 0] * bx + planes[h, 1] * by - planes[h, 2] - hair
            if at_a <= 0.0 and at_b <= 0.0:
                end = -1.0
                break
            if at_a < 0.0:
                begin = max(begin, at_a / (at_a - at_b))
            elif at_b < 0.0:
                end = min(end, at_a / (at_a - at_b))
        if begin >= end:
            continue
        dx, dy = bx - ax, by - ay
        share = ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)
        share = min(end, max(begin, share))
        px, py = ax + share * dx, ay + share * dy
        away = (px - x) ** 2 + (py - y) ** 2
        if away < best and abs(px - x) <= reach and abs(py - y) <= reach:
            best, best_x, best_y, best_k = away, px, py, k
    return best_x, best_y, best_k


@compiled
def corridor(
    segments: Array, parts: Array, x: float, y: float, reach: float, hair: float
) -> tuple[Array, int, float]:
    """Half-planes (k, 3) round a relative place, and how deep the pieces overlap there, mm.

    Within `reach` of the place, no point inside all half-planes overlaps. When the place itself
    overlaps, it is first carried to the nearest point where it does not.
    """
    planes = np.empty((MOST_PLANES, 3))
    count, depth = 0, 0.0
    px, py, k = nearest(parts, planes, 0, x, y, np.inf, hair)
    if winding(segments, x, y) != 0:
        depth = np.sqrt((px - x) ** 2 + (py - y) ** 2)
        x, y = px, py
    while k >= 0 and count < MOST_PLANES:
        nx, ny = parts[k, 3] - parts[k, 1], parts[k, 0] - parts[k, 2]
        size = np.sqrt(nx * nx + ny * ny)
        nx, ny = nx / size, ny / size
        away = nx * (x - px) + ny * (y - py)
        # A part that is touched has its own side, though what planes leave of it begins beyond.
        along = min(size, max(0.0, nx * (y - parts[k, 1]) - ny * (x - parts[k, 0])))
        off_x, off_y = parts[k, 0] - ny * along - x, parts[k, 1] + nx * along - y
        touched = off_x * off_x + off_y * off_y <= 4.0 * hair * hair
        slanted = (px - x) ** 2 + (py - y) ** 2 > (away + hair) ** 2
        if away < -hair or (slanted and not touched):
            # Nearest at a corner: the line square to the way there keeps the corner out.
            nx, ny = x - px, y - py
            size = np.sqrt(nx * nx + ny * ny)
            if size <= hair:
                break
            nx, ny = nx / size, ny / size
        planes[count, 0], planes[count, 1] = nx, ny
        planes[count, 2] = nx * px + ny * py
        count += 1
        px, py, k = nearest(parts, planes, count, x, y, reach, hair)
    return planes, count, depth
