"""The shortest lay of a layout's pieces on its cloth, as far as it is searched for.

A plain first lay comes at once; from it, or from the worker's own legal lay, a search goes on
for as long as it is wanted. Every lay is checked by `clearance.violations` before it is returned.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from projector.cloth.clearance import may_be_cut
from projector.cloth.lay_problem import LayProblem, laid_at, lay_problem, row_start, spots_now
from projector.cloth.layout import Layout
from projector.cloth.search.first_lay import first_lay
from projector.cloth.search.problem import Spot
from projector.cloth.search.verification import faults
from projector.cloth.yardage import MET, lower_bound, used_length
from projector.errors import ProjectorError

__all__ = ["arrange", "improving_lays"]


def arrange(
    layout: Layout,
    seed: int = 0,
    budget: int = 12,
    processes: int = 1,
    refined: bool = True,
    stopped: Callable[[], bool] = lambda: False,
) -> Layout:
    """Lay every piece of this cloth; locked placements stay where they are.

    `budget` counts units of work, so that the same seed and budget give the same lay, on one
    process or two; 0 gives the plain first lay. When `stopped` says so, the best so far is taken.
    A legal, complete lay that was given is returned unless a shorter one is found.
    Raises `ProjectorError` when no lay fits.
    """
    best = layout if may_be_cut(layout) else None
    for better in improving_lays(layout, seed, budget, processes, stopped, refined):
        best = better
    if best is None:
        raise ProjectorError(
            f"cloth {layout.cloth.name!r}: the pieces do not fit; use a longer or wider cloth, "
            "lay it flat, or cut fewer pieces from it"
        )
    return best


def improving_lays(
    layout: Layout,
    seed: int = 0,
    budget: int = 12,
    processes: int = 1,
    stopped: Callable[[], bool] = lambda: False,
    refined: bool = True,
) -> Iterator[Layout]:
    """Each lay shorter than every one before it, and than a legal lay that was given.

    It ends when the budget is spent, when `stopped` says so, or when the lower bound is met, and
    may be left at any lay. At the end, unless `refined` is false, pieces are tilted where the
    cloth allows it; and where the pieces on the fold decide the length, a last lay may follow that
    is as long and leaves more cloth in one piece. Raises `ProjectorError` for a rule that a piece
    cannot obey.
    """
    best = layout if may_be_cut(layout) else None
    for better in _searched(layout, seed, budget, processes, stopped):
        best = better
        yield better
    if best is not None and budget > 0 and refined:
        yield from _refined(best)


def _refined(layout: Layout) -> Iterator[Layout]:
    from projector.cloth.leftover import gathered
    from projector.cloth.tilting import tilted_lays

    for better in tilted_lays(layout):
        layout = better
        yield better
    if layout.cloth.folded and used_length(layout) <= lower_bound(layout).length + MET:
        together = gathered(layout)
        if together is not None:
            yield together


def _searched(
    layout: Layout, seed: int, budget: int, processes: int, stopped: Callable[[], bool]
) -> Iterator[Layout]:
    of = lay_problem(layout)
    problem = of.problem
    start = spots_now(of) if may_be_cut(layout) else None
    shortest = used_length(layout) if may_be_cut(layout) else float("inf")
    if start is None:
        start = first_lay(problem, seed)
        first = _checked(of, start)
        if first is not None and used_length(first) < shortest - 1e-6:
            shortest = used_length(first)
            yield first
    problem = replace(problem, enough=lower_bound(layout).length + MET)
    row = row_start(of, seed) if shortest > problem.enough else None
    first = _checked(of, row)
    if first is not None and used_length(first) < shortest - 1e-6:
        start, shortest = row, used_length(first)
        yield first
    if start is None and problem.limit < float("inf"):
        # Too long at first: search on endless cloth until the lay is short enough to fit.
        problem = replace(problem, limit=float("inf"))
        start = first_lay(problem, seed)
    if start is None:
        return
    if budget <= 0 or shortest <= problem.enough or faults(problem, start):
        return
    # Compiled code is loaded only when a search is really wanted.
    from projector.cloth.search.islands import improved

    for spots in improved(problem, start, seed, budget, processes, stopped):
        better = _checked(of, spots)
        if better is not None and used_length(better) < shortest - 1e-6:
            shortest = used_length(better)
            yield better


def _checked(of: LayProblem, spots: tuple[Spot, ...] | None) -> Layout | None:
    if spots is None:
        return None
    lay = laid_at(of, spots)
    return lay if may_be_cut(lay) else None
