"""No-fit boundaries of two polygons, and how deep one reaches into the other.

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

__all__ = ["Array", "Grid", "boundary", "convolution", "depth_grid", "winding"]

Array = npt.NDArray[np.float64]
Grid = npt.NDArray[np.float32]


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


@compiled
def _squared(parts: Array, k: int, x: float, y: float) -> float:
    """Squared distance from segment k."""
    dx, dy = parts[k, 2] - parts[k, 0], parts[k, 3] - parts[k, 1]
    px, py = x - parts[k, 0], y - parts[k, 1]
    share = (px * dx + py * dy) / (dx * dx + dy * dy)
    share = min(1.0, max(0.0, share))
    px, py = px - share * dx, py - share * dy
    squared: float = px * px + py * py
    return squared


@compiled
def depth_grid(
    segments: Array, parts: Array, x0: float, y0: float, cell: float, rows: int, columns: int
) -> Grid:
    """Depth (rows, columns) in mm at the nodes of a grid; below 0 outside the no-fit region.

    Depth is the distance from the boundary, that is the shortest shift that ends the overlap.
    Node (r, c) is the vector (x0 + c cell, y0 + r cell).
    """
    inside = np.zeros((rows, columns + 1), np.int32)
    for k in range(len(segments)):
        ax, ay, bx, by = segments[k, 0], segments[k, 1], segments[k, 2], segments[k, 3]
        if ay == by:
            continue
        low, high = min(ay, by), max(ay, by)
        first = max(0, int(np.ceil((low - y0) / cell)))
        sign = 1 if by > ay else -1
        for r in range(first, rows):
            y = y0 + r * cell
            if y >= high:
                break
            if y < low:
                continue
            x = ax + (y - ay) / (by - ay) * (bx - ax)
            c = min(columns, max(0, int(np.ceil((x - x0) / cell))))
            inside[r, c] += sign  # counts for every node to the left of it
    nearest = np.full((rows, columns), -1, np.int32)
    squared = np.full((rows, columns), np.inf)
    for k in range(len(parts)):
        dx, dy = parts[k, 2] - parts[k, 0], parts[k, 3] - parts[k, 1]
        steps = int(np.sqrt(dx * dx + dy * dy) / (0.7 * cell)) + 1
        for s in range(steps + 1):
            c0 = int((parts[k, 0] + dx * s / steps - x0) / cell)
            r0 = int((parts[k, 1] + dy * s / steps - y0) / cell)
            for r in range(max(0, r0 - 1), min(rows, r0 + 3)):
                for c in range(max(0, c0 - 1), min(columns, c0 + 3)):
                    away = _squared(parts, k, x0 + c * cell, y0 + r * cell)
                    if away < squared[r, c]:
                        squared[r, c], nearest[r, c] = away, k
    for sweep in range(4):
        for i in range(rows):
            r = i if sweep % 2 == 0 else rows - 1 - i
            for j in range(columns):
                c = j if sweep % 2 == 0 else columns - 1 - j
                for dr in range(-1, 2):
                    for dc in range(-1, 2):
                        if 0 <= r + dr < rows and 0 <= c + dc < columns:
                            k = nearest[r + dr, c + dc]
                            if k >= 0 and k != nearest[r, c]:
                                away = _squared(parts, k, x0 + c * cell, y0 + r * cell)
                                if away < squared[r, c]:
                                    squared[r, c], nearest[r, c] = away, k
    depth = np.empty((rows, columns), np.float32)
    for r in range(rows):
        around = 0
        for c in range(columns - 1, -1, -1):
            around += inside[r, c + 1]
            away = np.sqrt(squared[r, c])
            depth[r, c] = away if around != 0 else -away
    return depth
