"""The seam line inside a cutting line: every edge moved inward by its own allowance.

An edge is moved along its normals, run on at both ends by its tangents, and cut where it meets
its neighbours, so that corners come out as the trade draws them: both seam lines run on until
they meet.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import shapely

from drafting.curves import Line, Segment, flattened, point_at, tangent_at
from drafting.errors import DraftingError
from drafting.exchange.run_fitting import fitted_run
from drafting.plane import Point

__all__ = ["INSET_TOLERANCE", "inset"]

INSET_TOLERANCE = 0.02
"""How far the curves of the seam line may lie from the true parallel, mm."""

Array = npt.NDArray[np.float64]


def inset(
    runs: Sequence[Sequence[Segment]], allowances: Sequence[float]
) -> tuple[tuple[Segment, ...], ...]:
    """The runs of a counter-clockwise cutting line moved inward, one allowance (mm) for each.

    Neighbours with the same allowance and a corner between them meet on the bisector. Straight
    runs stay exact; curves are within 0.02 mm. Raises `DraftingError` when an allowance is so
    wide that an edge vanishes.
    """
    lines = [_parallel(run, allowance) for run, allowance in zip(runs, allowances, strict=True)]
    if len(lines) == 1:
        return (_closed(lines[0]),)
    total = len(lines)
    corners = [
        _corner(lines[k - 1], lines[k], runs[k][0].start, k, max(allowances[k - 1], allowances[k]))
        for k in range(total)
    ]
    made = []
    for k, line in enumerate(lines):
        made.append(_between(line, corners[k], corners[(k + 1) % total], k))
    return tuple(made)


def _parallel(run: Sequence[Segment], allowance: float) -> Array:
    """Points of the run moved to its left, which is inside."""
    rows: list[tuple[float, float]] = []
    for segment in run:
        steps = 1
        if not isinstance(segment, Line):
            steps = max(8, len(flattened(segment, INSET_TOLERANCE / 16)) - 1)
        for number in range(steps + 1):
            t = number / steps
            place = point_at(segment, t) + allowance * tangent_at(segment, t).left
            if not rows or abs(Point(*rows[-1]) - place) > 1e-9:
                rows.append((place.x, place.y))
    return _without_loops(np.array(rows), 3.0 * abs(allowance) + 1.0)


def _without_loops(rows: Array, longest: float) -> Array:
    """The row of points without the loops up to `longest` mm that it makes on itself.

    A slight hollow bend between two segments, or a curve narrower than the allowance, crosses
    itself once it is moved; the true parallel goes on from the crossing.
    """
    rows = _forward(rows)
    if len(rows) < 4:
        return rows
    whole = shapely.LineString(rows)
    if shapely.is_simple(whole):
        return rows
    lines = [shapely.LineString(pair) for pair in pairwise(rows)]
    first, second = shapely.STRtree(lines).query(lines, "intersects")
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
    pairs = sorted(
        (int(i), -int(j))
        for i, j in zip(first, second, strict=True)
        if j > i + 1 and along[j] - along[i + 1] <= longest
    )
    kept: list[Array] = []
    done = 0
    for i, back in pairs:
        j = -back
        place = shapely.get_coordinates(shapely.intersection(lines[i], lines[j]))
        if i < done or len(place) == 0:
            continue
        kept += [rows[done : i + 1], place[:1]]
        done = j + 1
    return _forward(np.vstack([*kept, rows[done:]]))


def _forward(rows: Array) -> Array:
    """The row of points without those at which it turns back."""
    while len(rows) > 3:
        steps = np.diff(rows, axis=0)
        ahead = np.concatenate([[True], (steps[:-1] * steps[1:]).sum(axis=1) >= 0.0, [True]])
        if ahead.all():
            break
        rows = rows[ahead]
    return rows


def _corner(before: Array, after: Array, cut: Point, number: int, allowance: float) -> Point:
    """Where two moved edges meet, nearest to the corner of the cutting line."""
    reach = 6.0 * allowance + 1.0
    one, two = _run_on(before, reach, False), _run_on(after, reach, True)
    meet = shapely.intersection(shapely.LineString(one), shapely.LineString(two))
    places = shapely.get_coordinates(meet)
    if len(places) == 0:
        a, b = before[-1], after[0]
        if np.hypot(*(a - b)) < 0.02:  # they run on smoothly into each other
            return Point(*((a + b) / 2).tolist())
        raise DraftingError(
            f"edges {number or 'last'} and {number + 1} do not meet once they are moved in by "
            "their allowances; give them less"
        )
    gaps = np.hypot(*(places - (cut.x, cut.y)).T)
    x, y = places[int(np.argmin(gaps))]
    return Point(float(x), float(y))


def _run_on(rows: Array, reach: float, at_start: bool) -> Array:
    if at_start:
        along = rows[0] - rows[1]
        return np.vstack([rows[0] + reach * along / np.hypot(*along), rows])
    along = rows[-1] - rows[-2]
    return np.vstack([rows, rows[-1] + reach * along / np.hypot(*along)])


def _between(rows: Array, start: Point, end: Point, number: int) -> tuple[Segment, ...]:
    first, last = np.array([start.x, start.y]), np.array([end.x, end.y])
    reach = 1.0 + max(np.hypot(*(rows[0] - first)), np.hypot(*(rows[-1] - last)))
    long = _run_on(_run_on(rows, reach, True), reach, False)
    line = shapely.LineString(long)
    low, high = (shapely.line_locate_point(line, shapely.Point(p)) for p in (first, last))
    if high - low < 1e-6:
        raise DraftingError(
            f"edge {number + 1} vanishes once its neighbours are moved in by their allowances; "
            "give them less"
        )
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(long, axis=0).T))])
    inner = long[(along > low + 1e-9) & (along < high - 1e-9)]
    return fitted_run(np.vstack([first, inner, last]), INSET_TOLERANCE / 2)


def _closed(rows: Array) -> tuple[Segment, ...]:
    """A moved outline without corners."""
    if np.hypot(*(rows[0] - rows[-1])) > 1e-9:
        rows = np.vstack([rows[:-1], rows[0]])
    half = len(rows) // 2
    parts = [rows[: half + 1], rows[half:]]
    made = [segment for part in parts for segment in fitted_run(part, INSET_TOLERANCE / 2)]
    for one, two in pairwise(made):
        assert one.end == two.start
    return tuple(made)
