"""A join: the sleeve is cut off by a seam square to the overarm, where cloth is too narrow."""

from __future__ import annotations

from dataclasses import replace

from drafting.chains import chain_length, divided_chain
from drafting.corners import Corner
from drafting.curves import Line, Segment
from drafting.edge import Edge, edge_length, end_of, point_along, start_of
from drafting.errors import DraftingError
from drafting.halving import narrowed
from drafting.marks import Grain, Mark, Notch
from drafting.piece import Piece, edge_named
from drafting.plane import Point, distance, midpoint

__all__ = ["joined"]

Chain = tuple[Segment, ...]


def joined(piece: Piece, from_neck: float) -> tuple[Piece, Piece]:
    """Body and sleeve, parted `from_neck` mm from the neckline along the overarm.

    Both have an edge "join" with a notch in its middle, and each its part of "overarm" and
    "underarm". The join is sewn before those seams, hence its corners are squared. The sleeve is
    cut in a pair. Raises `DraftingError` where the join does not run from overarm to underarm.
    """
    overarm = edge_named(piece, "overarm")
    size = edge_length(overarm)
    underarm = next((edge for edge in piece.edges if edge.name == "underarm"), None)
    if underarm is None or not 20.0 <= from_neck <= size - 20.0:
        raise DraftingError(
            f"style.join: {from_neck:g} mm from the neckline is not on the sleeve, whose overarm "
            f"is {size:.0f} mm long"
        )
    top = point_along(overarm, size - from_neck)
    down = (end_of(overarm) - start_of(overarm)).unit.left
    crossing = _crossing(underarm, top, down)
    if crossing is None:
        raise DraftingError(
            f"style.join: square to the overarm {from_neck:g} mm from the neckline it meets the "
            "body, not the underarm; move it further out"
        )
    near, far = divided_chain(underarm.segments, crossing)
    outer, inner = divided_chain(overarm.segments, size - from_neck)
    bottom = near[-1].end
    return (
        _body(piece, near, inner, Line(bottom, top)),
        _sleeve(piece, far, outer, Line(top, bottom)),
    )


def _crossing(underarm: Edge, top: Point, down: Point) -> float | None:
    """How far along the underarm the join meets it, mm."""

    def beyond(along: float) -> float:
        return down.cross(point_along(underarm, along) - top)

    low, high = 1.0, edge_length(underarm) - 1.0
    if beyond(low) >= 0.0 or beyond(high) <= 0.0:
        return None
    return narrowed(lambda along: beyond(along) < 0.0, low, high, 1e-7)[0]


def _body(piece: Piece, near: Chain, inner: Chain, seam: Line) -> Piece:
    overarm = edge_named(piece, "overarm")
    edges: list[Edge] = []
    for edge in piece.edges:
        if edge.name == "underarm":
            edges.append(replace(edge, segments=near))
            edges.append(Edge("join", (seam,), edge.allowance))
        elif edge.name == "overarm":
            edges.append(replace(edge, segments=inner))
        elif edge.name != "wrist":
            edges.append(edge)
    kept = chain_length(near)
    cut = edge_length(overarm) - chain_length(inner)
    marks: list[Mark] = []
    for mark in piece.marks:
        if isinstance(mark, Notch):
            if mark.edge == "wrist" or (mark.edge == "underarm" and mark.along > kept):
                continue
            if mark.edge == "overarm":
                if mark.along < cut:
                    continue
                mark = replace(mark, along=mark.along - cut)
        marks.append(mark)
    corners = (
        *(corner for corner in piece.corners if corner.after not in ("wrist", "overarm")),
        Corner("join", "squared after"),
        Corner("overarm", "squared before"),
    )
    notch = _middle(piece, seam)
    return replace(piece, edges=tuple(edges), marks=(*marks, notch), corners=corners)


def _sleeve(piece: Piece, far: Chain, outer: Chain, seam: Line) -> Piece:
    underarm, overarm = edge_named(piece, "underarm"), edge_named(piece, "overarm")
    wrist = edge_named(piece, "wrist")
    edges = (
        Edge("join", (seam,), underarm.allowance),
        replace(underarm, segments=far),
        wrist,
        replace(overarm, segments=outer),
    )
    cut = edge_length(underarm) - chain_length(far)
    kept = chain_length(outer)
    marks: list[Mark] = []
    for mark in piece.marks:
        if not isinstance(mark, Notch):
            continue
        if mark.edge == "underarm" and mark.along >= cut:
            marks.append(replace(mark, along=mark.along - cut))
        elif mark.edge == "wrist" or (mark.edge == "overarm" and mark.along <= kept):
            marks.append(mark)
    centre = midpoint(midpoint(seam.start, seam.end), midpoint(start_of(wrist), end_of(wrist)))
    reach = min(0.3 * distance(seam.start, seam.end), 0.3 * distance(seam.start, end_of(wrist)))
    marks += [
        _middle(piece, seam),
        Grain(centre - Point(0.0, reach), centre + Point(0.0, reach)),
    ]
    corners = (
        *(corner for corner in piece.corners if corner.after in ("wrist", "overarm")),
        Corner("underarm", "squared before"),
        Corner("join", "squared after"),
    )
    return Piece(
        f"{piece.name} sleeve",
        edges,
        tuple(marks),
        piece.size,
        count=2,
        paired=True,
        cloth=piece.cloth,
        corners=corners,
    )


def _middle(piece: Piece, seam: Line) -> Notch:
    half = distance(seam.start, seam.end) / 2
    return Notch("join", half, "double" if piece.name == "back" else "single", "join middle")
