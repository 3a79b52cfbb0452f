"""Lines and cubic curves through rows of points, within a stated tolerance.

After P. J. Schneider, "An algorithm for automatically fitting digitized curves", Graphics Gems
(Academic Press, 1990): least squares for the two arms, better parameters by Newton's method,
and a cut at the worst point where one curve does not do.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from drafting.curves import Cubic, Line, Segment
from drafting.errors import DraftingError
from drafting.plane import Point

__all__ = ["fitted_run"]

Array = npt.NDArray[np.float64]

ROUNDS = 6
TANGENT_REACH = 4.0
"""Tangents are taken over about this many tolerances, so that noise does not turn them."""


def fitted_run(
    points: npt.ArrayLike, tolerance: float, tangent_reach: float = 0.0
) -> tuple[Segment, ...]:
    """Segments through the first and last point, within `tolerance` mm of those between.

    Parameters
    ----------
    points
        Shape (n, 2), mm, n >= 2, along a run without corners.
    tangent_reach
        Over how much of the run a tangent is taken, mm; more for points with noise.

    Raises
    ------
    DraftingError
        Fewer than two different points.
    """
    rows = np.asarray(points, dtype=np.float64)
    steps = np.hypot(*np.diff(rows, axis=0).T) if len(rows) > 1 else np.zeros(0)
    rows = rows[np.concatenate([[True], steps > 1e-9])] if len(rows) > 1 else rows
    if len(rows) < 2:
        raise DraftingError("a run of one point cannot be fitted")
    reach = max(tangent_reach, TANGENT_REACH * tolerance)
    first, last = _tangent(rows, reach), -_tangent(rows[::-1], reach)
    segments: list[Segment] = []
    _fit(rows, first, last, tolerance, reach, segments)
    return tuple(segments)


def _fit(
    rows: Array, first: Array, last: Array, tolerance: float, reach: float, out: list[Segment]
) -> None:
    # A stack, not recursion: a long noisy run may be cut very often.
    stack = [(rows, first, last)]
    while stack:
        part, into, away = stack.pop()
        if len(part) == 2 or _off_chord(part) <= tolerance:
            out.append(Line(_point(part[0]), _point(part[-1])))
            continue
        controls, worst, place = _best(part, into, away, tolerance)
        if worst <= tolerance:
            out.append(Cubic(*(_point(row) for row in controls)))
            continue
        place = min(max(place, 1), len(part) - 2)
        middle = _middle_tangent(part, place, reach)
        stack.append((part[place:], middle, away))
        stack.append((part[: place + 1], into, middle))


def _point(row: Array) -> Point:
    return Point(float(row[0]), float(row[1]))


def _tangent(rows: Array, reach: float) -> Array:
    """The direction in which a run leaves its first point, by a weighted line through it."""
    away = np.hypot(*(rows - rows[0]).T)
    count = max(2, int(np.searchsorted(np.maximum.accumulate(away), reach, side="right")))
    aside = rows[1:count] - rows[0]
    direction: Array = aside.sum(axis=0)
    if len(aside) > 2:
        # A parabola through the first point: its slope there, not the mean slope, is wanted.
        t = away[1:count]
        design = np.column_stack([t, t * t])
        direction = np.linalg.lstsq(design, aside, rcond=None)[0][0]
    size = float(np.hypot(*direction))
    if size < 1e-12:
        direction, size = rows[-1] - rows[0], float(np.hypot(*(rows[-1] - rows[0]))) or 1.0
    return direction / size


def _middle_tangent(rows: Array, place: int, reach: float) -> Array:
    ahead, behind = _tangent(rows[place:], reach), _tangent(rows[: place + 1][::-1], reach)
    both = ahead - behind
    size = float(np.hypot(*both))
    return both / size if size > 1e-9 else ahead


def _off_chord(rows: Array) -> float:
    along = rows[-1] - rows[0]
    size = float(np.hypot(*along))
    if size < 1e-9:
        return float("inf")
    aside = rows - rows[0]
    t = aside @ along / size
    if t.min() < -1e-6 * size or t.max() > size * (1 + 1e-6):
        return float("inf")
    return float(np.abs(aside @ np.array([-along[1], along[0]]) / size).max())


def _best(rows: Array, first: Array, last: Array, tolerance: float) -> tuple[Array, float, int]:
    steps = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
    t = steps / steps[-1]
    best: tuple[Array, float, int] | None = None
    for _ in range(ROUNDS):
        controls = _arms(rows, t, first, last)
        gaps = np.hypot(*(_at(controls, t) - rows).T)
        place = int(np.argmax(gaps))
        if best is None or gaps[place] < best[1]:
            best = (controls, float(gaps[place]), place)
        if best[1] <= tolerance or gaps[place] > 60.0 * tolerance:
            break
        t = _nearer(controls, rows, t)
    assert best is not None
    return best


def _arms(rows: Array, t: Array, first: Array, last: Array) -> Array:
    """The cubic with these end tangents nearest to the points, by least squares."""
    start, end = rows[0], rows[-1]
    u = 1.0 - t
    b0, b1, b2, b3 = u**3, 3 * u * u * t, 3 * u * t * t, t**3
    a1, a2 = b1[:, None] * first, -b2[:, None] * last
    base = (b0 + b1)[:, None] * start + (b2 + b3)[:, None] * end
    left = rows - base
    c11, c12, c22 = (a1 * a1).sum(), (a1 * a2).sum(), (a2 * a2).sum()
    x1, x2 = (left * a1).sum(), (left * a2).sum()
    across = c11 * c22 - c12 * c12
    chord = float(np.hypot(*(end - start)))
    arms = (chord / 3, chord / 3)
    if abs(across) > 1e-12:
        solved = ((x1 * c22 - x2 * c12) / across, (c11 * x2 - c12 * x1) / across)
        if min(solved) > 1e-3 * chord:
            arms = solved
    return np.array([start, start + arms[0] * first, end - arms[1] * last, end])


def _at(controls: Array, t: Array) -> Array:
    u = 1.0 - t
    weights = np.column_stack([u**3, 3 * u * u * t, 3 * u * t * t, t**3])
    out: Array = weights @ controls
    return out


def _nearer(controls: Array, rows: Array, t: Array) -> Array:
    """One step of Newton's method towards the foot of each point on the curve."""
    d1 = 3 * np.diff(controls, axis=0)
    d2 = 2 * np.diff(d1, axis=0)
    u = 1.0 - t
    place = _at(controls, t) - rows
    speed = np.column_stack([u * u, 2 * u * t, t * t]) @ d1
    bend = np.column_stack([u, t]) @ d2
    slope = (speed * speed).sum(axis=1) + (place * bend).sum(axis=1)
    step = np.where(np.abs(slope) > 1e-12, (place * speed).sum(axis=1) / slope, 0.0)
    moved = np.clip(t - step, 0.0, 1.0)
    moved[0], moved[-1] = 0.0, 1.0
    out: Array = np.maximum.accumulate(moved)
    return out
