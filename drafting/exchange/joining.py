"""Loose strokes joined end to end, and the outer boundaries of what they make together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
import shapely
from scipy.spatial import cKDTree

from drafting.chains import chain_length, divided_chain, flattened_chain, reversed_chain
from drafting.curves import Cubic, Line, Segment, flattened, reversed_segment, tangent_at
from drafting.exchange.linework import Stroke
from drafting.plane import Point, coordinates

__all__ = ["Fault", "Joined", "boundaries", "joined"]

FLATNESS = 0.02

Kind = Literal["open end", "self-crossing", "doubled"]


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong with the lines, where it is, and how long or wide, mm."""

    kind: Kind
    place: Point
    size: float
    told: str


@dataclass(slots=True)
class Joined:
    """Strokes that hang together: each runs from the corner `ends[k][0]` to `ends[k][1]`."""

    strokes: list[Stroke] = field(default_factory=list)
    ends: list[tuple[int, int]] = field(default_factory=list)
    corners: dict[int, Point] = field(default_factory=dict)


def joined(strokes: Sequence[Stroke], tolerance: float) -> list[Joined]:
    """The strokes in groups that hang together, their ends moved onto common corners."""
    parts = _split_at_tees(strokes, tolerance)
    if not parts:
        return []
    places = np.array(coordinates(p for s in parts for p in (s.start, s.end)))
    corner = _clusters(places, tolerance)
    centres = {
        int(k): Point(*(float(v) for v in places[corner == k].mean(axis=0)))
        for k in np.unique(corner)
    }
    group = _Groups()
    kept: list[tuple[Stroke, tuple[int, int]]] = []
    for number, stroke in enumerate(parts):
        a, b = int(corner[2 * number]), int(corner[2 * number + 1])
        size = chain_length(stroke.segments)
        if a == b and size <= 2 * tolerance:
            continue
        group.join(a, b)
        kept.append((_fitted(stroke, centres[a], centres[b]), (a, b)))
    made: dict[int, Joined] = {}
    for stroke, (a, b) in kept:
        one = made.setdefault(group.first(a), Joined())
        one.strokes.append(stroke)
        one.ends.append((a, b))
        one.corners |= {a: centres[a], b: centres[b]}
    return list(made.values())


class _Groups:
    def __init__(self) -> None:
        self.above: dict[int, int] = {}

    def first(self, item: int) -> int:
        while self.above.get(item, item) != item:
            self.above[item] = self.above.get(self.above[item], self.above[item])
            item = self.above[item]
        return item

    def join(self, a: int, b: int) -> None:
        self.above[self.first(a)] = self.first(b)


def _clusters(places: np.ndarray, tolerance: float) -> np.ndarray:
    """The number of the corner of every end; ends are joined to the nearest within reach."""
    group = _Groups()
    for a, b in sorted(
        cKDTree(places).query_pairs(tolerance),
        key=lambda pair: float(np.hypot(*(places[pair[0]] - places[pair[1]]))),
    ):
        group.join(int(a), int(b))
    return np.array([group.first(k) for k in range(len(places))])


def _split_at_tees(strokes: Sequence[Stroke], tolerance: float) -> list[Stroke]:
    """Strokes cut where the end of another one meets their middle."""
    if not strokes:
        return []
    lines = [shapely.LineString(_points(stroke)) for stroke in strokes]
    ends = [p for s in strokes for p in (s.start, s.end)]
    tree = shapely.STRtree(lines)
    dots = shapely.points(coordinates(ends))
    cuts: dict[int, list[float]] = {}
    for dot, line in zip(*tree.query(dots, "dwithin", tolerance).tolist(), strict=True):
        if dot // 2 == line:
            continue
        along = float(shapely.line_locate_point(lines[line], dots[dot]))
        if tolerance < along < lines[line].length - tolerance:
            cuts.setdefault(line, []).append(along)
    parts: list[Stroke] = []
    for number, stroke in enumerate(strokes):
        parts += _cut(stroke, sorted(cuts.get(number, ())), lines[number].length, tolerance)
    return parts


def _cut(stroke: Stroke, places: Sequence[float], whole: float, tolerance: float) -> list[Stroke]:
    parts, rest, done = [], stroke, 0.0
    true = chain_length(stroke.segments)
    for along in places:
        here = along / whole * true - done
        left = chain_length(rest.segments)
        if not tolerance < here < left - tolerance:
            continue
        first, second = divided_chain(rest.segments, here)
        parts.append(replace(rest, segments=first, closed=False))
        rest, done = replace(rest, segments=second, closed=False), done + here
    return [*parts, rest]


def _points(stroke: Stroke) -> list[tuple[float, float]]:
    return coordinates(flattened_chain(stroke.segments, FLATNESS))


def _fitted(stroke: Stroke, start: Point, end: Point) -> Stroke:
    """The stroke with its ends moved onto the corners, its curves with them."""
    segments = list(stroke.segments)
    if segments[0].start != start:
        segments[0] = _from(segments[0], start)
    if segments[-1].end != end:
        segments[-1] = reversed_segment(_from(reversed_segment(segments[-1]), end))
    return replace(stroke, segments=tuple(segments))


def _from(segment: Segment, start: Point) -> Segment:
    if isinstance(segment, Line):
        return Line(start, segment.end) if start != segment.end else segment
    shift = start - segment.start
    return Cubic(start, segment.control_1 + shift, segment.control_2, segment.end)


