"""Pieces that overlap are moved, one after another, to where they overlap least.

Guided local search (Voudouris and Tsang 1999): every pair of pieces has a weight that grows as
long as the two overlap, so that the search is driven out of dead ends.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from projector.cloth.search.board import Array, Board, Lie, Numbers
from projector.cloth.search.compiled import compiled
from projector.cloth.search.places import allowed, downhill, least, measure, near, scan

__all__ = ["measured", "seeded", "separated"]


@compiled
def seeded(state: npt.NDArray[np.uint64]) -> float:
    """The next number in [0, 1) of a chain of chance (Marsaglia 2003, xorshift)."""
    s = state[0]
    s ^= s << np.uint64(13)
    s ^= s >> np.uint64(7)
    s ^= s << np.uint64(17)
    state[0] = s
    return float(s >> np.uint64(11)) / 9007199254740992.0


@compiled
def _move(
    depth: npt.NDArray[np.float32], grid: Numbers, origin: Array, cell: float, box: Array,
    ways: Numbers, way_form: Numbers, way_phase: Array, step: Array, span: Array,
    form: Numbers, now: Numbers, place: Array, weight: Array, overlap: Array, i: int,
    length: float, sums: npt.NDArray[np.float32], places: Numbers, index: Numbers,
    offset: Array, kept: int,
) -> bool:  # fmt: skip
    """Move one piece to the best place there is for it; whether it moved."""
    here = 0.0
    for j in range(len(form)):
        here += weight[i, j] * overlap[i, j]
    best, best_x, best_y, best_way = here * (1.0 - 1e-6), 0.0, 0.0, -1
    free_x, free_y = step[i, 0] == 0.0, step[i, 1] == 0.0
    reach = 4.0 * cell
    for way in range(ways[i], ways[i + 1]):
        b = way_form[way]
        low_x, high_x = -box[b, 0], length - box[b, 2]
        low_y, high_y = span[i, 0] - box[b, 1], span[i, 1] - box[b, 3]
        if high_x < low_x - 1e-6 or high_y < low_y - 1e-6:
            continue
        step_x = cell if free_x else step[i, 0]
        step_y = cell if free_y else step[i, 1]
        x0, columns = allowed(low_x, high_x, low_x if free_x else way_phase[way, 0], step_x)
        y0, rows = allowed(low_y, high_y, low_y if free_y else way_phase[way, 1], step_y)
        if rows == 0 or columns == 0:
            continue
        scan(
            depth, grid, origin, cell, form, place, weight, i, b,
            x0, y0, columns, rows, step_x, step_y, sums,
        )  # fmt: skip
        count = least(
            sums, rows, columns, 2 if free_y else 0, 2 if free_x else 0,
            best, kept, places,
        )  # fmt: skip
        for k in range(-1, count):
            if k < 0:  # from where it lies now, too
                if way != now[i]:
                    continue
                x, y = place[i, 0], place[i, 1]
            else:
                x, y = x0 + places[k, 1] * step_x, y0 + places[k, 0] * step_y
            around = near(
                grid, origin, cell, form, place, weight, i, b,
                x, y, reach, index, offset,
            )  # fmt: skip
            x, y, cost = downhill(
                depth, cell, index, offset, around, x, y,
                max(low_x, x - reach), min(high_x, x + reach),
                max(low_y, y - reach), min(high_y, y + reach), free_x, free_y, 0.02,
            )  # fmt: skip
            if cost < best:
                best, best_x, best_y, best_way = cost, x, y, way
        if best <= 0.0:
            break
    if best_way < 0:
        return False
    now[i], form[i] = best_way, way_form[best_way]
    place[i, 0], place[i, 1] = best_x, best_y
    measure(depth, grid, origin, cell, form, place, overlap, i, 0)
    return True


@compiled
def measured(board: Board, lie: Lie) -> float:
    """Fill in every overlap; the sum over all pairs, mm."""
    total = 0.0
    for i in range(len(board.ways) - 1):
        total += measure(
            board.depth, board.grid, board.origin, board.cell, lie.form, lie.place, lie.overlap,
            i, i + 1,
        )  # fmt: skip
    return total


@compiled
def separated(
    board: Board, lie: Lie, length: float, moves: int, patience: int, enough: float,
    chance: npt.NDArray[np.uint64], sums: npt.NDArray[np.float32], kept: int,
) -> tuple[float, int]:  # fmt: skip
    """Move overlapping pieces until the overlaps sum to at most `enough` mm; the lowest sum.

    Ends after `moves` moves tried, or `patience` rounds without a lay 2 % better; `lie` is then
    the best lay met. Returns its sum of overlaps and the moves tried.
    """
    pieces, everything = len(board.ways) - 1, len(lie.form)
    places = np.empty((kept, 2), np.int64)
    index, offset = np.empty((everything, 3), np.int64), np.empty((everything, 3))
    lowest = total = mark = measured(board, lie)
    way, place, weight, overlap = lie.way, lie.place, lie.weight, lie.overlap
    kept_way, kept_place = np.empty(pieces, np.int64), np.empty((pieces, 2))
    order = np.empty(pieces, np.int64)
    tried = quiet = 0
    for i in range(pieces):
        kept_way[i] = way[i]
        kept_place[i, 0], kept_place[i, 1] = place[i, 0], place[i, 1]
    while total > enough and tried < moves and quiet < patience:
        count = 0
        for i in range(pieces):
            for j in range(everything):
                if overlap[i, j] > 0.0:
                    order[count] = i
                    count += 1
                    break
        for k in range(count - 1, 0, -1):
            other = int(seeded(chance) * (k + 1))
            order[k], order[other] = order[other], order[k]
        for k in range(count):
            i = order[k]
            for j in range(everything):
                if overlap[i, j] > 0.0:
                    _move(
                        board.depth, board.grid, board.origin, board.cell, board.box, board.ways,
                        board.way_form, board.way_phase, board.step, board.span, lie.form, way,
                        place, weight, overlap, i, length, sums, places, index, offset, kept,
                    )  # fmt: skip
                    tried += 1
                    break
        total, worst = 0.0, 0.0
        for i in range(pieces):
            for j in range(i + 1, everything):
                total += overlap[i, j]
                worst = max(worst, overlap[i, j])
        if total < lowest:
            lowest = total
            for i in range(pieces):
                kept_way[i] = way[i]
                kept_place[i, 0], kept_place[i, 1] = place[i, 0], place[i, 1]
        if lowest < 0.98 * mark:
            mark, quiet = lowest, 0
        else:
            quiet += 1
        for i in range(pieces):
            for j in range(i + 1, everything):
                deep = overlap[i, j]
                if deep > 0.0:
                    heavier = weight[i, j] * (1.2 + 0.8 * deep / worst)
                else:
                    heavier = max(1.0, weight[i, j] * 0.95)
                weight[i, j] = weight[j, i] = heavier
    for i in range(pieces):
        way[i], lie.form[i] = kept_way[i], board.way_form[kept_way[i]]
        place[i, 0], place[i, 1] = kept_place[i, 0], kept_place[i, 1]
    measured(board, lie)
    return lowest, tried
