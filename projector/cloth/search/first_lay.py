"""A plain first lay: pieces one after another, each as near to the cut end as it will go.

Pieces are drawn on a raster a cell too large all round, so that what is free there is free.
Nothing compiled is needed, so that a first lay is there at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import cv2
import numpy as np
import numpy.typing as npt
import shapely

from projector.cloth.search.problem import Array, Part, Problem, Spot, Way

__all__ = ["first_lay"]

CELLS_ACROSS = 160
MOST_CELLS = 120_000
Grid = npt.NDArray[np.float32]


@dataclass(slots=True, eq=False)
class _Raster:
    """Taken cells; cell (0, 0) begins at (`left`, `low`) mm.

    `masks` and `since` are by way. Before the shift `since` of its last place a way fits nowhere:
    the copies of a piece need not look there again.
    """

    taken: Grid
    cell: float
    left: float
    low: float
    masks: dict[int, tuple[Grid, Array]] = field(default_factory=dict)
    since: dict[int, float] = field(default_factory=dict)


def first_lay(problem: Problem, seed: int = 0, tries: int = 12) -> tuple[Spot, ...] | None:
    """A lay that obeys every rule, or None when none is found within so many orders.

    The first order lays the pieces on the fold before the rest, and large before small; the
    next ones are chance changes of it.
    """
    parts = problem.parts
    if not parts:
        return ()
    area = [_area(part.ways[0].outline) for part in parts]
    usual = sorted(range(len(parts)), key=lambda i: (parts[i].step[1] >= 0.0, -area[i]))
    random = np.random.default_rng(seed)
    for attempt in range(tries):
        order = list(usual)
        for _ in range(attempt):
            i, j = random.integers(len(order), size=2)
            order[i], order[j] = order[j], order[i]
        spots = _laid(problem, order, area)
        if spots is not None:
            return spots
    return None


def _area(outline: Array) -> float:
    return float(shapely.Polygon(outline).area)


def _laid(problem: Problem, order: list[int], area: list[float]) -> tuple[Spot, ...] | None:
    raster = _raster(problem, area)
    spots: dict[int, Spot] = {}
    end = problem.taken
    for i in order:
        part = problem.parts[i]
        best: tuple[float, float, Spot] | None = None
        for number, way in enumerate(part.ways):
            place = _place(raster, problem, part, way, end)
            if place is None:
                continue
            x, y = place
            rank = (x + float(way.outline[:, 0].max()), y)
            if best is None or rank < best[:2]:
                best = (*rank, Spot(number, x, y))
        if best is None:
            return None
        end = max(end, best[0])
        spots[i] = best[2]
        _take(raster, problem, part.ways[best[2].way], best[2].x, best[2].y)
    return tuple(spots[i] for i in range(len(order)))


def _raster(problem: Problem, area: list[float]) -> _Raster:
    low = min(part.low for part in problem.parts)
    high = max(part.high for part in problem.parts)
    total = sum(area)
    lengths = [
        max(float(np.ptp(way.outline[:, 0])) for way in part.ways) + max(part.step[0], 0.0)
        for part in problem.parts
    ]
    # Behind what is taken each piece has room, and before each flaw as much may stay empty.
    reach = problem.taken + sum(lengths)
    for outline in sorted(problem.obstacles, key=lambda outline: float(outline[:, 0].min())):
        if outline[:, 0].max() > problem.taken and outline[:, 0].min() < reach:
            reach += float(np.ptp(outline[:, 0])) + max(lengths)
    cell = max((high - low) / CELLS_ACROSS, math.sqrt(total / MOST_CELLS))
    reach = min(reach, problem.limit) + 8.0 * cell * (1.0 + len(problem.parts))
    left, below = -2.0 * cell - problem.buffer, low - 2.0 * cell - problem.buffer
    rows = math.ceil((high - below + problem.buffer) / cell) + 3
    columns = math.ceil((reach - left) / cell)
    raster = _Raster(np.zeros((rows, columns), np.float32), cell, left, below)
    for outline in problem.obstacles:
        corners = (outline - (left, below)) / cell
        inside = np.zeros(raster.taken.shape, np.uint8)
        _drawn(inside, corners)
        np.maximum(raster.taken, inside, out=raster.taken)
    return raster


def _drawn(image: npt.NDArray[np.uint8], corners: Array) -> None:
    """Fill every cell that an outline touches; `corners` in cells."""
    fixed = np.rint((np.clip(corners, -4000.0, 100_000.0) - 0.5) * 16).astype(np.int32)
    cv2.fillPoly(image, [fixed], (1,), shift=4)
    # The fill rounds to the nearest cell; one more all round holds whatever it missed.
    image[:] = cv2.dilate(image, np.ones((3, 3), np.uint8))


def _mask(raster: _Raster, problem: Problem, way: Way) -> tuple[Grid, Array]:
    """Cells a way may touch when shifted by anything up to one cell, and its first corner."""
    if id(way) not in raster.masks:
        outline = way.outline
        if problem.buffer > 0.0:
            grown = shapely.buffer(
                shapely.Polygon(outline), problem.buffer / 2, join_style="mitre", mitre_limit=2.0
            )
            outline = np.array(grown.exterior.coords[:-1])
        corner = outline.min(axis=0)
        size = np.ceil((outline.max(axis=0) - corner) / raster.cell).astype(int)
        inside = np.zeros((size[1] + 4, size[0] + 4), np.uint8)
        _drawn(inside, (outline - corner) / raster.cell + 1.0)
        # Shifted by less than a cell, it may touch the next cell to the right and above, too.
        inside = cv2.dilate(inside, np.ones((2, 2), np.uint8), anchor=(1, 1))
        raster.masks[id(way)] = inside.astype(np.float32), corner
    return raster.masks[id(way)]


def _place(
    raster: _Raster, problem: Problem, part: Part, way: Way, end: float
) -> tuple[float, float] | None:
    """The free place of one way nearest to the cut end.

    It is sought as far as the way reaches that is put behind all others, then, as flaws may lie
    there, as far as there is any cloth.
    """
    near = min(problem.limit, end + float(np.ptp(way.outline[:, 0])) + _room(part, raster))
    far = min(problem.limit, raster.left + raster.taken.shape[1] * raster.cell)
    place = _place_within(near, raster, part, way, *_mask(raster, problem, way))
    if place is None and far > near:
        place = _place_within(far, raster, part, way, *_mask(raster, problem, way))
    return place


def _place_within(
    reach: float, raster: _Raster, part: Part, way: Way, mask: Grid, corner: Array
) -> tuple[float, float] | None:
    """The free place of one way nearest to the cut end that goes no further than `reach`."""
    left, low = way.outline.min(axis=0)
    right, high = way.outline.max(axis=0)
    # A place is where the way is shifted to; cells are counted from the mask's own corner.
    xs = _shifts(-left, reach - right, part.step[0], way.phase[0], raster.cell)
    xs = xs[xs >= raster.since.get(id(way), -math.inf)]
    ys = _shifts(part.low - low, part.high - high, part.step[1], way.phase[1], raster.cell)
    if len(xs) == 0 or len(ys) == 0:
        return None
    columns = np.floor((xs + corner[0] - raster.left) / raster.cell + 1e-9).astype(int) - 1
    rows = np.floor((ys + corner[1] - raster.low) / raster.cell + 1e-9).astype(int) - 1
    inside = columns + mask.shape[1] <= raster.taken.shape[1]
    xs, columns = xs[inside], columns[inside]
    ok = rows + mask.shape[0] <= raster.taken.shape[0]
    ys, rows = ys[ok], rows[ok]
    if len(xs) == 0 or len(ys) == 0:
        return None
    near, far = columns[0], columns[-1] + mask.shape[1]
    window = raster.taken[: rows[-1] + mask.shape[0], near:far]
    used = cv2.matchTemplate(window, mask, cv2.TM_CCORR)
    free = used[rows[:, None], columns[None, :] - near] < 0.5
    at = np.flatnonzero(free.any(axis=0))
    if len(at) == 0:
        return None
    row = int(np.argmax(free[:, at[0]]))
    raster.since[id(way)] = float(xs[at[0]])
    return float(xs[at[0]]), float(ys[row])


def _room(part: Part, raster: _Raster) -> float:
    return max(part.step[0], 0.0) + 8.0 * raster.cell


def _shifts(low: float, high: float, step: float, phase: float, cell: float) -> Array:
    if step < 0.0:
        fits = low - 1e-6 <= phase <= high + 1e-6
        return np.array([phase] if fits else [])
    if step == 0.0:
        if high < low - 1e-9:
            return np.array([])
        shifts = np.arange(low, high, cell)
        return shifts if len(shifts) else np.array([low])
    first = phase + math.ceil((low - 1e-9 - phase) / step) * step
    return np.arange(first, high + 1e-9, step)


def _take(raster: _Raster, problem: Problem, way: Way, x: float, y: float) -> None:
    mask, corner = _mask(raster, problem, way)
    column = math.floor((x + corner[0] - raster.left) / raster.cell + 1e-9) - 1
    row = math.floor((y + corner[1] - raster.low) / raster.cell + 1e-9) - 1
    view = raster.taken[row : row + mask.shape[0], column : column + mask.shape[1]]
    np.maximum(view, mask, out=view)
