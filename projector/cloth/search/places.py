"""What a place costs a piece: how deep it would reach into the others, each times its weight.

A piece is tried at every place of a lattice over the strip at once: the depths of its neighbours
are summed, row by row. The best places are then followed downhill by exact soundings.
"""

from __future__ import annotations

import numpy as np

from projector.cloth.search.board import Board, Lie, Slate
from projector.cloth.search.chart import sounding
from projector.cloth.search.compiled import compiled

__all__ = ["allowed", "downhill", "least", "measure", "near", "scan"]

ROUNDS = 6
HAIR = 1e-4
"""Part by which a way out is made longer, so that it ends outside."""


@compiled
def measure(board: Board, lie: Lie, i: int, first: int) -> float:
    """Fill in the overlaps of one piece with those from number `first` on; their sum, mm."""
    total = 0.0
    b = lie.form[i]
    for j in range(first, len(lie.form)):
        if j != i:
            a = lie.form[j]
            sign = board.pair[a, b, 4]
            x = sign * (lie.place[i, 0] - lie.place[j, 0])
            y = sign * (lie.place[i, 1] - lie.place[j, 1])
            u = (x - board.origin[a, b, 2]) / board.cell
            v = (y - board.origin[a, b, 3]) / board.cell
            deep = sounding(
                board.cells, board.lists, board.sides, board.pair[a, b, 3],
                board.pair[a, b, 1], board.pair[a, b, 2], u, v, x, y,
            )[0]  # fmt: skip
            lie.overlap[i, j] = lie.overlap[j, i] = deep
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
    board: Board, lie: Lie, i: int, b: int, x0: float, y0: float, columns: int, rows: int,
    step_x: float, step_y: float, slate: Slate,
) -> None:  # fmt: skip
    """Weighted depth of piece i in form b at every place of a lattice, into `slate.sums`.

    The least of each row is sought in their bits: whole numbers are in the same order, as no
    cost is below 0, and the compiler compares many of them at once.
    """
    sums, bits, lowest = slate.sums, slate.bits, slate.lowest
    index, offset = slate.around, slate.offset
    du, dv = step_x / board.cell, step_y / board.cell
    count = 0
    for j in range(len(lie.form)):
        if j == i:
            continue
        a = lie.form[j]
        tall, wide = board.pair[a, b, 1], board.pair[a, b, 2]
        u = (x0 - lie.place[j, 0] - board.origin[a, b, 0]) / board.cell
        v = (y0 - lie.place[j, 1] - board.origin[a, b, 1]) / board.cell
        if u > wide or v > tall or u + du * columns < 0.0 or v + dv * rows < 0.0:
            continue
        index[count, 0], index[count, 1], index[count, 2] = board.pair[a, b, 0], tall, wide
        offset[count, 0], offset[count, 1], offset[count, 2] = u, v, lie.weight[i, j]
        count += 1
    for r in range(rows):
        row = sums[r, :columns]
        for c in range(len(row)):
            row[c] = 0.0
    for k in range(count):
        start, tall, wide = index[k, 0], index[k, 1], index[k, 2]
        heavy = np.float32(offset[k, 2])
        if du == 1.0 and dv == 1.0:
            right, up = int(np.rint(offset[k, 0])), int(np.rint(offset[k, 1]))
            first, last = max(0, -right), min(columns, wide - right)
            if first >= last:
                continue
            start += right + first
            for r in range(max(0, -up), min(rows, tall - up)):
                # Slices of equal length let the compiler add many numbers at once.
                some = sums[r, first:last]
                at = start + (r + up) * wide
                deep = board.depth[at : at + last - first]
                for c in range(len(some)):
                    some[c] += heavy * deep[c]
            continue
        for r in range(rows):
            v = int(np.rint(offset[k, 1] + r * dv))
            if v < 0 or v >= tall:
                continue
            for c in range(columns):
                u = int(np.rint(offset[k, 0] + c * du))
                if 0 <= u < wide:
                    sums[r, c] += heavy * board.depth[start + v * wide + u]
    for r in range(rows):
        whole = bits[r, :columns]
        low = whole[0]
        for c in range(len(whole)):
            low = min(low, whole[c])
        lowest[r] = low


@compiled
def least(slate: Slate, rows: int, columns: int, reach_r: int, reach_c: int, below: int) -> int:
    """The least sums below a value, apart from each other: r, c, bits of `places`; their number."""
    bits, lowest, places, kept = slate.bits, slate.lowest, slate.places, slate.kept
    count = 0
    while count < kept:
        best, at_r = below, -1
        for r in range(rows):
            if lowest[r] < best:
                best, at_r = lowest[r], r
        if at_r < 0:
            break
        at_c = 0
        while bits[at_r, at_c] != best:
            at_c += 1
        places[count, 0], places[count, 1], places[count, 2] = at_r, at_c, best
        count += 1
        if count == kept:
            break
        for r in range(max(0, at_r - reach_r), min(rows, at_r + reach_r + 1)):
            for c in range(max(0, at_c - reach_c), min(columns, at_c + reach_c + 1)):
                bits[r, c] = 2147483647
            low = bits[r, 0]
            for c in range(1, columns):
                low = min(low, bits[r, c])
            lowest[r] = low
    return count


