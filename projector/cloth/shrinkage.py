"""Pieces cut larger by what the cloth has still to lose in the wash."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from drafting.chains import chain_length, divided_chain, moved_chain
from drafting.edge import Edge, edge_length, moved_edge
from drafting.marks import Drill, Grain, InnerLine, Label, Mark, Notch
from drafting.piece import Piece, edge_named, seam_polygon
from drafting.plane import Point
from projector.cloth.cloth import Cloth

__all__ = ["allowed_for"]

NEAR = 1e-5
"""A notch nearer than this to an end of its edge, mm, stands at the end."""


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

    def grown(point: Point) -> Point:
        return Point(point.x * across, point.y * along)

    wider = max(along, across)
    edges = tuple(
        replace(moved_edge(edge, grown), allowance=wider * edge.allowance) for edge in piece.edges
    )
    marks = tuple(_mark(mark, piece, grown) for mark in piece.marks)
    large = replace(piece, edges=edges, marks=marks, shrinkage=wanted)
    label = _label(large)
    if label is None:
        return large
    return replace(large, marks=(*(m for m in marks if not isinstance(m, Label)), label))


def _words(shrinkage: tuple[float, float]) -> str:
    """What a label says of it; empty for none."""
    along, across = shrinkage
    words = [
        f"{100.0 * part:.3g} % {way}"
        for part, way in ((along, "along"), (across, "across"))
        if part
    ]
    return f"enlarged: shrinks {' and '.join(words)}" if words else ""


def _label(piece: Piece) -> Label | None:
    words = _words(piece.shrinkage)
    before = next((mark for mark in piece.marks if isinstance(mark, Label)), None)
    if before is None:
        if not words:
            return None
        inside = seam_polygon(piece, 1.0).representative_point()
        return Label(Point(inside.x, inside.y), (piece.name, words))
    lines = tuple(line for line in before.lines if not line.startswith("enlarged: "))
    return replace(before, lines=(*lines, words) if words else lines)


def _mark(mark: Mark, piece: Piece, grown: Callable[[Point], Point]) -> Mark:
    match mark:
        case Notch():
            return _notch(mark, edge_named(piece, mark.edge), grown)
        case Grain():
            return Grain(grown(mark.start), grown(mark.end))
        case InnerLine():
            return replace(mark, segments=moved_chain(mark.segments, grown))
        case Drill() | Label():
            return replace(mark, point=grown(mark.point))


def _notch(notch: Notch, edge: Edge, grown: Callable[[Point], Point]) -> Notch:
    """The notch at the same spot of the edge, whose parts have not all grown alike."""
    if notch.along < NEAR:
        return notch
    before = edge.segments
    if notch.along < edge_length(edge) - NEAR:
        before, _ = divided_chain(edge.segments, notch.along)
    return replace(notch, along=chain_length(moved_chain(before, grown)))
