"""Every lay is checked by shapely, which shares nothing with the search, before it is shown."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from shapely.affinity import translate

from projector.cloth.search.problem import Lay, Problem, Spot, far_end

__all__ = ["TOLERANCE", "faults", "shorter"]

TOLERANCE = 4e-6
"""Overlap that counts as touching, as a part of the width of the strip: 6 um on 1500 mm."""


@lru_cache(maxsize=4096)
def _shape(corners: bytes, grown: float) -> shapely.Polygon:
    outline = np.frombuffer(corners).reshape(-1, 2)
    return shapely.buffer(shapely.Polygon(outline), grown, join_style="mitre", mitre_limit=10.0)


def faults(problem: Problem, spots: tuple[Spot, ...]) -> tuple[str, ...]:
    """What is wrong with a lay of a problem, one line each; empty when it may be shown."""
    if not spots:
        return ()
    width = max(p.high for p in problem.parts) - min(p.low for p in problem.parts)
    slack = TOLERANCE * width
    found = []
    plain, apart = [], []
    for i, (part, spot) in enumerate(zip(problem.parts, spots, strict=True)):
        outline = part.ways[spot.way].outline
        left, low = outline.min(axis=0) + np.array((spot.x, spot.y))
        right, high = outline.max(axis=0) + np.array((spot.x, spot.y))
        if left < -slack or right > problem.limit + slack:
            found.append(f"part {i} lies beyond the ends of the cloth")
        if low < part.low - slack or high > part.high + slack:
            found.append(f"part {i} lies beyond the edges of the cloth")
        for axis, at in enumerate((spot.x, spot.y)):
            step, off = part.step[axis], at - part.ways[spot.way].phase[axis]
            if step > 0.0:
                off -= round(off / step) * step
            if step != 0.0 and abs(off) > slack:
                found.append(f"part {i} lies {off:.4f} mm off where it has to lie")
        key = outline.tobytes()
        plain.append(translate(_shape(key, -slack / 2), spot.x, spot.y))
        apart.append(
            translate(_shape(key, (problem.buffer - slack) / 2), spot.x, spot.y)
            if problem.buffer
            else plain[-1]
        )
    first, second = shapely.STRtree(apart).query(apart, predicate="intersects")
    close = problem.buffer - slack
    for i, j in zip(first, second, strict=True):
        if i < j and (not problem.buffer or plain[i].distance(plain[j]) < close - slack):
            found.append(f"parts {i} and {j} overlap")
    if problem.obstacles:
        obstacles = [shapely.Polygon(outline) for outline in problem.obstacles]
        first, _ = shapely.STRtree(obstacles).query(plain, predicate="intersects")
        found += [f"part {i} overlaps an obstacle" for i in first]
    return tuple(found)


def shorter(problem: Problem, found: Lay, than: float) -> bool:
    """Whether a lay may be shown, and takes less than a length, mm."""
    length = far_end(problem, found)
    return length < than * (1.0 - 1e-9) - 1e-9 and not faults(problem, found)
