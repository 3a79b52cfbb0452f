"""Lines on the table that run out towards the horizon of a map: only what lies before it is lit."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np

from calibration.table_map import TableMap, lit_outline
from projector.stage.picture import Array

__all__ = ["before_horizon"]

NEAR = 0.5
"""Lines end where they are half as near to the horizon as the farthest lit point is: well off the
screen, and well before pixels grow without bound."""


def before_horizon(
    table_map: TableMap, points: Array, breaks: tuple[int, ...] = (), closed: bool = False
) -> tuple[Array, tuple[int, ...], bool]:
    """Polylines on the table, (n, 2), mm, without what lies towards the horizon or beyond it.

    `breaks` are the rows at which another line begins; with `closed` each line returns to its
    first point. Nothing that is lit is taken away: over the lit area the third homogeneous
    coordinate of the screen point is least at a corner, as it is linear on the table. Returns
    points, breaks and whether the lines are still closed; the same points where all of them stay.
    """
    depth, limit = _depth(table_map, points), _limit(table_map)
    if (depth >= limit).all():
        return points, breaks, closed
    kept: list[Array] = []
    starts, ends = (0, *breaks), (*breaks, len(points))
    for start, end in zip(starts, ends, strict=True):
        rows = np.column_stack([points[start:end], depth[start:end]])
        kept += _kept(np.concatenate([rows, rows[:1]]) if closed else rows, limit)
    if not kept:
        return np.empty((0, 2)), (), False
    parts = np.cumsum([len(line) for line in kept])[:-1]
    return np.concatenate(kept), tuple(int(row) for row in parts), False


@lru_cache(maxsize=8)
def _limit(table_map: TableMap) -> float:
    return NEAR * float(_depth(table_map, lit_outline(table_map)).min())


def _depth(table_map: TableMap, points: Array) -> Array:
    """The third homogeneous coordinate of the screen points, positive before the horizon."""
    depth: Array = points @ table_map.screen_from_table[2, :2] + table_map.screen_from_table[2, 2]
    return depth


def _kept(rows: Array, limit: float) -> list[Array]:
    """The runs of a polyline of x, y and depth that are at least `limit` deep."""
    runs: list[list[Array]] = [[]]
    for a, b in pairwise(rows):
        if a[2] >= limit:
            runs[-1].append(a[:2])
        if (a[2] >= limit) != (b[2] >= limit):
            part = (limit - a[2]) / (b[2] - a[2])
            runs[-1].append(a[:2] + part * (b[:2] - a[:2]))
            if a[2] >= limit:
                runs.append([])
    if rows[-1, 2] >= limit:
        runs[-1].append(rows[-1, :2])
    return [np.array(run) for run in runs if len(run) > 1]
