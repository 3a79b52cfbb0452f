"""No-fit boundaries of two polygons.

Polygon B may not be shifted by a vector inside the no-fit region of a fixed polygon A, which is
the Minkowski sum A + (-B). Its boundary is found from the convolution of the two outlines: the
winding number of the convolution about a vector counts the parts in which A and the shifted B
overlap (Guibas, Ramshaw and Stolfi 1983, "A kinetic framework for computational geometry").
Everything here is compiled and works on arrays: polygons (n, 2), counter-clockwise, mm.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from projector.cloth.search.compiled import compiled

__all__ = ["Array", "boundary", "convolution", "winding"]

Array = npt.NDArray[np.float64]


@compiled
def convolution(fixed: Array, moving: Array) -> tuple[Array, int]:
    """Directed segments (k, 4) x0 y0 x1 y1 of the convolution of `fixed` and -`moving`.

    The first `outer` of them stand at corners that turn left and may lie on the boundary; the
    rest, at inward corners and run backwards, are needed only to count windings.
    """
    n, m = len(fixed), len(moving)
    segments = np.empty((2 * n * m, 4))
    forward, back = 0, 2 * n * m
    for swapped in range(2):
        corners, edges = (fixed, moving) if swapped == 0 else (moving, fixed)
        sign_c, sign_e = (1.0, -1.0) if swapped == 0 else (-1.0, 1.0)
        count, others = len(corners), len(edges)
        for i in range(count):
            last, following = (i - 1) % count, (i + 1) % count
            low_x = sign_c * (corners[i, 0] - corners[last, 0])
            low_y = sign_c * (corners[i, 1] - corners[last, 1])
            high_x = sign_c * (corners[following, 0] - corners[i, 0])
            high_y = sign_c * (corners[following, 1] - corners[i, 1])
            turn = low_x * high_y - low_y * high_x
            if turn == 0.0:
                continue
            if turn < 0.0:
                low_x, low_y, high_x, high_y = high_x, high_y, low_x, low_y
            px, py = sign_c * corners[i, 0], sign_c * corners[i, 1]
            for j in range(others):
                end = (j + 1) % others
                ax, ay = sign_e * edges[j, 0], sign_e * edges[j, 1]
                bx, by = sign_e * edges[end, 0], sign_e * edges[end, 1]
                from_low = low_x * (by - ay) - low_y * (bx - ax)
                to_high = (bx - ax) * high_y - (by - ay) * high_x
                # Parallel edges go to one side only, as if -moving were turned by a hair.
                if swapped == 0:
                    inside = from_low >= 0.0 and to_high > 0.0
                else:
                    inside = from_low > 0.0 and to_high >= 0.0
                if not inside:
                    continue
                if turn > 0.0:
                    k = forward
                    forward += 1
                else:
                    back -= 1
                    k = back
                    ax, ay, bx, by = bx, by, ax, ay
                segments[k, 0], segments[k, 1] = ax + px, ay + py
                segments[k, 2], segments[k, 3] = bx + px, by + py
    # Both parts together: the forward ones first.
    for k in range(2 * n * m - back):
        for c in range(4):
            segments[forward + k, c] = segments[2 * n * m - 1 - k, c]
    return segments[: forward + 2 * n * m - back].copy(), forward


@compiled
def winding(segments: Array, x: float, y: float) -> int:
    """How often the directed segments wind about a point."""
    count = 0
    for k in range(len(segments)):
        y0, y1 = segments[k, 1], segments[k, 3]
        if (y0 <= y) == (y1 <= y):
            continue
        x0, x1 = segments[k, 0], segments[k, 2]
        side = (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)
        if y1 > y0 and side > 0.0:
            count += 1
        elif y1 < y0 and side < 0.0:
            count -= 1
    return count


@compiled
def boundary(segments: Array, outer: int, hair: float) -> Array:
    """Those parts (k, 4) of the convolution outside which nothing overlaps; inside is left."""
    total = len(segments)
    parts = np.empty((4 * total + 64, 4))
    count = 0
    crossings = np.empty(2 * total + 2)
    for k in range(outer):
        x, y = segments[k, 0], segments[k, 1]
        dx, dy = segments[k, 2] - x, segments[k, 3] - y
        size = np.sqrt(dx * dx + dy * dy)
        if size < hair:
            continue
        left, right = min(x, x + dx), max(x, x + dx)
        low, high = min(y, y + dy), max(y, y + dy)
        crossings[0] = 0.0
        found = 1
        for j in range(total):
            ax, ay, bx, by = segments[j, 0], segments[j, 1], segments[j, 2], segments[j, 3]
            if max(ax, bx) < left or min(ax, bx) > right or max(ay, by) < low or min(ay, by) > high:
                continue
            side_a = dx * (ay - y) - dy * (ax - x)
            side_b = dx * (by - y) - dy * (bx - x)
            if (side_a > 0.0 and side_b > 0.0) or (side_a < 0.0 and side_b < 0.0):
                continue
            if side_a == side_b:  # along the same line: split at both of its ends
                for end in range(2):
                    px, py = (ax, ay) if end == 0 else (bx, by)
                    at = ((px - x) * dx + (py - y) * dy) / (size * size)
                    if 0.0 < at < 1.0 and found < len(crossings) - 1:
                        crossings[found] = at
                        found += 1
                continue
            share = side_a / (side_a - side_b)
            px, py = ax + share * (bx - ax), ay + share * (by - ay)
            at = ((px - x) * dx + (py - y) * dy) / (size * size)
            if 0.0 < at < 1.0 and found < len(crossings) - 1:
                crossings[found] = at
                found += 1
        crossings[found] = 1.0
        found += 1
        for i in range(1, found):
            at, j = crossings[i], i - 1
            while j >= 0 and crossings[j] > at:
                crossings[j + 1] = crossings[j]
                j -= 1
            crossings[j + 1] = at
        for i in range(found - 1):
            if (crossings[i + 1] - crossings[i]) * size < hair:
                continue
            middle = 0.5 * (crossings[i] + crossings[i + 1])
            mx, my = x + middle * dx + hair * dy / size, y + middle * dy - hair * dx / size
            if winding(segments, mx, my) != 0:
                continue
            if count == len(parts):
                more = np.empty((2 * count, 4))
                for row in range(count):
                    for c in range(4):
                        more[row, c] = parts[row, c]
                parts = more
            parts[count, 0], parts[count, 1] = x + crossings[i] * dx, y + crossings[i] * dy
            parts[count, 2], parts[count, 3] = x + crossings[i + 1] * dx, y + crossings[i + 1] * dy
            count += 1
    return parts[:count].copy()
