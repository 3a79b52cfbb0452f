"""Depth grids and no-fit boundaries of every pair of forms that can meet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import shapely

from projector.cloth.search.board import Board, Depths, Numbers, Places
from projector.cloth.search.chart import charted, sides
from projector.cloth.search.no_fit import boundary, convolution
from projector.cloth.search.problem import Array, Part, Problem
from projector.cloth.search.simplified import outward

__all__ = ["NoFitTable", "table_of"]

N = TypeVar("N", bound=np.generic)

CELLS_ACROSS = 40
MOST_CELLS = 12_000_000
HAIR = 1e-7
"""Length that counts as none, as a part of the size of two outlines together."""
SLIM = 5e-8
"""What is taken off every side, as a part of the width, so that exact fits can be slid into."""
COARSE, FINE = 2e-4, 2e-5
"""What simpler outlines may add, as a part of the width: to search with, and to slide along."""
ALIKE = 1e-5
"""How far corners of two ways may lie apart that cover the same, as a part of the width."""
FORMS = 100
"""Forms above which those to search with become simpler, the more there are."""


@dataclass(slots=True, eq=False)
class NoFitTable:
    """The board of a problem, and exact boundaries that are found when first asked for.

    `forms` are the outlines (n, 2) of all ways and obstacles, grown by half the buffer; `first`
    is the number of the first obstacle among them.
    """

    board: Board
    forms: list[Array]
    exact: list[Array]
    first: int
    corner: Array
    size: Array

    def boundary(self, fixed: int, moving: int) -> tuple[Array, Array]:
        """Convolution and exact no-fit boundary of two forms, each (k, 4)."""
        return _boundary(self.exact[fixed].tobytes(), self.exact[moving].tobytes())


@lru_cache(maxsize=20_000)
def _boundary(fixed: bytes, moving: bytes) -> tuple[Array, Array]:
    outlines = (np.frombuffer(outline).reshape(-1, 2) for outline in (fixed, moving))
    segments, outer = convolution(*(outline.copy() for outline in outlines))
    return segments, boundary(segments, outer, _hair(segments))


@lru_cache(maxsize=2_000)
def _simpler(outline: bytes, tolerance: float) -> Array:
    return outward(np.frombuffer(outline).reshape(-1, 2), tolerance)


def _whole(outline: Array, tolerance: float) -> Array:
    return _simpler(outline.tobytes(), tolerance)


def _hair(segments: Array) -> float:
    return float(HAIR * (np.ptp(segments[:, 0]) + np.ptp(segments[:, 1])))


def _slimmed(outline: Array, by: float) -> Array:
    """Every side moved inward by a hair, the same whichever way the outline is turned."""
    along = np.roll(outline, -1, axis=0) - outline
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-300)[:, None]
    left = np.stack((-along[:, 1], along[:, 0]), axis=1)
    both = left + np.roll(left, 1, axis=0)
    squared = np.maximum(np.sum(both * both, axis=1), 0.05)
    slim: Array = outline + 2.0 * by * both / squared[:, None]
    return slim


def _grown(outline: Array, by: float) -> Array:
    if by <= 0.0:
        return outline
    shape = shapely.buffer(shapely.Polygon(outline), by, join_style="mitre", mitre_limit=2.0)
    return np.array(shapely.orient_polygons(shape).exterior.coords[:-1])


def table_of(problem: Problem, grids: bool = True) -> NoFitTable:
    """Everything the search looks up, for one problem; without `grids` for sliding alone."""
    numbers: dict[bytes, int] = {}
    exact: list[Array] = []

    def number_of(outline: Array) -> int:
        key = outline.tobytes()
        if key not in numbers:
            numbers[key] = len(exact)
            exact.append(outline)
        return numbers[key]

    ways, way_form, way_phase = [0], [], []
    for part in problem.parts:
        for way in part.ways:
            way_form.append(number_of(way.outline))
            way_phase.append(way.phase)
        ways.append(len(way_form))
    first = len(exact)
    box = np.array([[*o.min(axis=0), *o.max(axis=0)] for o in (*exact, *problem.obstacles)])
    high = max(part.high for part in problem.parts)
    low = min(part.low for part in problem.parts)
    exact = [_whole(outline, (high - low) * FINE) for outline in exact]
    exact = [_slimmed(outline, (high - low) * SLIM) for outline in exact]
    exact = [_grown(outline, problem.buffer / 2) for outline in exact]
    # An obstacle may be touched: the half buffer that the pieces have grown is taken from it.
    exact += [_shrunk(outline, problem.buffer / 2) for outline in problem.obstacles]
    coarse = (high - low) * COARSE * max(1.0, len(exact) / FORMS)
    forms = [_whole(outline, coarse) for outline in exact]
    sizes = np.array([np.ptp(f, axis=0) for f in forms])
    area = float(np.sum(np.prod(sizes[:, None, :] + sizes[None, :first, :], axis=2)))
    cell = max((high - low) / CELLS_ACROSS, (area / MOST_CELLS) ** 0.5)
    board = Board(
        *_charts(forms, first if grids else 0, cell),
        cell,
        box,
        np.array(ways, np.int64),
        np.array(way_form, np.int64),
        np.array(way_phase, np.float64),
        np.concatenate([_apart(part, (high - low) * ALIKE) for part in problem.parts]),
        _lightest(problem),
        np.array([part.step for part in problem.parts], np.float64),
        np.array([(part.low, part.high) for part in problem.parts], np.float64),
    )
    corner = np.array([outline.min(axis=0) for outline in exact])
    size = np.array([np.ptp(outline, axis=0) for outline in exact])
    return NoFitTable(board, forms, exact, first, corner, size)


def _apart(part: Part, alike: float) -> npt.NDArray[np.bool_]:
    """Of each way of a part that lies freely, whether it is not an earlier one shifted."""
    apart = np.ones(len(part.ways), np.bool_)
    if part.step != (0.0, 0.0):
        return apart
    for i, way in enumerate(part.ways):
        outline = way.outline - way.outline.min(axis=0)
        for earlier in part.ways[:i]:
            other = earlier.outline - earlier.outline.min(axis=0)
            if len(other) == len(outline):
                gap = np.abs(outline[:, None, :] - other[None, :, :]).max(axis=2)
                # Corners in the same order round, begun at the one that lies nearest.
                same = np.roll(other, -int(np.argmin(gap[0])), axis=0)
                apart[i] &= bool(np.abs(outline - same).max() > alike)
    return apart


def _lightest(problem: Problem) -> Array:
    """Root of the sizes of every two parts; obstacles, and what is steady, count as usual ones."""
    size = np.array([shapely.Polygon(part.ways[0].outline).area ** 0.5 for part in problem.parts])
    steady = np.array([part.steady for part in problem.parts])
    usual = float(size[~steady].mean()) if not steady.all() else 1.0
    size = np.append(np.where(steady, usual, size), np.full(len(problem.obstacles), usual)) / usual
    weights: Array = np.sqrt(size[:, None] * size[None, :])
    return weights


def _charts(
    forms: list[Array], first: int, cell: float
) -> tuple[Depths, Places, Places, Array, Numbers, Array]:
    """The arrays `depth`, `cells`, `lists`, `sides`, `pair` and `origin` of a board.

    Two forms the other way about have the same chart turned by half a turn, and so have both
    forms turned by half a turn themselves: of four pairs only one is computed.
    """
    count = len(forms)
    pair, origin = np.ones((count, first, 5), np.int64), np.zeros((count, first, 4))
    depths, cells = [np.zeros(1, np.float32)], [np.zeros((1, 2), np.int32)]
    lists, side = [np.zeros(1, np.int32)], [np.zeros((1, 5))]
    places, cells_before, lists_before, sides_before = 1, 1, 1, 1
    numbers = {form.tobytes(): number for number, form in enumerate(forms[:first])}
    half = [numbers.get((0.0 - form).tobytes(), -1) for form in forms]
    known = np.zeros((count, first), np.bool_)
    for a, b in np.ndindex(count, first):
        if known[a, b]:
            continue
        segments, outer = convolution(forms[a], forms[b])
        parts = sides(boundary(segments, outer, _hair(segments)))
        x0, y0 = segments[:, ::2].min() - 0.5 * cell, segments[:, 1::2].min() - 0.5 * cell
        wide = int((segments[:, ::2].max() - x0) / cell) + 2
        tall = int((segments[:, 1::2].max() - y0) / cell) + 2
        depth, own, listed = charted(segments, parts, x0, y0, cell, tall, wide)
        own[:, 0] += lists_before
        cells.append(own)
        lists.append(listed + np.int32(sides_before))
        side.append(parts)
        told = (places, tall, wide, cells_before, 1), (x0, y0, x0, y0)
        depths.append(depth.ravel())
        places += depth.size
        if a < first and not known[b, a] and a != b:
            back = places, tall, wide, cells_before, -1
            corner = -(x0 + (wide - 1) * cell), -(y0 + (tall - 1) * cell)
            turned = back, (*corner, x0, y0)
            depths.append(np.ascontiguousarray(depth[::-1, ::-1]).ravel())
            places += depth.size
            pairs = [(a, b, told), (b, a, turned)]
            if half[a] >= 0 and half[b] >= 0:
                pairs += [(half[b], half[a], told), (half[a], half[b], turned)]
        else:
            pairs = [(a, b, told)]
        for fixed, moving, (numbers_of, origin_of) in pairs:
            pair[fixed, moving], origin[fixed, moving] = numbers_of, origin_of
            known[fixed, moving] = True
        cells_before += len(own)
        lists_before += len(listed)
        sides_before += len(parts)
    return _joined(depths), _joined(cells), _joined(lists), _joined(side), pair, origin


def _joined(arrays: list[npt.NDArray[N]]) -> npt.NDArray[N]:
    """All arrays in one; the list is emptied, so that no more than one kind is held twice."""
    whole = np.concatenate(arrays)
    arrays.clear()
    return whole


def _shrunk(outline: Array, by: float) -> Array:
    if by <= 0.0:
        return outline
    shape = shapely.buffer(shapely.Polygon(outline), -by, join_style="mitre")
    if not isinstance(shape, shapely.Polygon) or shape.is_empty:
        return outline
    return np.array(shapely.orient_polygons(shape).exterior.coords[:-1])
