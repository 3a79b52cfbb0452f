"""Charts of depth: how deep one form reaches into another, at any place, in a few steps.

A chart covers the no-fit region of two forms with square cells. The depth at the middle of each
cell is kept for scanning; for exact soundings each cell lists those parts of the boundary one of
which is nearest, wherever in the cell the place may be. A sounding therefore measures its
distance to two or three segments rather than to all.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from projector.cloth.search.compiled import compiled
from projector.cloth.search.no_fit import Array

__all__ = ["Depths", "Places", "charted", "sides", "sounding"]

Depths = npt.NDArray[np.float32]
Places = npt.NDArray[np.int32]

BLOCK = 6
"""Cells along the side of a block, for which the parts that can be nearest are sought first."""


@compiled
def sides(parts: Array) -> Array:
    """Parts (k, 4) x0 y0 x1 y1 of a boundary as (k, 5): begin, unit direction, size."""
    found = np.empty((len(parts), 5))
    for k in range(len(parts)):
        dx, dy = parts[k, 2] - parts[k, 0], parts[k, 3] - parts[k, 1]
        size = np.sqrt(dx * dx + dy * dy)
        found[k, 0], found[k, 1], found[k, 2] = parts[k, 0], parts[k, 1], dx / size
        found[k, 3], found[k, 4] = dy / size, size
    return found


@compiled
def _far(side: Array, k: int, x: float, y: float) -> float:
    """Distance of a place from side k."""
    px, py = x - side[k, 0], y - side[k, 1]
    along = px * side[k, 2] + py * side[k, 3]
    along -= min(max(along, 0.0), side[k, 4])
    across = side[k, 2] * py - side[k, 3] * px
    return float(np.sqrt(along * along + across * across))


@compiled
def charted(
    segments: Array, side: Array, x0: float, y0: float, cell: float, rows: int, columns: int
) -> tuple[Depths, Places, Places]:
    """Depths (rows, columns), 0 outside; begin and length (rows * columns, 2) of lists; the lists.

    Cell (r, c) has its middle at (x0 + c cell, y0 + r cell); `side` is the boundary as `sides`
    gives it. Cells where nothing overlaps have an empty list.
    """
    inside = np.zeros((rows, columns + 1), np.int32)
    for k in range(len(segments)):
        ax, ay, bx, by = segments[k, 0], segments[k, 1], segments[k, 2], segments[k, 3]
        if ay == by:
            continue
        low, high = min(ay, by), max(ay, by)
        sign = 1 if by > ay else -1
        for r in range(max(0, int(np.ceil((low - y0) / cell))), rows):
            y = y0 + r * cell
            if y >= high:
                break
            if y < low:
                continue
            x = ax + (y - ay) / (by - ay) * (bx - ax)
            inside[r, min(columns, max(0, int(np.ceil((x - x0) / cell))))] += sign
    for r in range(rows):
        for c in range(columns - 1, -1, -1):
            inside[r, c] += inside[r, c + 1]
    # The windings about the middle of cell c are now in column c + 1.
    half = 0.70711 * cell
    depth = np.zeros((rows, columns), np.float32)
    cells = np.zeros((rows * columns, 2), np.int32)
    lists = np.empty(8 * rows * columns + len(side), np.int32)
    count = 0
    near = np.empty(len(side), np.int64)
    far = np.empty(len(side))
    for block_r in range(0, rows, BLOCK):
        for block_c in range(0, columns, BLOCK):
            tall, wide = min(BLOCK, rows - block_r), min(BLOCK, columns - block_c)
            x = x0 + (block_c + 0.5 * (wide - 1)) * cell
            y = y0 + (block_r + 0.5 * (tall - 1)) * cell
            reach = 0.5 * cell * np.sqrt(tall * tall + wide * wide)
            least = np.inf
            for k in range(len(side)):
                far[k] = _far(side, k, x, y)
                least = min(least, far[k])
            found = 0
            for k in range(len(side)):
                if far[k] <= least + 2.001 * reach:
                    near[found] = k
                    found += 1
            for r in range(block_r, block_r + tall):
                for c in range(block_c, block_c + wide):
                    x, y = x0 + c * cell, y0 + r * cell
                    least = np.inf
                    for n in range(found):
                        far[n] = _far(side, near[n], x, y)
                        least = min(least, far[n])
                    if inside[r, c + 1] != 0:
                        depth[r, c] = least
                    elif least > half:
                        continue
                    cells[r * columns + c, 0] = count
                    if count + found > len(lists):
                        more = np.empty(2 * len(lists) + found, np.int32)
                        for n in range(count):
                            more[n] = lists[n]
                        lists = more
                    for n in range(found):
                        if far[n] <= least + 2.001 * half:
                            lists[count] = near[n]
                            count += 1
                    cells[r * columns + c, 1] = count - cells[r * columns + c, 0]
    return depth, cells, lists[:count].copy()


@compiled
def sounding(
    cells: Places, lists: Places, side: Array, base: int, tall: int, wide: int,
    u: float, v: float, x: float, y: float,
) -> tuple[float, float, float]:  # fmt: skip
    """Depth at the place (x, y), and the way out: the shift x, y to the nearest boundary.

    The place lies u columns and v rows from the middle of cell (0, 0). Whether it is inside is
    told by the nearest side; where two meet in a corner, by that of them which lies more square
    to the way there.
    """
    if u <= -0.5 or v <= -0.5 or u >= wide - 0.5 or v >= tall - 0.5:
        return 0.0, 0.0, 0.0
    at = base + int(v + 0.5) * wide + int(u + 0.5)
    begin = cells[at, 0]
    squared, lean, past, nearest = np.inf, 0.0, 0.0, 0
    for k in range(begin, begin + cells[at, 1]):
        s = lists[k]
        px, py = x - side[s, 0], y - side[s, 1]
        along = px * side[s, 2] + py * side[s, 3]
        across = side[s, 2] * py - side[s, 3] * px
        along -= min(max(along, 0.0), side[s, 4])
        far = along * along + across * across
        if far < squared * (1.0 - 1e-9):
            squared, lean, past, nearest = far, across, along, s
        elif far <= squared * (1.0 + 1e-9):
            squared = min(far, squared)
            if abs(across) > abs(lean):
                lean, past, nearest = across, along, s
    if lean <= 0.0:
        return 0.0, 0.0, 0.0
    dx, dy = side[nearest, 2], side[nearest, 3]
    return np.sqrt(squared), lean * dy - past * dx, -lean * dx - past * dy
