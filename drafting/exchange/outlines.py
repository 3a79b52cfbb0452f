"""Closed outlines among the strokes of a file, and what is wrong with the lines where.

A stroke that closes by itself is an outline. The loose ones are joined end to end within a
stated tolerance, also where an end meets the middle of another; of lines that share corners the
outer boundary is the outline and the rest are inner lines.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from drafting.chains import flattened_chain, reversed_chain
from drafting.curves import Line, Segment
from drafting.drawing import Data
from drafting.errors import DraftingError
from drafting.exchange.joining import Fault, Joined, boundaries, joined
from drafting.exchange.linework import Stroke
from drafting.plane import Point, coordinates

__all__ = ["JOINING", "Found", "Outline", "outlines"]

JOINING = 0.5
"""Ends closer than this, mm, are taken for one; the width of a fine pen."""
FLATNESS = 0.02
MOST_NODED = 1_500
"""Points of an outline whose crossings are all told; of more only the first is."""
NEAR = 0.1
"""How far outside an outline, mm, what is drawn on it may lie and still be its own."""
SMALLEST = 25.0
"""Closed loops of a smaller area, mm², are marks rather than pieces."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed chain of segments, counter-clockwise, closed exactly.

    `inner` are strokes that lie inside it or on it, inner outlines among them; `depth` is how
    many other outlines it lies in. `corners` are where its edges meet, when somebody has said so;
    otherwise the outline's own turns tell.
    """

    segments: tuple[Segment, ...]
    area: float
    layer: str = ""
    colour: str = ""
    name: str = ""
    data: Data = ()
    depth: int = 0
    inner: tuple[Stroke, ...] = ()
    corners: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class Found:
    """Outlines from left to right, strokes that are in none, and faults with their places."""

    outlines: tuple[Outline, ...]
    loose: tuple[Stroke, ...]
    faults: tuple[Fault, ...]


def outlines(strokes: Sequence[Stroke], tolerance: float = JOINING) -> Found:
    """The closed outlines among some strokes.

    Parameters
    ----------
    tolerance
        Ends closer than this are joined, mm, 0.001 to 20.

    Lines drawn twice count once. Outlines keep their curves; only ends that are joined move, by
    half the gap at most. Raises `DraftingError` for a tolerance out of range.
    """
    if not 0.001 <= tolerance <= 20.0:
        raise DraftingError(f"a tolerance of {tolerance:g} mm is not from 0.001 to 20 mm")
    faults: list[Fault] = []
    single = _without_doubles(strokes, tolerance, faults)
    closed: list[Stroke] = []
    open_strokes: list[Stroke] = []
    for stroke in single:
        shut = _shut(stroke, tolerance)
        if shut is None:
            open_strokes.append(stroke)
        elif _simple(shut, faults):
            closed.append(shut)
    groups: list[Joined] = joined(open_strokes, tolerance)
    loose: list[Stroke] = []
    for group in groups:
        loops, left, wrong = boundaries(group, tolerance)
        closed += [loop for loop in loops if _simple(loop, faults)]
        loose += left
        faults += wrong
    made = [_outline(stroke) for stroke in closed]
    kept = [each for each in made if each.area >= SMALLEST]
    loose += [_as_stroke(each) for each in made if each.area < SMALLEST]
    return Found(*_nested(kept, loose), tuple(faults))


def _without_doubles(
    strokes: Sequence[Stroke], tolerance: float, faults: list[Fault]
) -> list[Stroke]:
    """Strokes that another one of the same layer and colour covers are dropped and told."""
    lines = [shapely.LineString(_points(stroke)) for stroke in strokes]
    near = min(0.05, tolerance)
    tree = shapely.STRtree(lines)
    dropped: set[int] = set()
    for number, line in enumerate(lines):
        hits = tree.query(line)
        for other in sorted(int(hit) for hit in hits):
            if other == number or other in dropped:
                continue
            same = (strokes[other].layer, strokes[other].colour) == (
                strokes[number].layer, strokes[number].colour,
            )  # fmt: skip
            shorter = (line.length, number) < (lines[other].length, other)
            if not same or (not shorter and abs(line.length - lines[other].length) > near):
                continue
            if number < other and abs(line.length - lines[other].length) <= near:
                continue  # of two alike the first stays
            if _covered(line, lines[other], near):
                dropped.add(number)
                middle = shapely.line_interpolate_point(line, 0.5, normalized=True)
                place = Point(middle.x, middle.y)
                faults.append(Fault("doubled", place, line.length, "the same line is drawn twice"))
                break
    return [stroke for number, stroke in enumerate(strokes) if number not in dropped]


def _covered(line: shapely.LineString, other: shapely.LineString, near: float) -> bool:
    steps = np.linspace(0.0, 1.0, 9)
    places = shapely.line_interpolate_point(line, steps, normalized=True)
    if shapely.distance(places, other).max() > near:
        return False
    vertices = shapely.points(shapely.get_coordinates(line))
    return bool(shapely.distance(vertices, other).max() <= near)


def _points(stroke: Stroke) -> list[tuple[float, float]]:
    return coordinates(flattened_chain(stroke.segments, FLATNESS))


def _shut(stroke: Stroke, tolerance: float) -> Stroke | None:
    """The stroke closed exactly when its ends meet within the tolerance; None when they do not."""
    if len(stroke.segments) == 1 and isinstance(stroke.segments[0], Line):
        return None
    gap = abs(stroke.end - stroke.start)
    if gap == 0.0:
        return replace(stroke, closed=True)
    size = sum(abs(s.end - s.start) for s in stroke.segments)
    if gap > tolerance or size < 3 * gap:
        return None
    last = stroke.segments[-1]
    if gap < 0.01 and abs(stroke.start - last.start) > 1e-6:
        return replace(
            stroke, segments=(*stroke.segments[:-1], replace(last, end=stroke.start)), closed=True
        )
    return replace(stroke, segments=(*stroke.segments, Line(stroke.end, stroke.start)), closed=True)


def _simple(stroke: Stroke, faults: list[Fault]) -> bool:
    points = np.array(_points(stroke))
    ring = shapely.LineString(points)
    if shapely.is_simple(ring):
        return True
    told = f"the outline {stroke.name!r} crosses itself" if stroke.name else "it crosses itself"
    if len(points) > MOST_NODED:  # all crossings of a scribble would never end
        place = re.search(r"\[(\S+) (\S+)\]", shapely.is_valid_reason(shapely.Polygon(points)))
        x, y = (float(place[1]), float(place[2])) if place else points[0].tolist()
        faults.append(Fault("self-crossing", Point(x, y), 0.0, told + ", here and perhaps more"))
        return False
    noded = shapely.get_parts(shapely.node(ring))
    ends = np.array([part.coords[k] for part in noded for k in (0, -1)])
    places, times = np.unique(np.round(ends, 6), axis=0, return_counts=True)
    for x, y in places[times > 2][:20]:
        faults.append(Fault("self-crossing", Point(float(x), float(y)), 0.0, told))
    return False


def _outline(stroke: Stroke) -> Outline:
    area = shapely.Polygon(_points(stroke)).area
    segments = stroke.segments
    if not shapely.LinearRing(_points(stroke)).is_ccw:
        segments = reversed_chain(segments)
    return Outline(segments, area, stroke.layer, stroke.colour, stroke.name, stroke.data)


def _as_stroke(outline: Outline) -> Stroke:
    return Stroke(outline.segments, True, outline.layer, outline.colour, outline.name, outline.data)


def _nested(
    kept: Sequence[Outline], loose: Sequence[Stroke]
) -> tuple[tuple[Outline, ...], tuple[Stroke, ...]]:
    """Outlines with their depth and what lies in each, and the strokes that lie in none."""
    areas = [shapely.Polygon(_points(_as_stroke(each))) for each in kept]
    grown, tree = [area.buffer(NEAR) for area in areas], shapely.STRtree(areas)
    order = sorted(range(len(kept)), key=lambda k: areas[k].area)
    rank = {k: place for place, k in enumerate(order)}
    parents: dict[int, list[int]] = {k: [] for k in order}
    for large in order:
        for small in tree.query(grown[large], predicate="covers").tolist():
            if rank[small] < rank[large]:
                parents[small].append(large)
    held: dict[int, list[Stroke]] = {k: [] for k in order}
    for child, above in parents.items():
        for parent in above:
            held[parent].append(_as_stroke(kept[child]))
    outside: list[Stroke] = []
    for stroke in loose:
        line = shapely.LineString(_points(stroke))
        near = tree.query(line, predicate="dwithin", distance=NEAR).tolist()
        home = next(
            (k for k in sorted(near, key=rank.__getitem__) if _mostly_in(grown[k], line)), None
        )
        if home is None:
            outside.append(stroke)
            continue
        for parent in (home, *parents[home]):
            held[parent].append(stroke)
    made = [replace(kept[k], depth=len(parents[k]), inner=tuple(held[k])) for k in range(len(kept))]
    made.sort(key=lambda each: (each.depth, min(s.start.x for s in each.segments)))
    return tuple(made), tuple(outside)


def _mostly_in(area: shapely.Polygon, line: shapely.LineString) -> bool:
    return bool(shapely.intersection(area, line).length >= 0.5 * line.length)
