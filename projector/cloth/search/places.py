"""What a place costs a piece: how deep it would reach into the others, each times its weight.

A piece is tried at every place of the strip at once: the depth grids of its neighbours are
summed. The best places are then followed downhill between the nodes of the grids.
Everything here is compiled and works on the arrays of `Board` and `Lie`.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from projector.cloth.search.board import Array, Numbers
from projector.cloth.search.compiled import compiled

__all__ = ["allowed", "downhill", "least", "measure", "near", "scan"]


@compiled
def _deep(
    depth: npt.NDArray[np.float32], at: int, rows: int, columns: int, u: float, v: float
) -> float:
    """Depth between the nodes of one grid, at u columns and v rows from its first node, mm."""
    if u < 0.0 or v < 0.0 or u >= columns - 1 or v >= rows - 1:
        return 0.0
    c, r = int(u), int(v)
    u, v = u - c, v - r
    at += r * columns + c
    first = depth[at] * (1.0 - u) + depth[at + 1] * u
    second = depth[at + columns] * (1.0 - u) + depth[at + columns + 1] * u
    deep: float = first * (1.0 - v) + second * v
    return max(0.0, deep)


@compiled
def measure(
    depth: npt.NDArray[np.float32], grid: Numbers, origin: Array, cell: float,
    form: Numbers, place: Array, overlap: Array, i: int, first: int,
) -> float:  # fmt: skip
    """Fill in the overlaps of one piece with those from number `first` on; their sum, mm."""
    total = 0.0
    b = form[i]
    for j in range(first, len(form)):
        if j != i:
            a = form[j]
            u = (place[i, 0] - place[j, 0] - origin[a, b, 0]) / cell
            v = (place[i, 1] - place[j, 1] - origin[a, b, 1]) / cell
            deep = _deep(depth, grid[a, b, 0], grid[a, b, 1], grid[a, b, 2], u, v)
            overlap[i, j] = overlap[j, i] = deep
            total += deep
    return total


@compiled
def allowed(low: float, high: float, phase: float, step: float) -> tuple[float, int]:
    """First place and number of places from low to high that the step allows."""
    if step < 0.0:
        return phase, 1 if low - 1e-6 <= phase <= high + 1e-6 else 0
    first = phase + np.ceil((low - 1e-6 - phase) / step) * step
    if first > high + 1e-6:
        return first, 0
    return first, int((high + 1e-6 - first) / step) + 1


@compiled
def scan(
    depth: npt.NDArray[np.float32], grid: Numbers, origin: Array, cell: float,
    form: Numbers, place: Array, weight: Array, i: int, b: int, x0: float, y0: float,
    columns: int, rows: int, step_x: float, step_y: float, sums: npt.NDArray[np.float32],
) -> None:  # fmt: skip
    """Weighted depth of piece i in form b at every place of a lattice, into `sums`."""
    for r in range(rows):
        for c in range(columns):
            sums[r, c] = 0.0
    du, dv = step_x / cell, step_y / cell
    for j in range(len(form)):
        if j == i:
            continue
        a = form[j]
        start, tall, wide = grid[a, b, 0], grid[a, b, 1], grid[a, b, 2]
        u0 = (x0 - place[j, 0] - origin[a, b, 0]) / cell
        v0 = (y0 - place[j, 1] - origin[a, b, 1]) / cell
        if u0 > wide or v0 > tall or u0 + du * columns < 0.0 or v0 + dv * rows < 0.0:
            continue
        heavy = np.float32(weight[i, j])
        shift = int(np.rint(u0))
        first, last = max(0, -shift), min(columns, wide - shift)
        for r in range(max(0, int(-v0 / dv)), rows):
            v = int(np.rint(v0 + r * dv))
            if v >= tall:
                break
            if v < 0:
                continue
            at = start + v * wide
            if du == 1.0:
                for c in range(first, last):
                    sums[r, c] += heavy * max(depth[at + shift + c], np.float32(0.0))
            else:
                for c in range(columns):
                    u = int(np.rint(u0 + c * du))
                    if 0 <= u < wide:
                        sums[r, c] += heavy * max(depth[at + u], np.float32(0.0))


@compiled
def least(
    sums: npt.NDArray[np.float32], rows: int, columns: int, reach_r: int, reach_c: int,
    below: float, kept: int, places: Numbers,
) -> int:  # fmt: skip
    """The `kept` least sums below a value, apart from each other: rows r, c of `places`."""
    count = 0
    lowest = np.empty(rows, np.float32)
    column = np.empty(rows, np.int64)
    begin, end = 0, rows
    while count < kept:
        for r in range(begin, end):
            least, at = np.float32(np.inf), 0
            for c in range(columns):
                if sums[r, c] < least:
                    least, at = sums[r, c], c
            lowest[r], column[r] = least, at
        best, at_r = np.float32(below), -1
        for r in range(rows):
            if lowest[r] < best:
                best, at_r = lowest[r], r
        if at_r < 0:
            break
        at_c = column[at_r]
        places[count, 0], places[count, 1] = at_r, at_c
        count += 1
        begin, end = max(0, at_r - reach_r), min(rows, at_r + reach_r + 1)
        for r in range(begin, end):
            for c in range(max(0, at_c - reach_c), min(columns, at_c + reach_c + 1)):
                sums[r, c] = np.float32(np.inf)
    return count


@compiled
def near(
    grid: Numbers, origin: Array, cell: float, form: Numbers, place: Array, weight: Array,
    i: int, b: int, x: float, y: float, reach: float, index: Numbers, offset: Array,
) -> int:  # fmt: skip
    """Neighbours that form b can meet within `reach` of (x, y), for `_cost`."""
    count = 0
    for j in range(len(form)):
        if j == i:
            continue
        a = form[j]
        left, low = place[j, 0] + origin[a, b, 0], place[j, 1] + origin[a, b, 1]
        if x + reach < left or y + reach < low:
            continue
        tall, wide = grid[a, b, 1], grid[a, b, 2]
        if x - reach > left + wide * cell or y - reach > low + tall * cell:
            continue
        index[count, 0], index[count, 1], index[count, 2] = grid[a, b, 0], tall, wide
        offset[count, 0], offset[count, 1], offset[count, 2] = left, low, weight[i, j]
        count += 1
    return count


@compiled
def _cost(
    depth: npt.NDArray[np.float32], cell: float, index: Numbers, offset: Array, count: int,
    x: float, y: float,
) -> float:  # fmt: skip
    """Weighted depth at (x, y) against the neighbours found by `near`."""
    total = 0.0
    for k in range(count):
        u, v = (x - offset[k, 0]) / cell, (y - offset[k, 1]) / cell
        total += offset[k, 2] * _deep(depth, index[k, 0], index[k, 1], index[k, 2], u, v)
    return total


@compiled
def downhill(
    depth: npt.NDArray[np.float32], cell: float, index: Numbers, offset: Array, count: int,
    x: float, y: float, low_x: float, high_x: float, low_y: float, high_y: float,
    free_x: bool, free_y: bool, finest: float,
) -> tuple[float, float, float]:  # fmt: skip
    """Follow the cost downhill from a place with steps that halve; x, y and cost there."""
    cost = _cost(depth, cell, index, offset, count, x, y)
    step = 0.6 * cell
    along_x, along_y = 1.0, 0.0
    while step > finest * cell and cost > 0.0:
        better = False
        for _ in range(4):
            along_x, along_y = 0.28 * along_x - 0.96 * along_y, 0.96 * along_x + 0.28 * along_y
            px = min(high_x, max(low_x, x + step * along_x)) if free_x else x
            py = min(high_y, max(low_y, y + step * along_y)) if free_y else y
            there = _cost(depth, cell, index, offset, count, px, py)
            if there < cost:
                x, y, cost, better = px, py, there, True
                break
            px = min(high_x, max(low_x, x - step * along_x)) if free_x else x
            py = min(high_y, max(low_y, y - step * along_y)) if free_y else y
            there = _cost(depth, cell, index, offset, count, px, py)
            if there < cost:
                x, y, cost, better = px, py, there, True
                along_x, along_y = -along_x, -along_y
                break
        if not better:
            step *= 0.5
    return x, y, cost
