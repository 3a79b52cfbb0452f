"""Pieces cut larger by what the cloth has still to lose in the wash."""

from __future__ import annotations

from dataclasses import replace

from drafting.curves import Cubic, Line, Segment, length, parameter_at_length, split
from drafting.edge import Edge, edge_length
from drafting.marks import Drill, Grain, InnerLine, Label, Mark, Notch
from drafting.piece import Piece, edge_named, seam_polygon
from drafting.plane import Point
from projector.cloth.cloth import Cloth

__all__ = ["allowed_for", "shrinkage_words"]


def allowed_for(piece: Piece, cloth: Cloth) -> Piece:
    """The piece as it is cut from cloth that still shrinks, with a line on its label saying so.

    Lengths along the grain (y) are divided by 1 - `shrinkage_along`, those across it by
    1 - `shrinkage_across`; allowances by the smaller of the two. A piece that was enlarged
    before for the same cloth is returned as it is. Sewn seams of unequal direction change by
    unequal parts: they agree again after the wash, not before it.
    """
    wanted = (cloth.shrinkage_along, cloth.shrinkage_across)
    if piece.shrinkage == wanted:
        return piece
    along = (1.0 - piece.shrinkage[0]) / (1.0 - wanted[0])
    across = (1.0 - piece.shrinkage[1]) / (1.0 - wanted[1])
    edges = tuple(_edge(edge, along, across) for edge in piece.edges)
    marks = [_mark(mark, piece, along, across) for mark in piece.marks]
    label = _label(replace(piece, marks=tuple(marks)), wanted)
    if label is not None:
        marks = [mark for mark in marks if not isinstance(mark, Label)] + [label]
    return replace(piece, edges=edges, marks=tuple(marks), shrinkage=wanted)


def shrinkage_words(shrinkage: tuple[float, float]) -> str:
    """What a label says of it; empty for none."""
    along, across = shrinkage
    words = [
        f"{100.0 * part:.3g} % {way}"
        for part, way in ((along, "along"), (across, "across"))
        if part
    ]
    return f"enlarged: shrinks {' and '.join(words)}" if words else ""


def _label(piece: Piece, shrinkage: tuple[float, float]) -> Label | None:
    words = shrinkage_words(shrinkage)
    before = next((mark for mark in piece.marks if isinstance(mark, Label)), None)
    if before is None:
        if not words:
            return None
        inside = seam_polygon(piece, 1.0).representative_point()
        return Label(Point(inside.x, inside.y), (piece.name, words))
    lines = tuple(line for line in before.lines if not line.startswith("enlarged: "))
    return replace(before, lines=(*lines, words) if words else lines)


def _edge(edge: Edge, along: float, across: float) -> Edge:
    segments = tuple(_segment(segment, along, across) for segment in edge.segments)
    return replace(edge, segments=segments, allowance=edge.allowance * max(along, across))


def _point(point: Point, along: float, across: float) -> Point:
    return Point(point.x * across, point.y * along)


def _segment(segment: Segment, along: float, across: float) -> Segment:
    if isinstance(segment, Line):
        return Line(_point(segment.start, along, across), _point(segment.end, along, across))
    return Cubic(
        _point(segment.start, along, across),
        _point(segment.control_1, along, across),
        _point(segment.control_2, along, across),
        _point(segment.end, along, across),
    )


def _mark(mark: Mark, piece: Piece, along: float, across: float) -> Mark:
    match mark:
        case Notch():
            return _notch(mark, edge_named(piece, mark.edge), along, across)
        case Grain():
            return Grain(_point(mark.start, along, across), _point(mark.end, along, across))
        case InnerLine():
            return replace(mark, segments=tuple(_segment(s, along, across) for s in mark.segments))
        case Drill() | Label():
            return replace(mark, point=_point(mark.point, along, across))


def _notch(notch: Notch, edge: Edge, along: float, across: float) -> Notch:
    """The notch at the same spot of the edge, whose parts have not all grown alike."""
    before = 0.0
    left = min(notch.along, edge_length(edge))
    for segment in edge.segments:
        size = length(segment)
        if left <= size or segment is edge.segments[-1]:
            share = parameter_at_length(segment, min(left, size))
            part = segment if share >= 1.0 else split(segment, share)[0] if share > 0.0 else None
            before += length(_segment(part, along, across)) if part is not None else 0.0
            break
        before += length(_segment(segment, along, across))
        left -= size
    return replace(notch, along=before)
