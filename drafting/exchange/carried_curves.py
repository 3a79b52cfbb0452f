"""Curves carried beside the lines that stand for them, in a format whose entities are lines.

Each segment is one pair of data, its points in millimetres in the frame they were written in. A
file may since have been moved, turned or mirrored as a whole, which the lines show.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from drafting.chains import flattened_chain, moved_chain
from drafting.curves import Cubic, Line, Segment, control_points
from drafting.drawing import Data
from drafting.errors import DraftingError
from drafting.exchange.linework import Stroke
from drafting.plane import Motion, Point, coordinates

__all__ = ["TOLERANCE", "curve_data", "with_carried_curves"]

TOLERANCE = 0.02
"""How far the lines may lie from the curve they stand for, mm."""
KEY = "segment"
AGREES = 0.01
MOST = 100
"""Segments; the extended data of an entity are 16 kB at most (DXF reference)."""


def curve_data(segments: Sequence[Segment]) -> Data:
    """The segments as data; nothing when all are straight, or more than an entity can carry."""
    if len(segments) > MOST or all(isinstance(segment, Line) for segment in segments):
        return ()
    return tuple((KEY, _written(segment)) for segment in segments)


def _written(segment: Segment) -> str:
    return " ".join(f"{value:.9g}" for p in control_points(segment) for value in (p.x, p.y))


def with_carried_curves(stroke: Stroke) -> Stroke:
    """The stroke with its own curves, where its lines still stand for them; else as it is."""
    texts = [value for key, value in stroke.data if key == KEY]
    if not texts:
        return stroke
    kept = replace(stroke, data=tuple(pair for pair in stroke.data if pair[0] != KEY))
    try:
        segments = [_read(text) for text in texts]
    except (ValueError, DraftingError):
        return kept
    wanted = _traced(segments)
    seen = _traced(stroke.segments)
    if wanted.shape != seen.shape:
        return kept
    motion = _motion(wanted, seen)
    placed = moved_chain(segments, motion)
    if np.abs(_traced(placed) - seen).max() > AGREES:
        return kept
    return replace(kept, segments=placed)


def _read(text: str) -> Segment:
    numbers = [float(part) for part in text.split()]
    points = [Point(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
    if len(points) == 2:
        return Line(points[0], points[1])
    start, control_1, control_2, end = points
    return Cubic(start, control_1, control_2, end)


def _traced(segments: Sequence[Segment]) -> np.ndarray:
    return np.array(coordinates(flattened_chain(segments, TOLERANCE)))


def _motion(wanted: np.ndarray, seen: np.ndarray) -> Motion:
    """The motion that carries one row of points nearest to the other, mirrored or not."""
    best: tuple[float, Motion] | None = None
    for mirrored in (False, True):
        rows = wanted * [-1.0, 1.0] if mirrored else wanted
        a, b = rows - rows.mean(axis=0), seen - seen.mean(axis=0)
        angle = float(np.arctan2((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum(), (a * b).sum()))
        c, s = np.cos(angle), np.sin(angle)
        shift = seen.mean(axis=0) - np.array([[c, -s], [s, c]]) @ rows.mean(axis=0)
        motion = Motion(angle, float(shift[0]), float(shift[1]), mirrored)
        gap = float(np.abs(a @ np.array([[c, s], [-s, c]]) - b).max())
        if best is None or gap < best[0]:
            best = (gap, motion)
    assert best is not None
    return best[1]
