"""Corners, smooth runs and notches of an outline that was traced as a row of points.

What was found may be corrected: every correction returns a new tracing, and the curves between
its corners are fitted anew to the points that were traced.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import shapely

from drafting.curves import Segment
from drafting.exchange.cornering import CutNotch
from drafting.exchange.outlines import Outline
from drafting.exchange.run_fitting import fitted_run
from drafting.plane import Point
from projector.errors import ProjectorError

__all__ = [
    "TracedCorner",
    "Tracing",
    "outline_of",
    "traced",
    "with_corner",
    "with_corner_moved",
    "with_notch",
    "with_notch_moved",
    "without_corner",
    "without_notch",
]

Array = npt.NDArray[np.float64]

STEP = 0.5
REACH = 7.0
SKIP = 1.0
CORNER = math.radians(28.0)
HALF_MOUTH = 3.5
SHALLOWEST = 2.2
LIPS = 6.0
SIDE = 7.0
STRAIGHT_ON = math.radians(75.0)
TOLERANCE = 0.3


@dataclass(frozen=True, slots=True)
class TracedCorner:
    """A corner: the row of points it was found at, and where the sides meet there, mm."""

    row: int
    place: Point


@dataclass(frozen=True, slots=True, eq=False)
class Tracing:
    """What was seen of a piece.

    Parameters
    ----------
    rows
        (n, 2), mm, y up, counter-clockwise every half millimetre, notches filled in.
    corners
        In the order of their rows.
    notches
        Where the edge was cut into, on the outline.
    """

    rows: Array
    corners: tuple[TracedCorner, ...]
    notches: tuple[CutNotch, ...]

    def __post_init__(self) -> None:
        rows = np.array(self.rows, dtype=np.float64)
        rows.setflags(write=False)
        object.__setattr__(self, "rows", rows)


def traced(points: npt.ArrayLike) -> Tracing:
    """Corners and notches among the points of an outline.

    Parameters
    ----------
    points
        (n, 2), mm, y up, in order round the piece, closer than about 1 mm.

    Notches are cuts up to 7 mm wide and at least 2.2 mm deep, the outline running on beyond.
    Corners turn by more than 28 degrees within some 14 mm; they are put where the two sides, run
    on, meet. Not covered: edges shorter than about 8 mm. Raises `ProjectorError` for what is too
    small to be a piece.
    """
    whole = shapely.Polygon(np.asarray(points, dtype=np.float64)).buffer(0.0)
    ring = _largest(whole)
    if ring.is_empty or ring.area < 400.0:
        raise ProjectorError("what was traced is smaller than 4 cm2; is the scale right?")
    body, notches = _without_notches(shapely.Polygon(ring.exterior))
    rows = _even(body)
    corners = tuple(TracedCorner(k, _point(_meeting(rows, k))) for k in _corners(_turns(rows)))
    return Tracing(rows, corners, notches)


def outline_of(tracing: Tracing) -> Outline:
    """Lines and cubic curves between the corners, which the outline states."""
    area = float(shapely.Polygon(tracing.rows).area)
    corners = tuple(corner.place for corner in tracing.corners)
    return Outline(_fitted(tracing), area, name="traced", corners=corners)


def with_corner(tracing: Tracing, place: Point) -> Tracing:
    """One more corner, on the traced edge nearest to a place."""
    row = _nearest(tracing, place)
    if any(corner.row == row for corner in tracing.corners):
        raise ProjectorError("there is a corner already")
    return _cornered(tracing, [*tracing.corners, TracedCorner(row, _point(tracing.rows[row]))])


def with_corner_moved(tracing: Tracing, number: int, place: Point) -> Tracing:
    """The corner `number`, from 0, put at a place, which need not lie on the traced edge."""
    kept = [c for k, c in enumerate(tracing.corners) if k != _known(number, tracing.corners)]
    return _cornered(tracing, [*kept, TracedCorner(_nearest(tracing, place), place)])


def without_corner(tracing: Tracing, number: int) -> Tracing:
    """The tracing with one corner less: its two edges become one."""
    kept = [c for k, c in enumerate(tracing.corners) if k != _known(number, tracing.corners)]
    return _cornered(tracing, kept)


def with_notch(tracing: Tracing, place: Point, depth: float = 5.0) -> Tracing:
    """One more notch, on the traced edge nearest to a place."""
    notch = CutNotch(_point(tracing.rows[_nearest(tracing, place)]), depth)
    return replace(tracing, notches=(*tracing.notches, notch))


def with_notch_moved(tracing: Tracing, number: int, place: Point) -> Tracing:
    """The notch `number`, from 0, at the traced edge nearest to a place."""
    at = _point(tracing.rows[_nearest(tracing, place)])
    _known(number, tracing.notches)
    return replace(
        tracing,
        notches=tuple(
            replace(n, place=at) if k == number else n for k, n in enumerate(tracing.notches)
        ),
    )


def without_notch(tracing: Tracing, number: int) -> Tracing:
    """The tracing with one notch less; the edge stays run on across it."""
    _known(number, tracing.notches)
    kept = tuple(n for k, n in enumerate(tracing.notches) if k != number)
    return replace(tracing, notches=kept)


def _known(number: int, have: Sequence[object]) -> int:
    if not 0 <= number < len(have):
        raise ProjectorError(f"there is no number {number}; there are {len(have)}, from 0")
    return number


def _nearest(tracing: Tracing, place: Point) -> int:
    return int(np.argmin(np.hypot(*(tracing.rows - (place.x, place.y)).T)))


def _cornered(tracing: Tracing, corners: Sequence[TracedCorner]) -> Tracing:
    return replace(tracing, corners=tuple(sorted(corners, key=lambda each: each.row)))


def _point(row: Array) -> Point:
    return Point(float(row[0]), float(row[1]))


def _without_notches(ring: shapely.Polygon) -> tuple[shapely.Polygon, tuple[CutNotch, ...]]:
    closed = ring.buffer(HALF_MOUTH, quad_segs=16).buffer(-HALF_MOUTH, quad_segs=16)
    found: list[CutNotch] = []
    body: shapely.Geometry = ring
    for part in shapely.get_parts(shapely.difference(closed, ring)):
        if part.area < 1.0:
            continue
        vertices = shapely.points(shapely.get_coordinates(part))
        depth = float(shapely.distance(vertices, closed.exterior).max())
        if depth < SHALLOWEST:
            continue
        mouth = shapely.intersection(part.buffer(0.05), closed.exterior)
        if mouth.length > 2.4 * HALF_MOUTH or not _runs_on(ring, mouth):
            continue
        middle = shapely.centroid(mouth)
        found.append(CutNotch(Point(float(middle.x), float(middle.y)), depth))
        body = shapely.union(body, shapely.convex_hull(part).buffer(0.05))
    whole = shapely.Polygon(_largest(body).exterior)
    return whole, tuple(replace(notch, place=_on(whole, notch.place)) for notch in found)


def _runs_on(ring: shapely.Polygon, mouth: shapely.Geometry) -> bool:
    """Whether the outline goes on beyond a mouth as it came: an inner corner turns instead."""
    edge = shapely.orient_polygons(ring).exterior
    whole = edge.length
    ends = shapely.points(shapely.get_coordinates(mouth))
    alongs = np.atleast_1d(shapely.line_locate_point(edge, ends))
    first = float(alongs[0])
    aside = np.mod(alongs - first + whole / 2, whole) - whole / 2
    low, high = first + float(aside.min()), first + float(aside.max())
    places = np.mod(np.array([low - SIDE, low - SKIP, high + SKIP, high + SIDE]), whole)
    a, b, c, d = shapely.get_coordinates(shapely.line_interpolate_point(edge, places))
    into, away = b - a, d - c
    turn = math.atan2(into[0] * away[1] - into[1] * away[0], float(into @ away))
    return abs(turn) < STRAIGHT_ON


def _on(body: shapely.Polygon, place: Point) -> Point:
    """The nearest point of the outline."""
    ring = body.exterior
    along = shapely.line_locate_point(ring, shapely.Point(place.x, place.y))
    dot = shapely.line_interpolate_point(ring, along)
    return Point(float(dot.x), float(dot.y))


def _largest(area: shapely.Geometry) -> shapely.Polygon:
    """The largest of the parts an area falls into."""
    parts = [part for part in shapely.get_parts(area) if isinstance(part, shapely.Polygon)]
    return max(parts, key=lambda part: float(part.area), default=shapely.Polygon())


def _even(body: shapely.Polygon) -> Array:
    """Points every half millimetre, counter-clockwise, smoothed a little."""
    ring = shapely.orient_polygons(body).exterior
    count = max(40, round(ring.length / STEP))
    dots = shapely.line_interpolate_point(ring, np.arange(count) / count, normalized=True)
    rows = shapely.get_coordinates(dots)
    weights = np.array([0.06, 0.24, 0.4, 0.24, 0.06])
    shifted = [np.roll(rows, k, axis=0) for k in range(-2, 3)]
    out: Array = sum(w * part for w, part in zip(weights, shifted, strict=True))
    return out


def _lines(rows: Array, ahead: bool) -> tuple[Array, Array]:
    """For every point a line through the stretch ahead of it (or behind): middle, direction."""
    first, last = round(SKIP / STEP), round(REACH / STEP)
    sign = -1 if ahead else 1
    stretch = np.stack([np.roll(rows, sign * k, axis=0) for k in range(first, last + 1)])
    middle = stretch.mean(axis=0)
    aside = stretch - middle
    t = np.arange(first, last + 1) - (first + last) / 2
    direction = (t[:, None, None] * aside).sum(axis=0)
    direction = direction * (1.0 if ahead else -1.0)
    return middle, direction / np.maximum(np.hypot(*direction.T), 1e-12)[:, None]


def _turns(rows: Array) -> Array:
    _, ahead = _lines(rows, True)
    _, behind = _lines(rows, False)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    out: Array = np.arctan2(cross, (behind * ahead).sum(axis=1))
    return out


def _corners(turns: Array) -> list[int]:
    size = np.abs(turns)
    reach = round(REACH / STEP)
    around = np.stack([np.roll(size, k) for k in range(-reach, reach + 1)])
    peaks = np.flatnonzero((size >= around.max(axis=0) - 1e-12) & (size > CORNER))
    # A smooth bend turns as much half its reach away; a corner does not.
    half = round(REACH / 2 / STEP)
    beside = np.maximum(np.roll(size, half), np.roll(size, -half))
    kept: list[int] = []
    for peak in peaks.tolist():
        sharp = beside[peak] < 0.86 * size[peak]
        if sharp and (not kept or peak - kept[-1] > reach // 2):
            kept.append(peak)
    return kept


def _fitted(tracing: Tracing) -> tuple[Segment, ...]:
    rows, corners = tracing.rows, tracing.corners
    count = len(rows)
    if not corners:
        half = count // 2
        parts = [rows[: half + 1], np.vstack([rows[half:], rows[:1]])]
        return tuple(s for part in parts for s in fitted_run(part, TOLERANCE, 8.0))
    skip = round(SKIP / STEP)
    segments: list[Segment] = []
    for corner, after in zip(corners, (*corners[1:], corners[0]), strict=True):
        steps = (after.row - corner.row) % count or count
        inner = rows[(corner.row + np.arange(skip, max(skip + 1, steps - skip + 1))) % count]
        for end in (corner, after):  # a corner moved aside takes the edge beside it along
            at = rows[end.row]
            aside = float(np.hypot(end.place.x - at[0], end.place.y - at[1]))
            if aside > SKIP:
                inner = inner[np.hypot(*(inner - at).T) > 1.5 * aside]
        for notch in tracing.notches:  # its lips are bruised; the edge is run on across it
            inner = inner[np.hypot(*(inner - (notch.place.x, notch.place.y)).T) > LIPS]
        ends = [np.array([[c.place.x, c.place.y]]) for c in (corner, after)]
        segments += fitted_run(np.vstack([ends[0], inner, ends[1]]), TOLERANCE, 10.0)
    return tuple(segments)


def _meeting(rows: Array, place: int) -> Array:
    """Where the two sides of a corner meet when they are run on."""
    at_ahead, ahead = (part[place] for part in _lines(rows, True))
    at_behind, behind = (part[place] for part in _lines(rows, False))
    across = behind[0] * ahead[1] - behind[1] * ahead[0]
    aside = at_ahead - at_behind
    t = (aside[0] * ahead[1] - aside[1] * ahead[0]) / across if abs(across) > 0.2 else math.inf
    meet: Array = at_behind + t * behind if math.isfinite(t) else rows[place]
    # A sharp point is rounded more by the blur of the photograph.
    half = (math.pi - abs(math.atan2(across, float(behind @ ahead)))) / 2.0
    near = np.hypot(*(meet - rows[place])) < min(1.4 / max(math.sin(half), 0.1), 9.0)
    return meet if near else rows[place]
