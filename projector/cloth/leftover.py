"""What is left of the cloth in one piece, and how to leave as much as possible.

Where the pieces on the fold decide the length, the others may lie anywhere beside them; they are
then gathered, so that the largest free rectangle is kept whole for another day.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt
import shapely

from projector.cloth.clearance import may_be_cut, usable_area, violations
from projector.cloth.cloth import Cloth, usable_span
from projector.cloth.lay_problem import LayProblem, laid_at, lay_problem, lying, spots_now
from projector.cloth.layout import Layout, piece_key
from projector.cloth.search.first_lay import first_lay
from projector.cloth.search.problem import Problem, Spot
from projector.cloth.shapes import lies_on_fold, placed_shape
from projector.cloth.yardage import used_length

__all__ = ["Leftover", "gathered", "largest_leftover", "leftover_words"]

CELL = 10.0
"""Side of the squares the free cloth is measured in, mm; a rectangle is a whole number of them."""
MOST_SQUARES = 500_000
"""Above some 30 m of cloth the squares are larger, so that there are no more of them."""
SIDES = 6
"""Rectangles that are tried to be kept free."""
HALVINGS = 4
"""How finely the part of one that can be kept free is sought."""
MOST_LAID = 600
"""Pieces that are laid in all the tries together, at most: it bounds what many pieces take."""
WORTH_KEEPING = 0.1e6
"""A leftover smaller than this, mm2, is not told of."""
WORTH = 1.05
"""A leftover larger by this factor is worth moving pieces for."""


@dataclass(frozen=True, slots=True)
class Leftover:
    """A free rectangle of the cloth as it lies: its near left corner and its size, mm."""

    x: float
    y: float
    along: float
    across: float

    @property
    def area(self) -> float:
        """In mm2, of one layer."""
        return self.along * self.across


@lru_cache(maxsize=64)
def largest_leftover(layout: Layout) -> Leftover:
    """The largest rectangle along the grain that nothing lies on, within the length used."""
    shapes = [placed_shape(layout, placement) for placement in layout.placements]
    return max(_rectangles(layout, shapes), key=lambda free: free.area)


def leftover_words(leftover: Leftover, cloth: Cloth) -> str:
    """What is told of it; empty when it is not worth keeping."""
    if leftover.area <= WORTH_KEEPING:
        return ""
    along, across = leftover.along / 1000, leftover.across / 1000
    double = ", double" if cloth.folded else ""
    return f"left over in one piece beside them: {along:.2f} m by {across:.2f} m{double}"


def _rectangles(layout: Layout, shapes: list[shapely.Polygon]) -> list[Leftover]:
    """For each row of squares the largest free rectangle that ends there."""
    length = used_length(layout)
    low, high = usable_span(layout.cloth)
    cell = max(CELL, math.sqrt(length * (high - low) / MOST_SQUARES))
    free = shapely.difference(usable_area(layout.cloth, length), shapely.union_all(shapes))
    inner = shapely.buffer(free, -cell * math.sqrt(0.5), quad_segs=2)
    # A point is in it or not by the edges on a line from it in x: turned, they are few.
    inner = shapely.transform(inner, np.fliplr)
    shapely.prepare(inner)
    columns, rows = int(length / cell), int((high - low) / cell)
    x, y = (np.arange(columns) + 0.5) * cell, low + (np.arange(rows) + 0.5) * cell
    open_ = shapely.contains_xy(inner, *np.meshgrid(x, y)[::-1])
    found = [Leftover(0.0, low, 0.0, 0.0)]
    deep: npt.NDArray[np.int64] = np.zeros(columns, np.int64)
    for row in range(rows):
        deep = np.where(open_[row], deep + 1, 0)
        left, right, tall = _under(deep)
        if tall:
            foot = low + (row + 1 - tall) * cell
            found.append(Leftover(left * cell, foot, (right - left) * cell, tall * cell))
    return found


def _under(deep: npt.NDArray[np.int64]) -> tuple[int, int, int]:
    """The largest rectangle under a row of heights: its first column, the one after, its height."""
    best, begun = (0, 0, 0), list[tuple[int, int]]()
    for column, height in enumerate([*deep.tolist(), 0]):
        first = column
        while begun and begun[-1][1] >= height:
            first, tall = begun.pop()
            if tall * (column - first) > best[2] * (best[1] - best[0]):
                best = (first, column, tall)
        begun.append((first, height))
    return best


def gathered(layout: Layout) -> Layout | None:
    """A lay as long as this one that leaves more cloth in one piece; None when none is found.

    Pieces on the fold and locked ones stay; the rest is laid anew clear of a rectangle, the
    largest of some for which that succeeds.
    """
    if not layout.cloth.folded or not may_be_cut(layout):
        return None
    of = lay_problem(layout)
    spots = spots_now(of)
    loose = [i for i, (piece, _) in enumerate(of.copies) if not lies_on_fold(piece, layout.cloth)]
    if spots is None or not loose:
        return None
    fixed = {i: spot for i, spot in enumerate(spots) if i not in loose}
    moving = {(piece_key(of.copies[i][0]), of.copies[i][1]) for i in loose}
    still = [placed_shape(layout, p) for p in layout.placements if (p.piece, p.copy) not in moving]
    best, most = None, WORTH * largest_leftover(layout).area
    tries = max(8, MOST_LAID // len(loose))
    for free in sorted(_rectangles(layout, still), key=lambda free: -free.area)[:SIDES]:
        for side in ("left", "right", "near", "far"):
            kept, lost = most / max(free.area, 1.0), 1.0
            for _ in range(HALVINGS if kept < lost else 0):
                part = (kept + lost) / 2
                rest = _part(free, side, part)
                if tries == 0:
                    return best
                tries -= 1
                found = _beside(of, fixed, loose, rest, used_length(layout))
                if found is None:
                    lost = part
                    continue
                kept = part
                lay = laid_at(of, found)
                if largest_leftover(lay).area > most and not violations(lay):
                    best, most = lay, largest_leftover(lay).area
    return best


def _part(free: Leftover, side: str, part: float) -> Leftover:
    """That part of a rectangle, cut off from the side that is named."""
    along, across = part * free.along, part * free.across
    if side in ("left", "right"):
        x = free.x if side == "right" else free.x + free.along - along
        return Leftover(x, free.y, along, free.across)
    y = free.y if side == "far" else free.y + free.across - across
    return Leftover(free.x, y, free.along, across)


def _beside(
    of: LayProblem, fixed: dict[int, Spot], loose: list[int], free: Leftover, length: float
) -> tuple[Spot, ...] | None:
    """The loose parts laid clear of the fixed ones and of a rectangle; None when they do not."""
    problem: Problem = of.problem
    kept = np.array(
        [(free.x, free.y), (free.x + free.along, free.y),
         (free.x + free.along, free.y + free.across), (free.x, free.y + free.across)]
    )  # fmt: skip
    others = replace(
        problem,
        parts=tuple(problem.parts[i] for i in loose),
        obstacles=(*problem.obstacles, kept, *(lying(problem, i, s) for i, s in fixed.items())),
        limit=min(problem.limit, length),
        taken=length,
    )
    laid = first_lay(others, tries=2)
    if laid is None:
        return None
    spots = fixed | dict(zip(loose, laid, strict=True))
    return tuple(spots[i] for i in range(len(of.copies)))
