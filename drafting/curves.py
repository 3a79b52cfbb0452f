"""Segments of a seam line: straight lines and cubic Bezier curves.

A segment runs from t = 0 at its start to t = 1 at its end. Left and right are as seen along it.
Curves stay curves; they are flattened only at the border, to a stated tolerance.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from drafting.errors import DraftingError
from drafting.plane import Point, distance

__all__ = [
    "Cubic",
    "Line",
    "Segment",
    "chord_count",
    "control_points",
    "curvature_at",
    "end_tangents",
    "flattened",
    "length",
    "moved",
    "parameter_at_length",
    "point_at",
    "reversed_segment",
    "split",
    "tangent_at",
]


@dataclass(frozen=True, slots=True)
class Line:
    """The straight segment from `start` to `end`."""

    start: Point
    end: Point

    def __post_init__(self) -> None:
        if self.start == self.end:
            raise DraftingError(f"a line from {self.start} to itself has no length")


@dataclass(frozen=True, slots=True)
class Cubic:
    """The cubic Bezier curve with the given end points and control points."""

    start: Point
    control_1: Point
    control_2: Point
    end: Point

    def __post_init__(self) -> None:
        if self.start == self.control_1 == self.control_2 == self.end:
            raise DraftingError(f"a curve of four points at {self.start} has no length")


Segment = Line | Cubic

Numbers = npt.NDArray[np.float64]

# 16-point Gauss-Legendre nodes on [0, 1]: exact for polynomials to degree 31.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
_NODES = (_NODES + 1) / 2
_WEIGHTS = _WEIGHTS / 2


def control_points(segment: Segment) -> tuple[Point, ...]:
    """The points that make a segment: both ends of a line, the four of a cubic curve in turn."""
    if isinstance(segment, Line):
        return segment.start, segment.end
    return segment.start, segment.control_1, segment.control_2, segment.end


def point_at(segment: Segment, t: float) -> Point:
    """The point at parameter t in [0, 1]."""
    if isinstance(segment, Line):
        a, b = segment.start, segment.end
        return Point(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t)
    u = 1.0 - t
    w = (u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t)
    p, q, r, s = segment.start, segment.control_1, segment.control_2, segment.end
    return Point(
        w[0] * p.x + w[1] * q.x + w[2] * r.x + w[3] * s.x,
        w[0] * p.y + w[1] * q.y + w[2] * r.y + w[3] * s.y,
    )


def _derivative(segment: Cubic, t: float) -> Point:
    u = 1.0 - t
    p, q, r, s = segment.start, segment.control_1, segment.control_2, segment.end
    a, b, c = 3 * u * u, 6 * u * t, 3 * t * t
    return Point(
        a * (q.x - p.x) + b * (r.x - q.x) + c * (s.x - r.x),
        a * (q.y - p.y) + b * (r.y - q.y) + c * (s.y - r.y),
    )


def _second_derivative(segment: Cubic, t: float) -> Point:
    p, q, r, s = segment.start, segment.control_1, segment.control_2, segment.end
    return 6 * (1 - t) * (r - 2 * q + p) + 6 * t * (s - 2 * r + q)


def tangent_at(segment: Segment, t: float) -> Point:
    """The unit direction of travel at parameter t.

    Where a control point coincides with its end the limit is returned.
    """
    if isinstance(segment, Line):
        return (segment.end - segment.start).unit
    derivative = _derivative(segment, t)
    if abs(derivative) > 1e-9:
        return derivative.unit
    p, q, r, s = segment.start, segment.control_1, segment.control_2, segment.end
    reaches: tuple[Point, ...]
    if t < 1e-9:
        reaches = (q - p, r - p)
    elif t > 1.0 - 1e-9:
        reaches = (s - r, s - q)
    else:  # a cusp: the direction in which it is left; a straight curve may only pause there
        reaches = (_second_derivative(segment, t),)
    return next((reach for reach in reaches if abs(reach) > 1e-9), s - p).unit


def curvature_at(segment: Segment, t: float) -> float:
    """Signed curvature in 1/mm at parameter t; positive where the segment bends to the left."""
    if isinstance(segment, Line):
        return 0.0
    first, second = _derivative(segment, t), _second_derivative(segment, t)
    speed = abs(first)
    if speed < 1e-9:
        return math.inf
    return first.cross(second) / speed**3


def end_tangents(segment: Segment) -> tuple[Point, Point]:
    """Unit directions of travel at the start and at the end."""
    return tangent_at(segment, 0.0), tangent_at(segment, 1.0)


def reversed_segment(segment: Segment) -> Segment:
    """The same points travelled from end to start."""
    if isinstance(segment, Line):
        return Line(segment.end, segment.start)
    return Cubic(segment.end, segment.control_2, segment.control_1, segment.start)


def moved(segment: Segment, motion: Callable[[Point], Point]) -> Segment:
    """The segment after a motion, or after a change of scale. A mirror turns left into right."""
    if isinstance(segment, Line):
        return Line(motion(segment.start), motion(segment.end))
    return Cubic(
        motion(segment.start),
        motion(segment.control_1),
        motion(segment.control_2),
        motion(segment.end),
    )


def split(segment: Segment, t: float) -> tuple[Segment, Segment]:
    """The two parts before and after parameter t, 0 < t < 1 (de Casteljau)."""
    if not 0.0 < t < 1.0:
        raise DraftingError(f"a segment is split strictly inside it; t = {t}")
    middle = point_at(segment, t)
    if isinstance(segment, Line):
        return Line(segment.start, middle), Line(middle, segment.end)
    p, q, r, s = segment.start, segment.control_1, segment.control_2, segment.end
    pq, qr, rs = p + (q - p) * t, q + (r - q) * t, r + (s - r) * t
    pqr, qrs = pq + (qr - pq) * t, qr + (rs - qr) * t
    return Cubic(p, pq, pqr, middle), Cubic(middle, qrs, rs, s)


def _gauss_lengths(segment: Cubic, lows: Numbers, highs: Numbers) -> Numbers:
    """Gauss-Legendre estimates of the lengths over several stretches of parameter at once."""
    p, q, r, s = segment.start, segment.control_1, segment.control_2, segment.end
    t = lows[:, None] + (highs - lows)[:, None] * _NODES
    u = 1 - t
    a, b, c = 3 * u * u, 6 * u * t, 3 * t * t
    dx = a * (q.x - p.x) + b * (r.x - q.x) + c * (s.x - r.x)
    dy = a * (q.y - p.y) + b * (r.y - q.y) + c * (s.y - r.y)
    lengths: Numbers = (highs - lows) * (np.hypot(dx, dy) @ _WEIGHTS)
    return lengths


@lru_cache(maxsize=4096)
def _slow_places(segment: Cubic) -> tuple[float, ...]:
    """Parameters inside (0, 1) where the speed is extremal: roots of B' . B'', ascending."""
    p, q, r, s = segment.start, segment.control_1, segment.control_2, segment.end
    a, b, c = s - 3 * r + 3 * q - p, 2 * (r - 2 * q + p), q - p  # B' / 3 = a t^2 + b t + c
    cubic = (2 * a.dot(a), 3 * a.dot(b), b.dot(b) + 2 * a.dot(c), b.dot(c))
    # A root that rounding has lifted off the real line still marks the slow place.
    return tuple(sorted(z.real for z in np.roots(cubic) if 0.0 < z.real < 1.0))