@compiled
def near(
    board: Board, lie: Lie, i: int, b: int, x: float, y: float, reach: float, slate: Slate
) -> int:
    """Fill in the neighbours that form b can meet within `reach` of (x, y); their number."""
    index, offset = slate.around, slate.offset
    count, cell = 0, board.cell
    for j in range(len(lie.form)):
        if j == i:
            continue
        a = lie.form[j]
        left = lie.place[j, 0] + board.origin[a, b, 0]
        low = lie.place[j, 1] + board.origin[a, b, 1]
        if x + reach < left or y + reach < low:
            continue
        tall, wide = board.pair[a, b, 1], board.pair[a, b, 2]
        if x - reach > left + wide * cell or y - reach > low + tall * cell:
            continue
        index[count, 0], index[count, 1], index[count, 2] = board.pair[a, b, 3], tall, wide
        offset[count, 0], offset[count, 1] = lie.place[j, 0], lie.place[j, 1]
        offset[count, 2], offset[count, 3] = board.origin[a, b, 2], board.origin[a, b, 3]
        offset[count, 4], offset[count, 5] = lie.weight[i, j], board.pair[a, b, 4]
        count += 1
    return count


@compiled
def _cost(board: Board, slate: Slate, count: int, x: float, y: float, above: float) -> float:
    """Weighted depth at (x, y) against the neighbours found by `near`; less exact once `above`."""
    index, offset = slate.around, slate.offset
    total = 0.0
    for k in range(count):
        sign = offset[k, 5]
        px, py = sign * (x - offset[k, 0]), sign * (y - offset[k, 1])
        u, v = (px - offset[k, 2]) / board.cell, (py - offset[k, 3]) / board.cell
        total += offset[k, 4] * sounding(
            board.cells, board.lists, board.sides, index[k, 0], index[k, 1], index[k, 2],
            u, v, px, py,
        )[0]  # fmt: skip
        if total >= above:
            break
    return total


@compiled
def _ways_out(board: Board, slate: Slate, count: int, x: float, y: float) -> tuple[float, int]:
    """Cost at (x, y), and how many neighbours are overlapped there.

    Of each, `slate.out` becomes the depth, the direction of the nearest way out, and the weight.
    """
    index, offset, out = slate.around, slate.offset, slate.out
    total, found = 0.0, 0
    for k in range(count):
        sign = offset[k, 5]
        px, py = sign * (x - offset[k, 0]), sign * (y - offset[k, 1])
        u, v = (px - offset[k, 2]) / board.cell, (py - offset[k, 3]) / board.cell
        deep, out_x, out_y = sounding(
            board.cells, board.lists, board.sides, index[k, 0], index[k, 1], index[k, 2],
            u, v, px, py,
        )  # fmt: skip
        if deep > 0.0:
            total += offset[k, 4] * deep
            out[found, 0], out[found, 3] = deep, offset[k, 4]
            out[found, 1], out[found, 2] = sign * out_x / deep, sign * out_y / deep
            found += 1
    return total, found


@compiled
def downhill(
    board: Board, slate: Slate, count: int, x: float, y: float, low_x: float, high_x: float,
    low_y: float, high_y: float, free_x: bool, free_y: bool, above: float,
) -> tuple[float, float, float]:  # fmt: skip
    """Follow the cost downhill from a place to where it is least near by; x, y and cost there.

    Inside a no-fit region depth falls evenly towards the nearest side, so that the least cost
    lies where the piece touches neighbours. Each round tries the ways out of every neighbour
    overlapped, the places that touch two of them at once, and slides along a border; if none is
    better, parts of the ways. It is given up where a cell's way can not bring it below `above`.
    """
    out = slate.out
    here, found = _ways_out(board, slate, count, x, y)
    for _ in range(ROUNDS):
        if found == 0:
            break
        heavy = 0.0
        for k in range(found):
            heavy += out[k, 3]
        if here - heavy * board.cell > above:
            break
        best, best_x, best_y = here, x, y
        slide_x = free_x and (not free_y or y <= low_y or y >= high_y)
        slide_y = free_y and (not free_x or x <= low_x or x >= high_x)
        share = 1.0 + HAIR
        while share > 0.1:
            for a in range(found):
                for b in range(a, found + 2 if share > 1.0 else a + 1):
                    if b == a:
                        go_x, go_y = out[a, 0] * out[a, 1], out[a, 0] * out[a, 2]
                    elif b < found:
                        across = out[a, 1] * out[b, 2] - out[a, 2] * out[b, 1]
                        if abs(across) < 0.05:
                            continue
                        go_x = (out[a, 0] * out[b, 2] - out[b, 0] * out[a, 2]) / across
                        go_y = (out[b, 0] * out[a, 1] - out[a, 0] * out[b, 1]) / across
                    elif b == found:
                        if not slide_x or abs(out[a, 1]) < 0.05:
                            continue
                        go_x, go_y = out[a, 0] / out[a, 1], 0.0
                    else:
                        if not slide_y or abs(out[a, 2]) < 0.05:
                            continue
                        go_x, go_y = 0.0, out[a, 0] / out[a, 2]
                    px = min(high_x, max(low_x, x + share * go_x)) if free_x else x
                    py = min(high_y, max(low_y, y + share * go_y)) if free_y else y
                    there = _cost(board, slate, count, px, py, best)
                    if there < best:
                        best, best_x, best_y = there, px, py
            if best < here:
                break
            share *= 0.5
        if best >= here:
            break
        x, y = best_x, best_y
        here, found = _ways_out(board, slate, count, x, y)
    return x, y, here
