"""How near to each other two pieces may lie on the fold, exactly: which shifts would overlap.

A shape is cut into slabs between the heights of all corners; within a slab its sides are straight.
"""

from __future__ import annotations

import bisect
import math

import numpy as np
import numpy.typing as npt
import shapely

__all__ = ["Blocked", "Slabs", "blocked_shifts", "first_free", "joined", "slabs_of"]

Array = npt.NDArray[np.float64]
Slabs = tuple[npt.NDArray[np.int64], Array]
"""Number of the slab (k,), and left and right side at its foot and at its top (k, 4), mm."""
Blocked = tuple[list[float], list[float]]
"""Open intervals of shifts that overlap, in order and apart: their beginnings and their ends."""
THIN = 1e-7
"""Slabs lower than this, mm, and overlaps of intervals narrower than it, count as none."""


def slabs_of(shape: shapely.Polygon, heights: Array) -> Slabs:
    """What a shape covers between each two of `heights` (n, in order, every corner's among them).

    Holes are not looked at.
    """
    corners = np.asarray(shape.exterior.coords)
    one, two = corners[:-1], corners[1:]
    down = one[:, 1] > two[:, 1]
    foot, top = np.where(down[:, None], two, one), np.where(down[:, None], one, two)
    begin = np.searchsorted(heights, foot[:, 1] - THIN)
    count = np.searchsorted(heights, top[:, 1] - THIN) - begin
    edge = np.repeat(np.arange(len(foot)), count)
    slab = np.repeat(begin - np.cumsum(count) + count, count) + np.arange(count.sum())
    inside = (slab >= 0) & (slab < len(heights) - 1)
    edge, slab = edge[inside], slab[inside]
    slope = (top[edge, 0] - foot[edge, 0]) / (top[edge, 1] - foot[edge, 1])
    at = np.stack(
        [foot[edge, 0] + (heights[slab + k] - foot[edge, 1]) * slope for k in (0, 1)], axis=1
    )
    order = np.lexsort((at.sum(axis=1), slab))
    slab, at = slab[order], at[order]
    return slab[::2], np.hstack([at[::2], at[1::2]])[:, [0, 2, 1, 3]]


def blocked_shifts(before: Slabs, after: Slabs) -> Blocked:
    """Shifts of the second shape, along x, at which it would overlap the first.

    As a side moves straight from the foot of a slab to its top, so do the two ends of the
    interval that two sides block: its union over the slab reaches from the least of the one to
    the greatest of the other.
    """
    first = np.searchsorted(after[0], before[0], "left")
    count = np.searchsorted(after[0], before[0], "right") - first
    a = np.repeat(np.arange(len(before[0])), count)
    b = np.repeat(first - np.cumsum(count) + count, count) + np.arange(count.sum())
    one, two = before[1][a], after[1][b]
    low = (one[:, [0, 2]] - two[:, [1, 3]]).min(axis=1)
    high = (one[:, [1, 3]] - two[:, [0, 2]]).max(axis=1)
    return _apart(low, high)


def joined(each: list[Blocked]) -> Blocked:
    """Shifts that are blocked by one or another."""
    low, high = ([x for blocked in each for x in blocked[k]] for k in (0, 1))
    return _apart(np.array(low), np.array(high))


def _apart(low: Array, high: Array) -> Blocked:
    """Intervals that overlap made one."""
    if len(low) == 0:
        return [], []
    order = np.argsort(low)
    low, high = low[order], np.maximum.accumulate(high[order])
    gap = np.flatnonzero(low[1:] > high[:-1] - THIN)
    begins, ends = low[np.append(0, gap + 1)], high[np.append(gap, len(high) - 1)]
    return begins.tolist(), ends.tolist()


def first_free(blocked: Blocked, least: float, phase: float = 0.0, repeat: float = 0.0) -> float:
    """The smallest shift from `least` on that does not overlap, of `phase` + whole repeats."""
    begins, ends = blocked
    shift = _on_stripe(least, phase, repeat)
    while True:
        k = bisect.bisect_left(begins, shift - THIN) - 1
        if k < 0 or ends[k] <= shift + THIN:
            return shift
        shift = _on_stripe(ends[k], phase, repeat)


def _on_stripe(least: float, phase: float, repeat: float) -> float:
    if repeat <= 0.0:
        return least
    return phase + math.ceil((least - phase) / repeat - 1e-9) * repeat
