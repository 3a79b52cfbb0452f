"""The least length that pieces on the fold take in a row, their shapes counted."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely

__all__ = ["MOST", "fold_row"]

MOST = 8
"""Pieces on the fold up to which every order is weighed."""
HEIGHTS = 48
EASE = 0.03

Sections = list[npt.NDArray[np.float64]]


def fold_row(pieces: list[list[shapely.Polygon]]) -> float:
    """Least length of a row, mm; each piece is given in every way it may lie, fold along y = 0.

    Pieces are compared at some heights only, so that the true least length may be greater, but
    never smaller. Every order and way is weighed (Held and Karp 1962); neighbours in the row
    keep clear of each other, others are not compared.
    """
    ways = [(i, shape) for i, shapes in enumerate(pieces) for shape in shapes]
    top = max(shape.bounds[3] for _, shape in ways)
    heights = np.concatenate(([0.05], np.linspace(0.0, top, HEIGHTS + 1)[1:-1]))
    cut = [_sections(shape, heights) for _, shape in ways]
    count = len(ways)
    step = np.full((count, count), np.inf)
    for a in range(count):
        for b in range(count):
            if ways[a][0] != ways[b][0]:
                step[a, b] = _least_step(cut[a], cut[b])
    full = 1 << len(pieces)
    place = np.full((full, count), np.inf)  # least shift of the last piece of a row
    for a, (i, shape) in enumerate(ways):
        place[1 << i, a] = -shape.bounds[0]
    for laid in range(1, full):
        for b, (i, shape) in enumerate(ways):
            if laid >> i & 1 or not np.isfinite(step[:, b]).any():
                continue
            reach = max(float(np.min(place[laid] + step[:, b])), -shape.bounds[0])
            new = laid | 1 << i
            place[new, b] = min(place[new, b], reach)
    ends = np.array([shape.bounds[2] for _, shape in ways])
    return float(np.min(place[full - 1] + ends))


def _sections(shape: shapely.Polygon, heights: npt.NDArray[np.float64]) -> Sections:
    """Intervals (k, 2) in x that the shape covers at each height."""
    left, _, right, _ = shape.bounds
    found = []
    for y in heights:
        line = shapely.intersection(shape, shapely.LineString([(left - 1, y), (right + 1, y)]))
        spans = [(part.bounds[0], part.bounds[2]) for part in shapely.get_parts(line)]
        found.append(np.array(spans).reshape(-1, 2))
    return found


def _least_step(before: Sections, after: Sections) -> float:
    """Least shift of the second shape, right of the first at the fold, without overlap."""
    low, high = [], []
    for a, b in zip(before, after, strict=True):
        if len(a) and len(b):
            low.append((a[:, None, 0] - b[None, :, 1]).ravel())
            high.append((a[:, None, 1] - b[None, :, 0]).ravel())
    lows, highs = np.concatenate(low) + EASE, np.concatenate(high) - EASE
    shift = float(before[0][:, 1].max() - after[0][:, 0].min()) - EASE
    while True:
        blocked = (lows < shift) & (shift < highs)
        if not blocked.any():
            return shift
        shift = float(highs[blocked].max())
