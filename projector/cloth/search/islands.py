"""Two islands search from the same lay with seeds of their own and share what they find.

They meet after fixed amounts of work, in a fixed order: the same seed and amount of work give
the same lay whether they run in turn in this process or side by side in two of their own.
"""

from __future__ import annotations

import math
import selectors
from collections.abc import Callable, Iterator

from projector.cloth.search.island import Island, advanced, begun, spots_of, taken_over
from projector.cloth.search.island_process import IslandProcess, answer
from projector.cloth.search.no_fit_table import table_of
from projector.cloth.search.problem import Problem, Spot, far_end
from projector.cloth.search.verification import faults

__all__ = ["WORK", "Lay", "improved"]

WORK = 500
"""Moves of a piece on each island that make one unit of the budget."""
MEETING = 16
"""Units of work between two meetings."""
BEHIND = 0.002
"""An island longer than the shortest lay by more than this part takes that one over."""
SEEDS = 2

Lay = tuple[Spot, ...]


def improved(
    problem: Problem,
    lay: Lay,
    seed: int = 0,
    budget: int = 1_000_000,
    processes: int = 1,
    stopped: Callable[[], bool] = lambda: False,
) -> Iterator[Lay]:
    """Each lay shorter than every one before it, and than the legal one that was given.

    Every lay has been verified by shapely. `budget` counts units of work, `WORK` moves on each
    island; `stopped` is asked now and then and ends the search. It ends by itself when
    `problem.enough` is reached. The generator may be left at any lay.
    """
    if not problem.parts:
        return
    if processes > 1:
        yield from _side_by_side(problem, lay, seed, budget, stopped)
    else:
        yield from _in_turn(problem, lay, seed, budget, stopped)


def _shorter(problem: Problem, found: Lay, than: float) -> bool:
    length = far_end(problem, found)
    return length < than * (1.0 - 1e-9) - 1e-9 and not faults(problem, found)


def _in_turn(
    problem: Problem, lay: Lay, seed: int, budget: int, stopped: Callable[[], bool]
) -> Iterator[Lay]:
    table = table_of(problem)
    shown = far_end(problem, lay)
    islands: list[Island] = []
    for number in range(SEEDS):
        islands.append(begun(problem, table, lay, SEEDS * seed + number))
        found = spots_of(islands[-1])
        if _shorter(problem, found, shown):
            shown = far_end(problem, found)
            yield found
    for moves in _meetings(budget):
        for island in islands:
            while island.moves < moves and island.length > problem.enough:
                if stopped():
                    return
                if advanced(island):
                    found = spots_of(island)
                    if _shorter(problem, found, shown):
                        shown = far_end(problem, found)
                        yield found
        for number, best in _to_take_over(problem, [spots_of(island) for island in islands]):
            taken_over(islands[number], best)
        if shown <= problem.enough:
            return


def _side_by_side(
    problem: Problem, lay: Lay, seed: int, budget: int, stopped: Callable[[], bool]
) -> Iterator[Lay]:
    shown = far_end(problem, lay)
    islands = [IslandProcess(problem, lay, SEEDS * seed + number) for number in range(SEEDS)]
    try:
        lays = [lay] * SEEDS
        with selectors.DefaultSelector() as selector:
            for number, island in enumerate(islands):
                selector.register(island.channel, selectors.EVENT_READ, number)
            for moves in _meetings(budget):
                for island in islands:
                    island.search(moves)
                busy = set(range(SEEDS))
                while busy:
                    if stopped():
                        return
                    for key, _ in selector.select(0.05):
                        number = key.data
                        for line in islands[number].answers():
                            found = answer(line)
                            if found is None:
                                busy.discard(number)
                                continue
                            lays[number] = found
                            if _shorter(problem, found, shown):
                                shown = far_end(problem, found)
                                yield found
                for number, best in _to_take_over(problem, lays):
                    islands[number].take_over(best)
                    lays[number] = best
                if shown <= problem.enough:
                    return
    finally:
        for island in islands:
            island.stop()


def _meetings(budget: int) -> Iterator[int]:
    """Moves in all at which the islands meet."""
    done = 0
    while done < budget:
        done += min(MEETING, budget - done)
        yield done * WORK


def _to_take_over(problem: Problem, lays: list[Lay]) -> Iterator[tuple[int, Lay]]:
    lengths = [far_end(problem, lay) for lay in lays]
    best = min(lengths)
    if math.isfinite(best):
        for number, length in enumerate(lengths):
            if length > best * (1.0 + BEHIND):
                yield number, lays[lengths.index(best)]
