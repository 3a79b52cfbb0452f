"""A piece out of a closed outline and what the worker says about it.

The outline is her seam line or her cutting line; the other follows from the allowances. Edges
are numbered counter-clockwise from the lowest corner of the file's own frame, as `edges_of`
shows them; notches cut into the outline are taken out of it and kept as notches.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import shapely

from drafting.chains import chain_length, flattened_chain, moved_chain
from drafting.curves import Line, Segment, flattened
from drafting.edge import Edge, Role, edge_length, flattened_edge
from drafting.errors import DraftingError
from drafting.exchange.cornering import CORNER, CutNotch, runs, runs_between, without_notches
from drafting.exchange.inset import inset
from drafting.exchange.outlines import Outline
from drafting.marks import Drill, Grain, InnerLine, Mark, Notch
from drafting.piece import Piece
from drafting.plane import Motion, Point, coordinates

__all__ = ["DOUBLE", "EdgeSaid", "Said", "completed", "edges_of"]

STRAIGHT = 0.2
DOUBLE = 8.0
"""Two cuts nearer than this, mm, are one double notch (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class EdgeSaid:
    """What is said of one edge; None leaves what holds for all."""

    role: Role = "seam"
    allowance: float | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class Said:
    """What an outline lacks.

    Parameters
    ----------
    line
        Which line the outline is.
    allowance
        Of every edge that does not have its own, mm; a fold has none.
    edges
        By number, from 1.
    grain
        Direction of the grain, radians from straight up in the file, clockwise; None when the
        piece may be turned freely.
    notches
        (edge number, mm along the seam line from its start, kind).
    """

    name: str
    size: str = ""
    count: int = 1
    paired: bool = False
    cloth: str = "main"
    line: Literal["seam", "cutting"] = "seam"
    allowance: float = 10.0
    edges: Mapping[int, EdgeSaid] = field(default_factory=dict)
    grain: float | None = 0.0
    notches: tuple[tuple[int, float, Literal["single", "double"]], ...] = ()
    corner: float = CORNER


def edges_of(
    outline: Outline, corner: float = CORNER
) -> tuple[tuple[tuple[Segment, ...], ...], tuple[CutNotch, ...]]:
    """The edges of an outline, numbered by their order, and the notches cut into it."""
    segments = outline.segments
    notches: tuple[CutNotch, ...] = ()
    if outline.corners:
        parts = runs_between(segments, outline.corners)
    else:
        segments, notches = without_notches(segments)
        parts = runs(segments, corner)
    lowest = min(range(len(parts)), key=lambda k: _rank(parts[k][0].start))
    return (*parts[lowest:], *parts[:lowest]), notches


def _rank(point: Point) -> tuple[float, float]:
    return (round(point.y, 3), round(point.x, 3))


def completed(outline: Outline, said: Said, traced: Sequence[CutNotch] = ()) -> Piece:
    """The piece. A fold edge comes to lie on x = 0, otherwise the grain upright.

    `traced` are notches in the outline's frame that were taken out of it before.
    Raises `DraftingError` when an edge is named that is not there, when the fold edge is not
    straight, or when the allowances do not fit.
    """
    parts, cut = edges_of(outline, said.corner)
    for number in (*said.edges, *(edge for edge, _, _ in said.notches)):
        if not 1 <= number <= len(parts):
            raise DraftingError(
                f"piece {said.name!r}: there is no edge {number}; the outline has {len(parts)}"
            )
    own = [said.edges.get(k, EdgeSaid()) for k in range(1, len(parts) + 1)]
    folds = [k for k, edge in enumerate(own) if edge.role == "fold"]
    if len(folds) > 1:
        raise DraftingError(f"piece {said.name!r}: {len(folds)} edges on the fold, wanted one")
    if folds:
        parts = _with_straight(parts, folds[0], said.name)
    allowances = [_allowance(edge, said) for edge in own]
    seam = inset(parts, allowances) if said.line == "cutting" else parts
    names = [edge.name or f"edge {k}" for k, edge in enumerate(own, 1)]
    if folds:
        start, end = seam[folds[0]][0].start, seam[folds[0]][-1].end
        down = (end - start).angle
        turn = Motion(-math.pi / 2 - down)
        motion = Motion(turn.angle, -turn(start).x, 0.0)
    else:
        motion = Motion(said.grain or 0.0)
    edges = tuple(
        Edge(name, moved_chain(part, motion), allowance, edge.role)
        for name, part, allowance, edge in zip(names, seam, allowances, own, strict=True)
    )
    marks: list[Mark] = [Notch(names[k - 1], along, kind) for k, along, kind in said.notches]
    marks += _cut_notches(
        edges, [replace(notch, place=motion(notch.place)) for notch in (*cut, *traced)]
    )
    marks += _inner(outline, motion)
    if said.grain is not None:
        marks.append(_grain(edges, -said.grain + motion.angle))
    return Piece(
        said.name,
        edges,
        tuple(marks),
        said.size,
        said.count,
        said.paired,
        names[folds[0]] if folds else None,
        said.cloth,
        said.grain is None,
    )


def _allowance(edge: EdgeSaid, said: Said) -> float:
    if edge.role == "fold":
        return 0.0
    if edge.allowance is not None:
        return edge.allowance
    return 0.0 if edge.role == "cut" else said.allowance


def _with_straight(
    parts: Sequence[tuple[Segment, ...]], fold: int, name: str
) -> tuple[tuple[Segment, ...], ...]:
    """The fold edge as one exact line."""
    start, end = parts[fold][0].start, parts[fold][-1].end
    chord = shapely.LineString([(start.x, start.y), (end.x, end.y)])
    points = flattened_chain(parts[fold], 0.05)
    bend = max(chord.distance(shapely.Point(p.x, p.y)) for p in points)
    if bend > STRAIGHT:
        raise DraftingError(
            f"piece {name!r}: edge {fold + 1} bends by {bend:.1f} mm and cannot lie on a fold"
        )
    made = list(parts)
    made[fold] = (Line(start, end),)
    return tuple(made)


def _cut_notches(edges: Sequence[Edge], cuts: Sequence[CutNotch]) -> list[Mark]:
    """Notches cut into the outline, on the nearest edge; two within 8 mm are a double one."""
    found: dict[str, list[tuple[float, bool]]] = {}
    lines = {e.name: shapely.LineString(coordinates(flattened_edge(e, 0.01))) for e in edges}
    sizes = {edge.name: edge_length(edge) for edge in edges}
    for cut in cuts:
        dot = shapely.Point(cut.place.x, cut.place.y)
        name = min(lines, key=lambda each: lines[each].distance(dot))
        along = float(shapely.line_locate_point(lines[name], dot))
        at = along / lines[name].length * sizes[name]
        found.setdefault(name, []).append((at, cut.double))
    marks: list[Mark] = []
    for name, places in found.items():
        places.sort()
        while places:
            first, double = places.pop(0)
            if double:
                marks.append(Notch(name, first, "double"))
            elif places and places[0][0] - first < DOUBLE and not places[0][1]:
                marks.append(Notch(name, (first + places.pop(0)[0]) / 2, "double"))
            else:
                marks.append(Notch(name, first))
    return marks


def _inner(outline: Outline, motion: Motion) -> list[Mark]:
    """Strokes inside the outline: tiny closed ones are drill holes, the others inner lines."""
    marks: list[Mark] = []
    for number, stroke in enumerate(outline.inner, 1):
        segments = moved_chain(stroke.segments, motion)
        if stroke.closed and chain_length(segments) < 30.0:
            points = [p for s in segments for p in flattened(s, 0.1)]
            middle = shapely.MultiPoint(coordinates(points)).centroid
            marks.append(Drill(Point(middle.x, middle.y), stroke.name))
        else:
            marks.append(InnerLine(stroke.name or f"line {number}", segments))
    return marks


def _grain(edges: Sequence[Edge], lean: float) -> Grain:
    """A line in the roomiest part of the piece, `lean` radians counter-clockwise from up."""
    rim = coordinates(point for edge in edges for point in flattened_edge(edge, 0.5)[:-1])
    ring = shapely.Polygon(rim).buffer(0.0)
    middle = shapely.maximum_inscribed_circle(ring, 1.0).coords[0]
    along = Point(-math.sin(lean), math.cos(lean))
    centre = Point(*middle)
    reach = 3000.0
    ends = [centre - reach * along, centre + reach * along]
    inside = shapely.intersection(ring, shapely.LineString(coordinates(ends)))
    stretch = max(
        (part for part in shapely.get_parts(inside) if part.distance(shapely.Point(middle)) < 1.0),
        key=lambda part: float(part.length),
        default=None,
    )
    half = 0.35 * (stretch.length if stretch is not None else 40.0)
    half = min(half, 200.0)
    return Grain(centre - half * along, centre + half * along)
