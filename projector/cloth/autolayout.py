"""A plain first lay: pieces in many orders, each as near to the cut end as it will go.

Pieces are rasterised too large by up to a cell, so that a place that is free on the raster is
free on the cloth; each piece then slides back exactly until it touches. Every lay is checked by
`clearance.violations` before it is returned.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np
import numpy.typing as npt
import shapely
from shapely.affinity import translate

from drafting.piece import Piece
from drafting.plane import Motion
from projector.cloth.clearance import missing, usable_area, violations
from projector.cloth.cloth import Cloth, lay_width
from projector.cloth.layout import Layout, Placement, piece_key
from projector.cloth.shapes import (
    lay_shape,
    lies_on_fold,
    orientations,
    placed_shape,
    spans,
    turned,
    wanted_copies,
)
from projector.cloth.yardage import lower_bound, used_length
from projector.errors import ProjectorError

__all__ = ["arrange", "improving_lays"]

CELL = 8.0
Grid = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class _Copy:
    piece: Piece
    copy: int
    way: int | None = None  # which of its orientations; None for whichever comes first


def arrange(layout: Layout, seed: int = 0, budget: int = 12) -> Layout:
    """Lay every piece of this cloth; locked placements stay where they are.

    `budget` counts the lays tried, so that the same seed and budget give the same lay on any
    machine. A legal, complete lay that was given is returned unless a shorter one is found.
    Stripes and checks are not matched yet, nor is shrinkage added. Raises `ProjectorError` when
    no lay fits.
    """
    best = layout if _may_be_cut(layout) else None
    for better in improving_lays(layout, seed, budget):
        best = better
    if best is None:
        raise ProjectorError(
            f"cloth {layout.cloth.name!r}: the pieces do not fit; use a longer or wider cloth, "
            "lay it flat, or cut fewer pieces from it"
        )
    return best


def improving_lays(layout: Layout, seed: int = 0, budget: int = 12) -> Iterator[Layout]:
    """Each lay shorter than every one before it, and than a legal lay that was given.

    The first lays the fold pieces, then the rest, large before small. Every further one changes
    the best order a little (two pieces change places, or one is turned the other way round).
    It may be left at any lay; it ends early when the lower bound is met.
    """
    cloth = layout.cloth
    fixed = tuple(placement for placement in layout.placements if placement.locked)
    taken = {(placement.piece, placement.copy) for placement in fixed}
    loose = [
        _Copy(piece, copy)
        for piece, copy in wanted_copies(layout)
        if (piece_key(piece), copy) not in taken
    ]
    loose.sort(key=lambda c: (not lies_on_fold(c.piece, cloth), -lay_shape(c.piece, cloth).area))
    shortest = used_length(layout) if _may_be_cut(layout) else float("inf")
    enough = lower_bound(layout).length + 1e-6
    random = np.random.default_rng(seed)
    order = loose
    for attempt in range(budget):
        tried = order if attempt == 0 else _changed(order, cloth, random)
        placed = _laid(layout, fixed, tried, shortest)
        if placed is None or violations(placed):
            continue
        length = used_length(placed)
        if length <= shortest + 1e-6:
            order = tried
        if length < shortest - 1e-6:
            shortest = length
            yield placed
        if shortest <= enough:
            return


def _may_be_cut(layout: Layout) -> bool:
    return not missing(layout) and not violations(layout)


def _changed(order: list[_Copy], cloth: Cloth, random: np.random.Generator) -> list[_Copy]:
    """The order with up to three small changes."""
    changed = list(order)
    for _ in range(random.integers(1, 4) if changed else 0):
        i, j = random.integers(len(changed), size=2)
        if random.random() < 0.5:
            changed[i], changed[j] = changed[j], changed[i]
        else:
            ways = len(orientations(changed[i].piece, cloth, changed[i].copy))
            way = int(random.integers(-1, ways))
            changed[i] = replace(changed[i], way=None if way < 0 else way)
    return changed


def _laid(
    layout: Layout, fixed: tuple[Placement, ...], loose: list[_Copy], shortest: float
) -> Layout | None:
    """The pieces laid in this order, or None when one finds no place within `shortest` mm."""
    cloth = layout.cloth
    fixed_shapes = [placed_shape(layout, placement) for placement in fixed]
    longest = [max(spans(copy.piece, cloth, copy.copy)) for copy in loose]
    # One cell more than the longest span a piece may waste, so that rounding never shuts it out.
    reach = sum(longest) + max((s.bounds[2] for s in fixed_shapes), default=0.0)
    reach += CELL * (len(loose) + 1)
    reach = min(reach, cloth.length or reach, shortest + 2 * CELL)
    free = usable_area(cloth, reach)
    grid = _grid_of_forbidden(free, reach, lay_width(cloth))
    for shape in fixed_shapes:
        _fill(grid, shape)
    laid, placements = list(fixed_shapes), list(fixed)
    for copy in loose:
        choice = _first_place(grid, copy, layout)
        if choice is None:
            return None
        motion, shape = _slid(choice, copy, layout, laid, free)
        laid.append(shape)
        placements.append(Placement(piece_key(copy.piece), copy.copy, motion))
        _fill(grid, shape)
    return replace(layout, placements=tuple(placements))


def _grid_of_forbidden(free: shapely.Geometry, reach: float, width: float) -> Grid:
    columns, rows = int(np.ceil(reach / CELL)), int(np.ceil(width / CELL))
    xs, ys = np.arange(columns) * CELL, np.arange(rows) * CELL
    left, low = np.meshgrid(xs, ys)
    cells = shapely.box(left, low, left + CELL, low + CELL)
    inside = shapely.contains_properly(shapely.buffer(free, 1e-6), cells)
    # A cell that the selvage cuts is left to the exact slide; only its free part may be used.
    return np.where(inside, 0.0, 1.0).astype(np.float32)


def _fill(grid: Grid, shape: shapely.Polygon) -> None:
    left, low, right, high = shape.bounds
    c0, c1 = max(int(left // CELL), 0), min(int(np.ceil(right / CELL)), grid.shape[1])
    r0, r1 = max(int(low // CELL), 0), min(int(np.ceil(high / CELL)), grid.shape[0])
    x, y = np.meshgrid(np.arange(c0, c1) * CELL, np.arange(r0, r1) * CELL)
    shapely.prepare(shape)
    touched = shapely.intersects(shape, shapely.box(x, y, x + CELL, y + CELL))
    grid[r0:r1, c0:c1] = np.maximum(grid[r0:r1, c0:c1], touched)


def _first_place(grid: Grid, copy: _Copy, layout: Layout) -> Motion | None:
    """The free raster place nearest to the cut end, over all allowed orientations."""
    best: tuple[float, float, Motion] | None = None
    shape = lay_shape(copy.piece, layout.cloth)
    on_fold = lies_on_fold(copy.piece, layout.cloth)
    ways = orientations(copy.piece, layout.cloth, copy.copy)
    for turn, mirrored in ways if copy.way is None else ways[copy.way : copy.way + 1]:
        (left, low, right, _), mask = _mask(shape, turn, mirrored)
        if mask.shape[0] > grid.shape[0] or mask.shape[1] > grid.shape[1]:
            continue
        used = cv2.matchTemplate(grid, mask, cv2.TM_CCORR)
        rows, columns = np.nonzero(used[:1] < 0.5) if on_fold else np.nonzero(used < 0.5)
        if len(columns) == 0:
            continue
        first = np.lexsort((rows, columns))[0]
        x, y = float(columns[first]) * CELL, float(rows[first]) * CELL
        place = Motion(turn, x - left, 0.0 if on_fold else y - low, mirrored)
        rank = (x + right - left, y)
        if best is None or rank < best[:2]:
            best = (*rank, place)
    return best[2] if best else None


@lru_cache(maxsize=512)
def _mask(
    shape: shapely.Polygon, turn: float, mirrored: bool
) -> tuple[tuple[float, float, float, float], Grid]:
    """Bounds of a shape in one orientation, and the cells it touches from its lower left."""
    way = turned(shape, Motion(turn, 0.0, 0.0, mirrored))
    left, low, right, high = way.bounds
    size = (int(np.ceil((high - low) / CELL)), int(np.ceil((right - left) / CELL)))
    mask: Grid = np.zeros(size, np.float32)
    _fill(mask, translate(way, -left, -low))
    return (left, low, right, high), mask


def _slid(
    motion: Motion,
    copy: _Copy,
    layout: Layout,
    laid: list[shapely.Polygon],
    free: shapely.Geometry,
) -> tuple[Motion, shapely.Polygon]:
    """The piece moved towards the cut end and the fold, within two cells, until it touches."""
    start = turned(lay_shape(copy.piece, layout.cloth), motion)
    near = [other for other in laid if other.distance(start) < 6 * CELL]
    space = shapely.buffer(free, 1e-6)

    def clear(x: float, y: float) -> bool:
        there = translate(start, x, y)
        return bool(shapely.covers(space, there)) and not any(there.intersects(o) for o in near)

    x = y = 0.0
    along, across = (-1.0, 0.0), (0.0, -1.0)
    for toward in (along,) if lies_on_fold(copy.piece, layout.cloth) else (along, across, along):
        low, high = 0.0, 2 * CELL
        while high - low > 0.01:
            middle = (low + high) / 2
            free_there = clear(x + toward[0] * middle, y + toward[1] * middle)
            low, high = (middle, high) if free_there else (low, middle)
        x, y = x + toward[0] * low, y + toward[1] * low
    return replace(motion, dx=motion.dx + x, dy=motion.dy + y), translate(start, x, y)
