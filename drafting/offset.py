"""A segment carried sideways by its allowance, and a closed line freed of its loops.

Lines are arrays of complex numbers, x + i y in mm. Outside lies to the right of travel.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray

from drafting.curves import Cubic, Line, Segment, chord_count, control_points, tangent_at
from drafting.plane import Point

__all__ = ["Path", "loop_free", "offset_segment", "plane_number"]

Path = NDArray[np.complex128]

ROUNDS = 14
"""So often are places added in between; what is then still too coarse is a cusp."""

GRID = 1e-6
"""Places closer than this (mm) are the same."""


def plane_number(point: Point) -> complex:
    """A point or displacement as x + i y."""
    return complex(point.x, point.y)


def offset_segment(segment: Segment, allowance: float, tolerance: float) -> Path:
    """Points `allowance` mm to the right of a segment, chords within `tolerance` mm of the curve.

    Places are added until turn times chord, an eighth of which is the sagitta of a chord, is
    small enough. At a cusp the normal sweeps round on the outer side, and the line passes
    through the seam line on the inner one, where `loop_free` takes the loop away.
    """
    if isinstance(segment, Line):
        start, end = plane_number(segment.start), plane_number(segment.end)
        normal = -1j * (end - start) / abs(end - start)
        return np.array([start, end]) + allowance * normal
    seam, direction = _sampled(segment, allowance, tolerance)
    line = seam - 1j * allowance * direction
    cusps = _coarse(line, direction, tolerance)
    if cusps.size:
        return _round_cusps(line, seam, direction, cusps, allowance, tolerance)
    return line


def _coarse(line: Path, direction: Path, tolerance: float) -> NDArray[np.intp]:
    """Where the chord that follows a place leaves an arc between its ends too far aside."""
    turn = np.abs(np.angle(direction[1:] / direction[:-1]))
    return np.flatnonzero(turn * np.abs(np.diff(line)) > 8.0 * tolerance)


def _sampled(segment: Cubic, allowance: float, tolerance: float) -> tuple[Path, Path]:
    """Points on the curve, close enough for both lines, and the unit directions there."""
    control = np.array([plane_number(point) for point in control_points(segment)])
    t = np.linspace(0.0, 1.0, max(2, chord_count(segment, tolerance)) + 1)
    seam, direction = _evaluated(segment, control, t)
    for _ in range(ROUNDS):
        coarse = _coarse(seam - 1j * allowance * direction, direction, tolerance)
        if not coarse.size:
            break
        t = np.insert(t, coarse + 1, (t[coarse] + t[coarse + 1]) / 2.0)
        seam, direction = _evaluated(segment, control, t)
    return seam, direction


def _evaluated(segment: Cubic, control: Path, t: NDArray[np.float64]) -> tuple[Path, Path]:
    u = 1.0 - t
    velocity = np.stack([u * u, 2 * u * t, t * t], axis=1) @ np.diff(control)
    speed = np.abs(velocity)
    for place in np.flatnonzero(speed < 1e-9):
        velocity[place] = plane_number(tangent_at(segment, float(t[place])))
        speed[place] = 1.0
    return np.stack([u**3, 3 * u * u * t, 3 * u * t * t, t**3], axis=1) @ control, velocity / speed


def _round_cusps(
    line: Path,
    seam: Path,
    direction: Path,
    cusps: NDArray[np.intp],
    allowance: float,
    tolerance: float,
) -> Path:
    parts, begin = [], 0
    for place in cusps:
        parts.append(line[begin : place + 1])
        begin = place + 1
        turn = np.angle(direction[place + 1] / direction[place])
        if turn < 0.0:
            parts.append(seam[place : place + 1])
            continue
        steps = math.ceil(turn / math.sqrt(8.0 * tolerance / allowance))
        swept = np.exp(1j * turn * np.arange(1, steps) / steps)
        parts.append(seam[place] - 1j * allowance * direction[place] * swept)
    return np.concatenate([*parts, line[begin:]])


def loop_free(ring: Path) -> Path | None:
    """A closed line without its loops: the outline of what it winds round counter-clockwise.

    A carried line turns over where a bend is tighter than the allowance; what it encloses there
    it winds round clockwise, or not at all. None when nothing is wound round counter-clockwise.
    The first point is not repeated.
    """
    ring = ring[np.abs(ring - np.roll(ring, 1)) > GRID]
    closed = np.concatenate([ring, ring[:1]])
    line = shapely.LinearRing(_pairs(closed))
    if line.is_simple:
        return ring if line.is_ccw else None
    # Crossings on a grid of a nanometre: no crossing is missed for rounding.
    noded = shapely.unary_union(shapely.LineString(_pairs(closed)), grid_size=GRID)
    cells = shapely.get_parts(shapely.polygonize([noded]))
    inside = [cell for cell in cells if _wound_round(cell, closed)]
    if not inside:
        return None
    largest = max(shapely.get_parts(shapely.union_all(inside)), key=shapely.area)
    outline = shapely.get_coordinates(shapely.orient_polygons(largest).exterior)[:-1]
    return np.asarray(outline[:, 0] + 1j * outline[:, 1])


def _pairs(path: Path) -> NDArray[np.float64]:
    return np.stack([path.real, path.imag], axis=1)


def _wound_round(cell: shapely.Polygon, closed: Path) -> bool:
    """Whether the closed line winds round a cell counter-clockwise, once or more."""
    place = shapely.point_on_surface(cell)
    reach = closed - complex(place.x, place.y)
    return bool(np.angle(reach[1:] / reach[:-1]).sum() > math.pi)
