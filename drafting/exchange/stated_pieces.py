"""Pieces that a file states in full, as this program writes them into SVG and DXF.

What the plain lines cannot carry stands beside them: data- attributes in SVG, extended data in
DXF. Everything comes back but the curves of the cutting line, which follow from the seam line.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import shapely

from drafting.chains import moved_chain
from drafting.curves import Segment
from drafting.edge import ROLES, Edge, end_of, flattened_edge, moved_edge, start_of
from drafting.errors import DraftingError
from drafting.exchange.linework import Lettering, Linework, Spot, Stroke
from drafting.exchange.piece_drawing import FOLD_WORDS
from drafting.labels import LETTER
from drafting.marks import Drill, Grain, InnerLine, Label, Mark, Notch
from drafting.piece import Piece
from drafting.plane import Motion, Point, coordinates, midpoint

__all__ = ["stated_pieces"]

SNAP = 1e-3


@dataclass(slots=True)
class _Parts:
    strokes: list[tuple[Stroke, dict[str, str]]] = field(default_factory=list)
    spots: list[tuple[Spot, dict[str, str]]] = field(default_factory=list)
    words: list[Lettering] = field(default_factory=list)


def stated_pieces(linework: Linework) -> tuple[Piece, ...]:
    """The pieces a file states in full; none when it does not.

    Raises `DraftingError` where what is stated does not make a piece, as after editing.
    """
    groups: dict[str, _Parts] = {}
    for stroke in linework.strokes:
        data = dict(stroke.data)
        groups.setdefault(data.get("block", ""), _Parts()).strokes.append((stroke, data))
    for spot in linework.spots:
        data = dict(spot.data)
        groups.setdefault(data.get("block", ""), _Parts()).spots.append((spot, data))
    for each in linework.words:
        groups.setdefault(dict(each.data).get("block", ""), _Parts()).words.append(each)
    made = (_piece(parts) for parts in groups.values())
    return tuple(piece for piece in made if piece is not None)


def _piece(parts: _Parts) -> Piece | None:
    heads = [data for _, data in parts.strokes if "piece" in data]
    sides = [(s, d) for s, d in parts.strokes if "edge" in d and "role" in d]
    if len(heads) != 1 or not sides:
        return None
    head = heads[0]
    try:
        edges = _closed([_edge(stroke, data) for stroke, data in sides])
        marks = tuple(_marks(parts))
        if not _counter_clockwise(edges):  # placed mirrored, as in a lay
            edges, marks = _turned_over(edges, marks)
        fold = next((edge.name for edge in edges if edge.role == "fold"), None)
        return Piece(
            head["piece"],
            edges,
            marks,
            head.get("size", ""),
            int(head.get("count", "1")),
            head.get("paired") == "yes",
            fold,
            head.get("cloth", "main"),
            head.get("turns-freely") == "yes",
        )
    except (ValueError, KeyError) as error:
        raise DraftingError(f"what the file states of piece {head['piece']!r}: {error}") from error


def _edge(stroke: Stroke, data: dict[str, str]) -> Edge:
    role: Any = data["role"]
    if role not in ROLES:
        raise DraftingError(f"edge {data['edge']!r} has the role {role!r}")
    return Edge(data["edge"], stroke.segments, float(data.get("allowance", "0")), role)


def _closed(edges: Sequence[Edge]) -> tuple[Edge, ...]:
    """The edges meeting exactly: written numbers are rounded."""
    made = []
    for before, edge in zip((edges[-1], *edges[:-1]), edges, strict=True):
        gap = abs(end_of(before) - start_of(edge))
        if gap > SNAP:
            raise DraftingError(f"edges {before.name!r} and {edge.name!r} are {gap:.3f} mm apart")
        first: Segment = replace(edge.segments[0], start=end_of(before))
        made.append(replace(edge, segments=(first, *edge.segments[1:])))
    return tuple(made)


def _counter_clockwise(edges: Iterable[Edge]) -> bool:
    points = [point for edge in edges for point in flattened_edge(edge, 0.1)[:-1]]
    return bool(shapely.LinearRing(coordinates(points)).is_ccw)


def _turned_over(
    edges: Sequence[Edge], marks: Sequence[Mark]
) -> tuple[tuple[Edge, ...], tuple[Mark, ...]]:
    over = Motion(0.0, 0.0, 0.0, True)
    turned: list[Mark] = []
    for mark in marks:
        match mark:
            case Grain():
                turned.append(Grain(over(mark.start), over(mark.end)))
            case Drill() | Label():
                turned.append(replace(mark, point=over(mark.point)))
            case InnerLine():
                turned.append(replace(mark, segments=moved_chain(mark.segments, over)))
            case Notch():
                turned.append(mark)
    return tuple(moved_edge(edge, over) for edge in edges), tuple(turned)


def _marks(parts: _Parts) -> Iterable[Mark]:
    seen: set[tuple[str, str]] = set()
    for _, data in (*parts.strokes, *parts.spots):
        if "along" in data and (data["edge"], data["along"]) not in seen:
            seen.add((data["edge"], data["along"]))
            kind: Any = "double" if data.get("kind") == "double" else "single"
            yield Notch(data["edge"], float(data["along"]), kind, data.get("notch", ""))
    crosses: dict[tuple[float, float], str] = {}
    for stroke, data in parts.strokes:
        if "grain" in data:
            yield Grain(stroke.start, stroke.end)
        elif "line" in data:
            yield InnerLine(data["line"], stroke.segments)
        elif "drill" in data:
            place = midpoint(stroke.start, stroke.end)
            crosses[round(place.x, 3), round(place.y, 3)] = data["drill"]
    for spot, data in parts.spots:
        if "drill" in data:
            crosses[spot.point.x, spot.point.y] = data["drill"]
    for (x, y), name in crosses.items():
        yield Drill(Point(x, y), name)
    lines = [each for each in parts.words if each.layer == "words" and each.text != FOLD_WORDS]
    if lines:
        lines.sort(key=lambda each: -each.point.y)
        middle = sum(each.point.y for each in lines) / len(lines)
        place = Point(lines[0].point.x, middle + 0.35 * LETTER)
        yield Label(place, tuple(each.text for each in lines))
