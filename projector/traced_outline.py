"""Corners, smooth runs and notches of an outline that was traced as a row of points."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import shapely

from drafting.curves import Segment
from drafting.exchange.cornering import CutNotch
from drafting.exchange.outlines import Outline
from drafting.exchange.run_fitting import fitted_run
from drafting.plane import Point
from projector.errors import ProjectorError

__all__ = ["traced_outline"]

Array = npt.NDArray[np.float64]

STEP = 0.5
REACH = 7.0
SKIP = 1.0
CORNER = math.radians(28.0)
HALF_MOUTH = 3.5
SHALLOWEST = 2.2
LIPS = 6.0
TOLERANCE = 0.45


def traced_outline(points: npt.ArrayLike) -> tuple[Outline, tuple[CutNotch, ...]]:
    """The outline as lines and cubic curves between corners, and the notches cut into it.

    Parameters
    ----------
    points
        (n, 2), mm, y up, in order round the piece, closer than about 1 mm.

    Notches are cuts up to 7 mm wide and at least 2.2 mm deep. Corners turn by more than 28
    degrees within some 14 mm; they are put where the two sides, run on, meet. Not covered: inner
    corners narrower than a notch, and edges shorter than about 8 mm.
    """
    whole = shapely.Polygon(np.asarray(points, dtype=np.float64)).buffer(0.0)
    ring = _largest(whole)
    if ring.is_empty or ring.area < 400.0:
        raise ProjectorError("what was traced is smaller than 4 cm2; is the scale right?")
    body, notches = _without_notches(shapely.Polygon(ring.exterior))
    rows = _even(body)
    turns = _turns(rows)
    places = _corners(turns)
    segments = _fitted(rows, places, notches)
    made = Outline(segments, float(body.area), name="traced")
    return made, notches


def _without_notches(ring: shapely.Polygon) -> tuple[shapely.Polygon, tuple[CutNotch, ...]]:
    closed = ring.buffer(HALF_MOUTH, quad_segs=16).buffer(-HALF_MOUTH, quad_segs=16)
    found: list[CutNotch] = []
    body: shapely.Geometry = ring
    for part in shapely.get_parts(shapely.difference(closed, ring)):
        vertices = shapely.points(shapely.get_coordinates(part))
        depth = float(shapely.distance(vertices, closed.exterior).max())
        mouth_line = shapely.intersection(part.buffer(0.05), closed.exterior)
        mouth = float(mouth_line.length)
        if part.area < 1.0 or depth < SHALLOWEST or mouth > 2.4 * HALF_MOUTH:
            continue
        middle = shapely.centroid(mouth_line)
        found.append(CutNotch(Point(float(middle.x), float(middle.y)), depth))
        body = shapely.union(body, shapely.convex_hull(part).buffer(0.05))
    whole = shapely.Polygon(_largest(body).exterior)
    return whole, tuple(replace(notch, place=_on(whole, notch.place)) for notch in found)


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


def _fitted(rows: Array, places: Sequence[int], notches: Sequence[CutNotch]) -> tuple[Segment, ...]:
    count = len(rows)
    if not places:
        half = count // 2
        parts = [rows[: half + 1], np.vstack([rows[half:], rows[:1]])]
        return tuple(s for part in parts for s in fitted_run(part, TOLERANCE, 8.0))
    corners = [_meeting(rows, place) for place in places]
    skip = round(SKIP / STEP)
    segments: list[Segment] = []
    for k, place in enumerate(places):
        after = places[(k + 1) % len(places)]
        steps = (after - place) % count or count
        inner = rows[(place + np.arange(skip, max(skip + 1, steps - skip + 1))) % count]
        for notch in notches:  # its lips are bruised; the edge is run on across it
            inner = inner[np.hypot(*(inner - (notch.place.x, notch.place.y)).T) > LIPS]
        run = np.vstack([corners[k], inner, corners[(k + 1) % len(places)]])
        segments += fitted_run(run, TOLERANCE, 10.0)
    return tuple(segments)


def _meeting(rows: Array, place: int) -> Array:
    """Where the two sides of a corner meet when they are run on."""
    at_ahead, ahead = (part[place] for part in _lines(rows, True))
    at_behind, behind = (part[place] for part in _lines(rows, False))
    across = behind[0] * ahead[1] - behind[1] * ahead[0]
    aside = at_ahead - at_behind
    t = (aside[0] * ahead[1] - aside[1] * ahead[0]) / across if abs(across) > 0.2 else math.inf
    meet: Array = at_behind + t * behind if math.isfinite(t) else rows[place]
    near = np.hypot(*(meet - rows[place])) < 2.0
    return meet if near else rows[place]