def _length_between(segment: Cubic, low: float, high: float, tolerance: float = 1e-7) -> float:
    # Between the slowest places the speed is smooth; halve until two half-estimates agree with
    # the whole, but never trust the first agreement: across a near cusp it may come by chance.
    places = np.array([low, *(t for t in _slow_places(segment) if low < t < high), high])
    lows, highs = places[:-1], places[1:]
    wholes, total = _gauss_lengths(segment, lows, highs), 0.0
    for depth in range(26):
        middles = (lows + highs) / 2
        firsts = _gauss_lengths(segment, lows, middles)
        seconds = _gauss_lengths(segment, middles, highs)
        halves = firsts + seconds
        open_ = (np.abs(halves - wholes) >= tolerance) & (depth <= 24) | (depth <= 1)
        total += float(halves[~open_].sum())
        if not open_.any():
            break
        lows, highs = (
            np.concatenate((lows[open_], middles[open_])),
            np.concatenate((middles[open_], highs[open_])),
        )
        wholes = np.concatenate((firsts[open_], seconds[open_]))
    return total


@lru_cache(maxsize=4096)
def _cubic_length(segment: Cubic) -> float:
    return _length_between(segment, 0.0, 1.0)


def length(segment: Segment) -> float:
    """Arc length in mm, within 1e-6 mm (adaptive Gauss-Legendre quadrature)."""
    if isinstance(segment, Line):
        return distance(segment.start, segment.end)
    return _cubic_length(segment)


def parameter_at_length(segment: Segment, along: float) -> float:
    """The parameter at arc length `along` (mm) from the start, within 1e-7 mm.

    Raises `DraftingError` when `along` lies outside the segment by more than 1e-6 mm.
    """
    total = length(segment)
    if not -1e-6 <= along <= total + 1e-6:
        raise DraftingError(f"{along:.3f} mm along a segment of {total:.3f} mm lies outside it")
    along = min(max(along, 0.0), total)
    if isinstance(segment, Line):
        return along / total
    low, high, t = 0.0, 1.0, along / total
    for _ in range(60):
        error = _length_between(segment, 0.0, t) - along
        if abs(error) < 1e-7:
            break
        low, high = (low, t) if error > 0 else (t, high)
        t -= error / max(abs(_derivative(segment, t)), 1e-9)
        if not low < t < high:  # Newton left the bracket: halve instead
            t = (low + high) / 2
    return t


def chord_count(segment: Cubic, tolerance: float) -> int:
    """How many chords, at equal steps of t, stay within `tolerance` mm of the curve; 1 or more.

    Uses the bound h <= max |B''| dt² / 8 on the distance of a chord from its curve.
    """
    bend = max(abs(_second_derivative(segment, 0.0)), abs(_second_derivative(segment, 1.0)))
    return max(1, math.ceil(math.sqrt(bend / (8 * tolerance))))


def flattened(segment: Segment, tolerance: float) -> tuple[Point, ...]:
    """Points on the segment, ends included, whose chords stay within `tolerance` mm of it."""
    if tolerance <= 0.0:
        raise DraftingError(f"flattening tolerance {tolerance} mm must be positive")
    if isinstance(segment, Line):
        return (segment.start, segment.end)
    steps = chord_count(segment, tolerance)
    inner = tuple(point_at(segment, i / steps) for i in range(1, steps))
    return (segment.start, *inner, segment.end)
