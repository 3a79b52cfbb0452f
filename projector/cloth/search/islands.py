"""Two islands search from the same lay with seeds of their own and share what they find.

They meet after fixed amounts of work, in a fixed order: the same seed and amount of work give
the same lay whether they run in turn in this process or side by side in two of their own. Of very
many pieces they search two stretches of the lay at a time, so that no table of all pairs is needed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from projector.cloth.search.crew import SEEDS, Crew, InTurn, SideBySide
from projector.cloth.search.problem import Lay, Problem, far_end
from projector.cloth.search.stretch import Stretch, composed, in_order, stretch_of
from projector.cloth.search.verification import shorter

__all__ = ["WORK", "improved"]

WORK = 500
"""Moves of a piece on each island that make one unit of the budget."""
MEETING = 16
"""Units of work between two meetings."""
BEHIND = 0.002
"""An island longer than the shortest lay by more than this part takes that one over."""
MOST_FORMS = 400
"""Different outlines, in all their ways, above which stretches are searched."""
MOST_PIECES = 500
"""Pieces above which stretches are searched, too, however alike: one attempt at all would take
minutes."""
MOST_PLACES = 30_000_000
"""Above so many, stripes are too fine for the length of the lay, and its first lay is kept."""
STRETCH = 60
"""Pieces of a stretch."""
STRETCH_WORK = 40
"""Units of work on each stretch before others are chosen."""


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
    if not problem.parts or _places(problem, lay) > MOST_PLACES:
        return
    forms = {way.outline.tobytes() for part in problem.parts for way in part.ways}
    many = len(forms) > MOST_FORMS or len(problem.parts) > MOST_PIECES
    searched = _in_stretches if many else _as_a_whole
    crew: Crew = SideBySide() if processes > 1 else InTurn()
    try:
        yield from searched(problem, lay, seed, budget, crew, stopped)
    finally:
        crew.leave()


def _places(problem: Problem, lay: Lay) -> float:
    """Places of a lattice as fine as the finest stripes that are matched, on the whole lay."""
    steps = [step for part in problem.parts for step in part.step if step > 0.0]
    low = min(part.low for part in problem.parts)
    high = max(part.high for part in problem.parts)
    return far_end(problem, lay) * (high - low) / min(steps) ** 2 if steps else 0.0


def _as_a_whole(
    problem: Problem, lay: Lay, seed: int, budget: int, crew: Crew, stopped: Callable[[], bool]
) -> Iterator[Lay]:
    shown, lays = far_end(problem, lay), [lay] * SEEDS
    for number in range(SEEDS):
        crew.begin(number, problem, lay, SEEDS * seed + number)
    for units in _meetings(budget, MEETING):
        for number, found in crew.searched(units * WORK, stopped):
            lays[number] = found
            if shorter(problem, found, shown):
                shown = far_end(problem, found)
                yield found
        if shown <= problem.enough or stopped():
            return
        for number, best in _to_take_over(problem, lays):
            crew.take_over(number, best)
            lays[number] = best


def _in_stretches(
    problem: Problem, lay: Lay, seed: int, budget: int, crew: Crew, stopped: Callable[[], bool]
) -> Iterator[Lay]:
    shown, rounds, done = far_end(problem, lay), 0, 0
    for units in _meetings(budget, STRETCH_WORK):
        chosen = _stretches(problem, lay, rounds)
        latest = [stretch.lay for stretch in chosen]
        for number, stretch in enumerate(chosen):
            chance = SEEDS * (seed + 1000 * rounds) + number
            crew.begin(number, stretch.problem, stretch.lay, chance)
        for number, own in crew.searched((units - done) * WORK, stopped):
            latest[number] = own
            for whole in _wholes(problem, lay, chosen, latest):
                if shorter(problem, whole, shown):
                    shown = far_end(problem, whole)
                    yield whole
                    break
        if shown <= problem.enough or stopped():
            return
        # The same whichever island was the first to find something.
        for whole in _wholes(problem, lay, chosen, latest):
            if shorter(problem, whole, far_end(problem, lay)):
                lay = whole
                break
        rounds, done = rounds + 1, units


def _stretches(problem: Problem, lay: Lay, rounds: int) -> list[Stretch]:
    """What each island searches in one round: stretches far apart, another pair every round."""
    order = in_order(problem, lay)
    count = min(STRETCH, max(1, len(order) // 3))
    places = [*range(0, len(order) - count, max(1, count // 2)), len(order) - count]
    half = (len(places) + 1) // 2
    mine = places[rounds % half :: half]
    found = [stretch_of(problem, lay, order, place, count) for place in mine]
    able = [stretch for stretch in found if stretch is not None]
    if not able:  # what lies beyond may not follow: only the end can become shorter
        last = stretch_of(problem, lay, order, places[-1], count)
        assert last is not None
        able = [last]
    return (able * SEEDS)[:SEEDS]


def _wholes(problem: Problem, lay: Lay, chosen: list[Stretch], latest: list[Lay]) -> list[Lay]:
    """Whole lays with what the islands have found: the shortest of all first, if it is legal."""
    found = list(zip(chosen, latest, strict=True))
    alone = [composed(lay, [each]) for each in found]
    alone.sort(key=lambda whole: far_end(problem, whole))
    return [composed(lay, found), *alone] if chosen[0] is not chosen[1] else alone


def _meetings(budget: int, between: int) -> Iterator[int]:
    """Units of work in all at which the islands meet."""
    done = 0
    while done < budget:
        done += min(between, budget - done)
        yield done


def _to_take_over(problem: Problem, lays: list[Lay]) -> Iterator[tuple[int, Lay]]:
    lengths = [far_end(problem, lay) for lay in lays]
    best = min(lengths)
    if math.isfinite(best):
        for number, length in enumerate(lengths):
            if length > best * (1.0 + BEHIND):
                yield number, lays[lengths.index(best)]
