"""Pieces that overlap are moved, one after another, to where they overlap least.

Guided local search (Voudouris and Tsang 1999): every pair of pieces has a weight that grows as
long as the two overlap, so that the search is driven out of dead ends.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from projector.cloth.search.board import Board, Lie, Slate
from projector.cloth.search.compiled import compiled
from projector.cloth.search.places import allowed, downhill, least, measure, near, scan

__all__ = ["measured", "seeded", "separated"]

GROWTH, MORE_GROWTH, DECAY = 1.1, 0.5, 0.96
"""Each round the weight of a pair that overlaps grows by the first, and by as much as the second
the more it overlaps; of other pairs it decays."""
HEAVIEST = 1e12
"""Weight at which all are made lighter, so that costs stay within single precision."""
REACH = 2.5
"""Cells that a piece may go, from a place of the lattice, along each axis."""


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
def _range(board: Board, i: int, b: int, length: float) -> tuple[float, float, float, float]:
    """Least and greatest x, least and greatest y, at which piece i in form b is on the strip."""
    return (
        -board.box[b, 0],
        length - board.box[b, 2],
        board.span[i, 0] - board.box[b, 1],
        board.span[i, 1] - board.box[b, 3],
    )


@compiled
def _found(board: Board, lie: Lie, i: int, length: float, slate: Slate, below: float) -> int:
    """Fill in places of a lattice, in any of its ways, where a piece costs least; their number.

    The last one is where it lies now: most often it is the worst.
    """
    free_x, free_y = board.step[i, 0] == 0.0, board.step[i, 1] == 0.0
    tries, found = slate.tries, 0
    slate.number[0] = below
    most = slate.number_bits[0]
    for way in range(board.ways[i], board.ways[i + 1]):
        if not board.apart[way]:
            continue
        b = board.way_form[way]
        low_x, high_x, low_y, high_y = _range(board, i, b, length)
        if high_x < low_x - 1e-6 or high_y < low_y - 1e-6:
            continue
        step_x = board.cell if free_x else board.step[i, 0]
        step_y = board.cell if free_y else board.step[i, 1]
        x0, columns = allowed(low_x, high_x, low_x if free_x else board.way_phase[way, 0], step_x)
        y0, rows = allowed(low_y, high_y, low_y if free_y else board.way_phase[way, 1], step_y)
        if rows == 0 or columns == 0:
            continue
        scan(board, lie, i, b, x0, y0, columns, rows, step_x, step_y, slate)
        reach_r, reach_c = 2 if free_y else 0, 2 if free_x else 0
        for k in range(least(slate, rows, columns, reach_r, reach_c, most)):
            slate.number_bits[0] = slate.places[k, 2]
            tries[found, 0], tries[found, 1] = slate.number[0], float(way)
            tries[found, 2] = x0 + slate.places[k, 1] * step_x
            tries[found, 3] = y0 + slate.places[k, 0] * step_y
            found += 1
    tries[found, 0], tries[found, 1] = np.inf, float(lie.way[i])
    tries[found, 2], tries[found, 3] = lie.place[i, 0], lie.place[i, 1]
    return found + 1


@compiled
def _move(board: Board, lie: Lie, i: int, length: float, slate: Slate) -> bool:
    """Move one piece to the best place there is for it; whether it moved."""
    here = 0.0
    for j in range(len(lie.form)):
        here += lie.weight[i, j] * lie.overlap[i, j]
    best, best_x, best_y, best_way = here * (1.0 - 1e-6), 0.0, 0.0, -1
    free_x, free_y = board.step[i, 0] == 0.0, board.step[i, 1] == 0.0
    reach = REACH * board.cell
    tries = slate.tries
    for left in range(_found(board, lie, i, length, slate, best), 0, -1):
        k = 0
        for other in range(1, left):
            if tries[other, 0] < tries[k, 0]:
                k = other
        way, x, y = int(tries[k, 1]), tries[k, 2], tries[k, 3]
        for c in range(4):
            tries[k, c] = tries[left - 1, c]
        b = board.way_form[way]
        low_x, high_x, low_y, high_y = _range(board, i, b, length)
        around = near(board, lie, i, b, x, y, reach, slate)
        x, y, there = downhill(
            board, slate, around, x, y, max(low_x, x - reach), min(high_x, x + reach),
            max(low_y, y - reach), min(high_y, y + reach), free_x, free_y, best,
        )  # fmt: skip
        if there < best:
            best, best_x, best_y, best_way = there, x, y, way
            if best <= 0.0:
                break
    if best_way < 0:
        return False
    lie.way[i], lie.form[i] = best_way, board.way_form[best_way]
    lie.place[i, 0], lie.place[i, 1] = best_x, best_y
    measure(board, lie, i, 0)
    return True


@compiled
def measured(board: Board, lie: Lie) -> float:
    """Fill in every overlap; the sum over all pairs, mm."""
    total = 0.0
    for i in range(len(board.ways) - 1):
        total += measure(board, lie, i, i + 1)
    return total


@compiled
def separated(
    board: Board, lie: Lie, length: float, moves: int, patience: int, enough: float,
    chance: npt.NDArray[np.uint64], slate: Slate,
) -> tuple[float, int]:  # fmt: skip
    """Move overlapping pieces until the overlaps sum to at most `enough` mm; the lowest sum.

    Ends after `moves` moves tried, or `patience` rounds without a lay 2 % better; `lie` is then
    the best lay met. Returns its sum of overlaps and the moves tried.
    """
    pieces, everything = len(board.ways) - 1, len(lie.form)
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
                    _move(board, lie, i, length, slate)
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
        heaviest = 1.0
        for i in range(pieces):
            for j in range(i + 1, everything):
                deep = overlap[i, j]
                if deep > 0.0:
                    heavier = weight[i, j] * (GROWTH + MORE_GROWTH * deep / worst)
                else:
                    heavier = max(board.lightest[i, j], weight[i, j] * DECAY)
                weight[i, j] = weight[j, i] = heavier
                heaviest = max(heaviest, heavier)
        if heaviest > HEAVIEST:
            for i in range(pieces):
                for j in range(everything):
                    lighter = weight[i, j] / np.sqrt(HEAVIEST)
                    weight[i, j] = max(board.lightest[i, j], lighter)
            for j in range(pieces, everything):
                for i in range(pieces):
                    weight[j, i] = weight[i, j]
    for i in range(pieces):
        way[i], lie.form[i] = kept_way[i], board.way_form[kept_way[i]]
        place[i, 0], place[i, 1] = kept_place[i, 0], kept_place[i, 1]
    measured(board, lie)
    return lowest, tried
