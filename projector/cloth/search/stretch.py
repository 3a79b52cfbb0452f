"""A stretch of a long lay: some pieces that lie together, searched while the rest lies still.

What lies before the stretch are obstacles. What lies beyond is one block, which may only come
nearer to the cut end: all that it is clear of while it comes is what lies in the stretch. So the
lay becomes shorter by as much as the block moves.
"""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.affinity import translate

from projector.cloth.search.problem import Array, Part, Problem, Spot, Way, outline_array
from projector.cloth.search.verification import TOLERANCE

__all__ = ["Stretch", "composed", "in_order", "stretch_of"]

SLIT = 1e-5
"""Gap between two pieces that counts as closed, as a part of the width."""

WALL = 1e-3
"""Thickness of the end that holds a block together, as a part of the width."""

Lay = tuple[Spot, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """Parts `own` of a lay as a problem of their own that begins at `begin` mm.

    Its last part is the block of the parts `beyond`, if there are any. `lay` is how they lie.
    """

    own: tuple[int, ...]
    beyond: tuple[int, ...]
    begin: float
    problem: Problem
    lay: Lay


def in_order(problem: Problem, lay: Lay) -> list[int]:
    """The parts from the cut end on: each can be drawn away along the cloth after the ones before.

    Where pieces hook into each other so that none can be drawn away, by their middles.
    """
    low, high = _span(problem)
    slack = TOLERANCE * (high - low)
    shapes = [_placed(part, spot) for part, spot in zip(problem.parts, lay, strict=True)]
    length = max(shape.bounds[2] for shape in shapes) + 1.0
    swept = _swept(problem, lay, length, max(0.0, problem.buffer - slack))
    thin = [shapely.buffer(shape, -slack, join_style="mitre") for shape in shapes]
    first, second = shapely.STRtree(thin).query(swept, predicate="intersects")
    after: list[list[int]] = [[] for _ in lay]
    waiting = [0] * len(lay)
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        if i != j:
            after[i].append(j)
            waiting[j] += 1
    middle = [shape.bounds[0] + shape.bounds[2] for shape in shapes]
    ready = [(middle[i], i) for i in range(len(lay)) if waiting[i] == 0]
    heapq.heapify(ready)
    left = set(range(len(lay)))
    order: list[int] = []
    while left:
        if not ready:
            heapq.heappush(ready, min((middle[i], i) for i in left))
        _, i = heapq.heappop(ready)
        if i not in left:
            continue
        left.discard(i)
        order.append(i)
        for j in after[i]:
            waiting[j] -= 1
            if waiting[j] == 0 and j in left:
                heapq.heappush(ready, (middle[j], j))
    return order


def stretch_of(
    problem: Problem, lay: Lay, order: list[int], first: int, count: int
) -> Stretch | None:
    """The parts `order[first : first + count]` as a stretch; None where the rest cannot follow."""
    own, beyond = tuple(order[first : first + count]), tuple(order[first + count :])
    steps = {problem.parts[i].step[0] for i in beyond} - {0.0}
    if beyond and (problem.obstacles or len(steps) > 1 or min(steps, default=0.0) < 0.0):
        return None
    bounds = {i: _placed(problem.parts[i], lay[i]).bounds for i in order[: first + count]}
    longest = max(right - left for left, _, right, _ in (bounds[i] for i in own))
    begin = max(0.0, min(bounds[i][0] for i in own) - longest / 2)
    known: dict[int, Way] = {}
    parts, spots = [], []
    for i in own:
        ways = []
        for way in problem.parts[i].ways:
            if id(way) not in known:
                known[id(way)] = Way(way.outline, (way.phase[0] - begin, way.phase[1]))
            ways.append(known[id(way)])
        parts.append(replace(problem.parts[i], ways=tuple(ways)))
        spots.append(Spot(lay[i].way, lay[i].x - begin, lay[i].y))
    before = [i for i in order[:first] if bounds[i][2] > begin]
    obstacles = [_kept_clear(problem, i, lay[i], begin) for i in before]
    obstacles += [outline - (begin, 0.0) for outline in problem.obstacles]
    taken = 0.0
    if beyond:
        end = max(bounds[i][2] for i in own) - begin
        parts.append(_block(problem, lay, beyond, begin, end, max(steps, default=0.0)))
        spots.append(Spot(0, 0.0, 0.0))
    else:
        taken = max([problem.taken - begin, *(bounds[i][2] - begin for i in before)])
    limit = math.inf if beyond else problem.limit - begin
    own_problem = Problem(tuple(parts), tuple(obstacles), limit, problem.buffer, max(0.0, taken))
    return Stretch(own, beyond, begin, own_problem, tuple(spots))


def composed(lay: Lay, found: list[tuple[Stretch, Lay]]) -> Lay:
    """The whole lay with stretches as they were found, from the cut end on, and what follows."""
    spots, shift = list(lay), 0.0
    for stretch, own in found:
        for i, spot in zip(stretch.own, own, strict=False):
            spots[i] = Spot(spot.way, spot.x + stretch.begin + shift, spot.y)
        if stretch.beyond:
            come = own[-1].x
            shift += come
            for i in stretch.beyond:
                spots[i] = replace(spots[i], x=spots[i].x + come)
    return tuple(spots)


def _span(problem: Problem) -> tuple[float, float]:
    return min(part.low for part in problem.parts), max(part.high for part in problem.parts)


def _placed(part: Part, spot: Spot) -> shapely.Polygon:
    return translate(shapely.Polygon(part.ways[spot.way].outline), spot.x, spot.y)


def _swept(problem: Problem, lay: Lay, length: float, grown: float) -> list[shapely.Geometry]:
    """What each part passes over when it is drawn away by some length from the cut end."""
    known: dict[int, shapely.Geometry] = {}
    swept = []
    for part, spot in zip(problem.parts, lay, strict=True):
        way = part.ways[spot.way]
        if id(way) not in known:
            shape = shapely.Polygon(way.outline)
            if grown > 0.0:
                shape = shapely.buffer(shape, grown, join_style="mitre", mitre_limit=2.0)
            known[id(way)] = _drawn_away(outline_array(shape.exterior.coords), length)
        swept.append(translate(known[id(way)], spot.x, spot.y))
    return swept


def _drawn_away(outline: Array, length: float) -> shapely.Geometry:
    ends = np.roll(outline, -1, axis=0)
    far = float(outline[:, 0].max()) + length
    bands = [
        shapely.Polygon([(x, y), (to_x, to_y), (far, to_y), (far, y)])
        for (x, y), (to_x, to_y) in zip(outline, ends, strict=True)
        if to_y < y  # the side towards the cut end runs downward
    ]
    return shapely.union_all(bands)


def _kept_clear(problem: Problem, i: int, spot: Spot, begin: float) -> Array:
    """The outline of a part that lies before a stretch, with the buffer round it."""
    shape = translate(_placed(problem.parts[i], spot), -begin, 0.0)
    if problem.buffer:
        shape = shapely.buffer(shape, problem.buffer, join_style="mitre")
    return outline_array(shape.exterior.coords)


def _block(
    problem: Problem, lay: Lay, beyond: tuple[int, ...], begin: float, end: float, step: float
) -> Part:
    """What lies beyond a stretch, as one part that comes nearer to the cut end."""
    low, high = _span(problem)
    slit = SLIT * (high - low)
    near = [i for i in beyond if _placed(problem.parts[i], lay[i]).bounds[0] - begin < end]
    of_near = replace(problem, parts=tuple(problem.parts[i] for i in near))
    strip = shapely.box(-end, low, end, high)
    shapes = [
        translate(shape, -begin, 0.0) & strip
        for shape in _swept(of_near, tuple(lay[i] for i in near), end, 0.0)
    ]
    whole = shapely.union_all([*shapes, shapely.box(end, low, end + WALL * (high - low), high)])
    closed = shapely.buffer(shapely.buffer(whole, slit, join_style="mitre"), -slit,
                            join_style="mitre")  # fmt: skip
    largest = max(getattr(closed, "geoms", [closed]), key=lambda shape: shape.area)
    outline = outline_array(largest.exterior.coords)
    below, above = float(outline[:, 1].min()), float(outline[:, 1].max())
    return Part((Way(outline),), (step, -1.0), below, above, steady=True)
