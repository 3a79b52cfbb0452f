"""One search of its own for the shortest lay: separate, slide together, shorten, and again."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from projector.cloth.search.board import Lie, Numbers, Slate, slate_for
from projector.cloth.search.compaction import SLIP, compacted
from projector.cloth.search.no_fit_table import NoFitTable
from projector.cloth.search.problem import Array, Problem, Spot, far_end
from projector.cloth.search.separation import separated

__all__ = ["Island", "advanced", "begun", "spots_of", "taken_over"]

SHORTER, SHORTEST = 0.004, 0.001
"""Part by which a lay is shortened before its pieces are separated again; at first, and least."""
LONGEST = 0.05
"""Part by which it is shortened at most, where one attempt after another is quickly done."""
QUICK = 2
"""Moves for each piece within which an attempt is quickly done; the next one is twice as bold."""
HALVING = 15
"""Attempts in vain after which less is asked for: half as much shorter."""
KEPT = 3
"""Places of a piece that are followed downhill, for each of its ways."""
PATIENCE = 150
"""Rounds of moves without a lay 2 % better after which an attempt is given up."""
MOST_FAILURES = 60
"""Attempts in vain after which another run is begun."""
LAG = 0.004
"""A run that is longer than the shortest lay by more than this part is given up three times sooner.
"""
LOOSER = (1.04, 1.01)
"""Length, against the shortest lay, at which a run begins that is shuffled much or little."""
PROGRAMME = 100
"""Moves that take as long as the exact programme at the end of an attempt."""
MOST_MOVES = 100_000
ENOUGH = 0.0005
"""Sum of overlaps that counts as none, in cells times the root of pieces."""
HOPELESS = 1.0
"""Sum of overlaps, in cells, above which the exact programme is not asked to end them."""


@dataclass(slots=True, eq=False)
class Island:
    """A running search; changed in place by `advanced`.

    `best` is the shortest lay (way (m,), place (m, 2)) with its `length`. The run that goes on
    has reached `reached` and tries for `target`; `failed` holds the least overlapping lays at that
    length, `failures` counts them all. A run that has come to its end is begun anew elsewhere.
    """

    problem: Problem
    table: NoFitTable
    lie: Lie
    chance: npt.NDArray[np.uint64]
    random: np.random.Generator
    slate: Slate
    length: float
    best: tuple[Numbers, Array]
    target: float
    failed: list[tuple[float, Numbers, Array]] = field(default_factory=list)
    reached: float = np.inf
    failures: int = 0
    stride: float = SHORTER
    runs: int = 0
    moves: int = 0


def begun(problem: Problem, table: NoFitTable, spots: tuple[Spot, ...], seed: int) -> Island:
    """An island that starts from a legal lay."""
    board = table.board
    pieces, everything = len(problem.parts), len(problem.parts) + len(problem.obstacles)
    way = np.array([board.ways[i] + spot.way for i, spot in enumerate(spots)], np.int64)
    form = np.concatenate((board.way_form[way], np.arange(table.first, len(table.forms))))
    place = np.zeros((everything, 2))
    place[:pieces] = [(spot.x, spot.y) for spot in spots]
    lie = Lie(form, way, place, np.ones((everything,) * 2), np.zeros((everything,) * 2))
    length = far_end(problem, spots)
    # Room for every lattice of places, at the greatest length a run may begin with.
    width = float(board.span[:, 1].max() - board.span[:, 0].min())
    steps = board.step[board.step > 0.0]
    cell = min([board.cell, *steps])
    shape = int(width / cell) + 4, int(1.1 * length / cell) + 8
    random = np.random.default_rng(seed)
    island = Island(
        problem,
        table,
        lie,
        random.integers(1, 2**63, 1, dtype=np.uint64),
        random,
        slate_for(board, everything, *shape, KEPT),
        length,
        (way.copy(), place[:pieces].copy()),
        length,
        reached=length,
    )
    _slide(island)
    _shorten(island)
    return island


def spots_of(island: Island) -> tuple[Spot, ...]:
    """The shortest lay of an island."""
    way, place = island.best
    first = island.table.board.ways
    return tuple(
        Spot(int(w - first[i]), float(x), float(y))
        for i, (w, (x, y)) in enumerate(zip(way, place, strict=True))
    )


def taken_over(island: Island, spots: tuple[Spot, ...]) -> None:
    """Know a shorter lay that was found elsewhere; the run that goes on is not disturbed."""
    board = island.table.board
    way = np.array([board.ways[i] + spot.way for i, spot in enumerate(spots)], np.int64)
    island.best = way, np.array([(spot.x, spot.y) for spot in spots])
    island.length = far_end(island.problem, spots)


def advanced(island: Island) -> bool:
    """One attempt at a shorter lay; whether it was one. `island.moves` grows by the work done."""
    table, lie = island.table, island.lie
    enough = ENOUGH * table.board.cell * len(island.problem.parts) ** 0.5
    lie.weight[:] = table.board.lightest
    loss, tried = separated(
        table.board, lie, island.target, MOST_MOVES, PATIENCE, enough,
        island.chance, island.slate,
    )  # fmt: skip
    island.moves += tried + PROGRAMME
    before = island.length
    if loss < HOPELESS * table.board.cell and _slide(island):
        quick = tried < QUICK * len(island.problem.parts)
        island.stride = min(2.0 * island.stride, LONGEST) if quick else SHORTER
        _shorten(island)
        return island.length < before
    island.stride = SHORTER
    _keep(island, loss)
    island.failures += 1
    lagging = island.reached > island.length * (1.0 + LAG)
    if island.failures > MOST_FAILURES // (3 if lagging else 1):
        _begin_anew(island)
    else:
        shorter = max(SHORTEST, SHORTER * 0.5 ** (island.failures // HALVING))
        island.target = island.reached * (1.0 - shorter)
        _disturb(island)
    return False


def _slide(island: Island) -> bool:
    """Slide the pieces together exactly; whether that gave the shortest lay of this run."""
    table, lie = island.table, island.lie
    done = compacted(table, lie.form, lie.place, island.problem.limit, island.problem.taken)
    width = float(table.board.span[:, 1].max() - table.board.span[:, 0].min())
    if done.overlap > 2.0 * SLIP * width or done.length >= island.reached * (1.0 - 1e-6):
        return False
    lie.place[:] = done.place
    island.reached = done.length
    if done.length < island.length * (1.0 - 1e-6):
        island.best = lie.way.copy(), done.place[: len(island.problem.parts)].copy()
        island.length = done.length
    return True


def _begin_anew(island: Island) -> None:
    """Begin another run: by turns from the shortest lay a little longer, or quite shuffled."""
    island.runs += 1
    way, place = island.best
    _put(island, way, place)
    pieces = len(way)
    thorough = island.runs % 2 == 1
    for _ in range(pieces if thorough else max(2, pieces // 6)):
        _exchange(island, np.ones(pieces))
    looser = LOOSER[0] if thorough else LOOSER[1]
    island.reached = min(island.length * looser, island.problem.limit)
    island.target = island.reached
    island.failures = 0
    island.failed.clear()
    _clamp(island)


def _shorten(island: Island) -> None:
    """Try for a shorter length: what lies beyond a chance cut moves towards the cut end."""
    island.failed.clear()
    island.failures = 0
    target = island.reached * (1.0 - island.stride)
    cut = island.random.random() * island.reached
    place = island.lie.place
    pieces = len(island.problem.parts)
    beyond = place[:pieces, 0] > cut
    place[:pieces, 0][beyond] -= island.reached - target
    island.target = target
    _clamp(island)


def _clamp(island: Island) -> None:
    """Bring every piece inside the strip of the target length, and to an allowed place."""
    board, lie = island.table.board, island.lie
    for i in range(len(island.problem.parts)):
        box, phase = board.box[lie.form[i]], board.way_phase[lie.way[i]]
        ends = (
            (-box[0], island.target - box[2]),
            (board.span[i, 0] - box[1], board.span[i, 1] - box[3]),
        )
        for axis, (low, high) in enumerate(ends):
            step, at = board.step[i, axis], lie.place[i, axis]
            if step > 0.0:
                at = phase[axis] + round((at - phase[axis]) / step) * step
                if at > high + 1e-6:
                    at -= np.ceil((at - high - 1e-6) / step) * step
                if at < low - 1e-6:
                    at += np.ceil((low - 1e-6 - at) / step) * step
            elif step < 0.0:
                at = phase[axis]
            else:
                at = max(low, min(at, high))
            lie.place[i, axis] = at


def _put(island: Island, way: Numbers, place: Array) -> None:
    lie = island.lie
    lie.way[:] = way
    lie.form[: len(way)] = island.table.board.way_form[way]
    lie.place[: len(way)] = place


def _keep(island: Island, loss: float) -> None:
    pieces = len(island.problem.parts)
    island.failed.append((loss, island.lie.way.copy(), island.lie.place[:pieces].copy()))
    island.failed.sort(key=lambda lay: lay[0])
    del island.failed[20:]


def _disturb(island: Island) -> None:
    """Take up one of the better failures and let two large pieces change places."""
    rank = min(
        int(abs(island.random.normal(0.0, 0.25)) * len(island.failed)), len(island.failed) - 1
    )
    _, way, place = island.failed[rank]
    _put(island, way, place)
    box = island.table.board.box[island.lie.form[: len(way)]]
    _exchange(island, np.prod(box[:, 2:] - box[:, :2], axis=1))
    _clamp(island)


def _exchange(island: Island, weight: Array) -> None:
    """Let two pieces, chosen by weight, change places."""
    board, lie = island.table.board, island.lie
    pieces = len(weight)
    weight = np.where([part.steady for part in island.problem.parts], 0.0, weight)
    if np.count_nonzero(weight) < 2:
        return
    box = board.box[lie.form[:pieces]]
    i, j = island.random.choice(pieces, 2, replace=False, p=weight / weight.sum())
    middle = (box[:, :2] + box[:, 2:]) / 2 + lie.place[:pieces]
    lie.place[i] += middle[j] - middle[i]
    lie.place[j] += middle[i] - middle[j]