def boundaries(group: Joined, tolerance: float) -> tuple[list[Stroke], list[Stroke], list[Fault]]:
    """The outer boundaries of a group, the strokes that are in none, and its open ends."""
    at: dict[int, set[int]] = {}
    for number, ends in enumerate(group.ends):
        for corner in ends:
            at.setdefault(corner, set()).add(number)
    alive = set(range(len(group.strokes)))
    faults = [_open_end(group, c, at, tolerance) for c, meet in at.items() if len(meet) == 1]
    queue = [c for c, meet in at.items() if len(meet) == 1 and not _is_loop(group, meet)]
    while queue:  # what hangs by one end only is in no boundary
        corner = queue.pop()
        for number in list(at[corner]):
            alive.discard(number)
            for other in group.ends[number]:
                at[other].discard(number)
                if len(at[other]) == 1 and not _is_loop(group, at[other]):
                    queue.append(other)
    loops, used = _walked(group, alive)
    left = [group.strokes[n] for n in range(len(group.strokes)) if n not in used]
    return loops, left, [fault for fault in faults if fault is not None]


def _is_loop(group: Joined, meet: set[int]) -> bool:
    a, b = group.ends[next(iter(meet))]
    return a == b


def _open_end(
    group: Joined, corner: int, at: dict[int, set[int]], tolerance: float
) -> Fault | None:
    if _is_loop(group, at[corner]):
        return None
    place = group.corners[corner]
    others = [p for c, p in group.corners.items() if c != corner and len(at[c]) == 1]
    gap = min((abs(place - other) for other in others), default=math.inf)
    if not math.isfinite(gap):
        return Fault("open end", place, 0.0, "the line ends here and no other end is near")
    return Fault(
        "open end", place, gap, f"the nearest other open end is {gap:.2f} mm away, joined are ends "
        f"within {tolerance:g} mm"
    )  # fmt: skip


def _walked(group: Joined, alive: set[int]) -> tuple[list[Stroke], set[int]]:
    """The outer boundary of every part that hangs together, each walked counter-clockwise."""
    darts: dict[int, list[tuple[float, int, bool]]] = {}
    for number in alive:
        segments = group.strokes[number].segments
        a, b = group.ends[number]
        darts.setdefault(a, []).append((tangent_at(segments[0], 0.0).angle, number, True))
        back = -tangent_at(segments[-1], 1.0)
        darts.setdefault(b, []).append((back.angle, number, False))
    for fan in darts.values():
        fan.sort(key=lambda dart: _turn_key(group, dart))
    faces = _faces(group, darts)
    loops: list[Stroke] = []
    used: set[int] = set()
    for face in faces:
        once = [(n, f) for n, f in face if (n, not f) not in face]
        for ring in _rings(group, once):
            stroke = _chained(group, ring)
            if _area(stroke) < 0.0:  # walked with the inside on the right: an outer boundary
                loops.append(stroke)
                used |= {number for number, _ in ring}
    return loops, used


def _turn_key(group: Joined, dart: tuple[float, int, bool]) -> tuple[float, float]:
    """By angle; of two that leave the same way, by where they are a little farther along."""
    angle, number, forward = dart
    segments = group.strokes[number].segments
    segment = segments[0] if forward else reversed_segment(segments[-1])
    points = flattened(segment, 0.05)
    aside = points[1] - points[0]
    bend = math.remainder(aside.angle - angle, 2 * math.pi)
    return round(angle, 5), bend


def _faces(
    group: Joined, darts: dict[int, list[tuple[float, int, bool]]]
) -> list[list[tuple[int, bool]]]:
    after: dict[tuple[int, bool], tuple[int, bool]] = {}
    for fan in darts.values():
        for place, (_, number, forward) in enumerate(fan):
            _, right, leaves = fan[place - 1]  # the next one clockwise
            after[number, not forward] = (right, leaves)
    left = set(after)
    faces = []
    while left:
        dart = first = min(left)
        face = []
        while dart in left:
            left.discard(dart)
            face.append(dart)
            dart = after[dart]
            if dart == first:
                break
        faces.append(face)
    return faces


def _rings(group: Joined, face: Sequence[tuple[int, bool]]) -> list[list[tuple[int, bool]]]:
    """A face whose bridges were taken out, as closed rings."""
    rings: list[list[tuple[int, bool]]] = []
    ring: list[tuple[int, bool]] = []
    seen: dict[int, int] = {}
    for number, forward in face:
        a, b = group.ends[number]
        start, end = (a, b) if forward else (b, a)
        if start not in seen:
            seen[start] = len(ring)
        ring.append((number, forward))
        if end in seen:
            cut = seen[end]
            rings.append(ring[cut:])
            ring = ring[:cut]
            seen = {corner: place for corner, place in seen.items() if place < cut or corner == end}
            seen[end] = cut
    return rings


def _chained(group: Joined, ring: Sequence[tuple[int, bool]]) -> Stroke:
    segments: list[Segment] = []
    for number, forward in ring:
        part = group.strokes[number].segments
        segments += part if forward else reversed_chain(part)
    first = group.strokes[ring[0][0]]
    return replace(first, segments=tuple(segments), closed=True)


def _area(stroke: Stroke) -> float:
    points = np.array(_points(stroke))
    x, y = points[:, 0], points[:, 1]
    return float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) / 2)
