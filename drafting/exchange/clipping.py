"""What of a stroke is seen through a clip: curves are cut where they cross it, not flattened."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

import shapely

from drafting.chains import chain_length, flattened_chain
from drafting.curves import Segment, flattened, point_at, split
from drafting.exchange.linework import Stroke
from drafting.plane import Point, coordinates

__all__ = ["clip_area", "clipped"]

FLATNESS = 0.002
SHORTEST = 0.01
"""Crumbs shorter than this, mm, are rounding at the clip's edge and are dropped."""


def clip_area(chains: Iterable[Sequence[Segment]]) -> shapely.Geometry | None:
    """The area that closed chains let through, within 0.01 mm; None where none has three points."""
    rims = [coordinates(flattened_chain(chain, 0.01)) for chain in chains if chain]
    areas = [shapely.Polygon(rim).buffer(0.0) for rim in rims if len(rim) > 2]
    return shapely.union_all(areas) if areas else None


def clipped(stroke: Stroke, areas: Iterable[shapely.Geometry]) -> tuple[Stroke, ...]:
    """The parts of a stroke that lie inside all areas, each an open stroke of its own.

    A stroke that lies inside entirely is returned as it is. Cuts are within 0.01 mm.
    """
    parts: tuple[Stroke, ...] = (stroke,)
    for area in areas:
        parts = tuple(inner for part in parts for inner in _clipped(part, area))
    return parts


def _clipped(stroke: Stroke, seen: shapely.Geometry) -> tuple[Stroke, ...]:
    whole = shapely.LineString(coordinates(flattened_chain(stroke.segments, FLATNESS)))
    if shapely.covers(seen, whole):
        return (stroke,)
    if not shapely.intersects(seen, whole):
        return ()
    runs: list[list[Segment]] = []
    joined = False
    for segment in stroke.segments:
        parts = _inside(segment, seen)
        for low, high in parts:
            part = _between(segment, low, high)
            if part is None:
                continue
            if joined and low <= 0.0:
                runs[-1].append(part)
            else:
                runs.append([part])
            joined = False
        joined = bool(parts) and parts[-1][1] >= 1.0 and bool(runs)
    if stroke.closed and len(runs) > 1 and joined and _touch(runs[-1][-1].end, runs[0][0].start):
        runs[0] = runs.pop() + runs[0]
    kept = [run for run in runs if chain_length(run) > SHORTEST]
    return tuple(replace(stroke, segments=tuple(run), closed=False) for run in kept)


def _touch(a: Point, b: Point) -> bool:
    return abs(a - b) < 1e-6


def _inside(segment: Segment, seen: shapely.Geometry) -> list[tuple[float, float]]:
    """The stretches of the parameter that lie inside."""
    points = flattened(segment, FLATNESS)
    line = shapely.LineString(coordinates(points))
    if shapely.covers(seen, line):
        return [(0.0, 1.0)]
    steps = len(points) - 1
    reach = [0.0]
    for a, b in pairwise(points):
        reach.append(reach[-1] + abs(b - a))
    inside = shapely.intersection(line, seen)
    stretches = []
    for part in shapely.get_parts(inside):
        if part.geom_type != "LineString" or part.length <= 0.0:
            continue
        ends = [shapely.line_locate_point(line, shapely.Point(part.coords[k])) for k in (0, -1)]
        low, high = sorted(_parameter(end, reach, steps) for end in ends)
        if high > low:
            stretches.append((low, high))
    stretches.sort()
    merged: list[tuple[float, float]] = []
    for low, high in stretches:
        if merged and low <= merged[-1][1] + 1e-9:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    return merged


def _parameter(along: float, reach: list[float], steps: int) -> float:
    """The parameter at a length along the flattened segment, whose steps are even."""
    if along <= 1e-9:
        return 0.0
    if along >= reach[-1] - 1e-9:
        return 1.0
    for number in range(steps):
        if along <= reach[number + 1]:
            stretch = reach[number + 1] - reach[number]
            return (number + (along - reach[number]) / stretch) / steps if stretch else 0.0
    return 1.0


def _between(segment: Segment, low: float, high: float) -> Segment | None:
    if _touch(point_at(segment, low), point_at(segment, high)) and high - low < 0.5:
        return None
    part = segment
    if high < 1.0:
        part = split(part, high)[0]
    if low > 0.0:
        part = split(part, low / high)[1]
    return part
