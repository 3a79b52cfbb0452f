"""A half piece opened out whole, as it lies on flat cloth."""

from __future__ import annotations

import math
from dataclasses import replace

from drafting.chains import moved_chain
from drafting.corners import Corner, Rule
from drafting.edge import Edge, edge_length, end_of, moved_edge, reversed_edge, start_of
from drafting.marks import Drill, Grain, InnerLine, Label, Mark, Notch
from drafting.piece import Piece, edge_named
from drafting.plane import Motion, Point

__all__ = ["unfolded"]


def unfolded(piece: Piece) -> Piece:
    """The whole piece: the half as it is, and the half mirrored in its fold edge.

    Edges of the half keep their names, their mirror images take the suffix " mirrored".
    Notches, drill holes, inner lines and corner rules are carried to both halves; grain and label
    stay once.
    A piece without a fold edge is returned as it is.
    """
    if piece.fold_edge is None:
        return piece
    fold = edge_named(piece, piece.fold_edge)
    mirror = _mirror_in(start_of(fold), end_of(fold))
    place = piece.edges.index(fold)
    half = (*piece.edges[place + 1 :], *piece.edges[:place])
    other = tuple(_mirrored_edge(edge, mirror) for edge in reversed(half))
    marks = list(piece.marks)
    for mark in piece.marks:
        carried = _mirrored_mark(mark, piece, mirror)
        if carried is not None:
            marks.append(carried)
    corners = (*piece.corners, *_mirrored_corners(piece))
    return replace(
        piece, edges=(*half, *other), marks=tuple(marks), fold_edge=None, corners=corners
    )


def _mirrored_corners(piece: Piece) -> tuple[Corner, ...]:
    """Corner rules on the mirrored half, where what came before comes after."""
    names = [edge.name for edge in piece.edges]
    swapped: dict[str, Rule] = {
        "squared before": "squared after",
        "squared after": "squared before",
        "mirrored before": "mirrored after",
        "mirrored after": "mirrored before",
    }
    return tuple(
        Corner(
            f"{names[names.index(corner.after) - 1]} mirrored",
            swapped.get(corner.rule, corner.rule),
        )
        for corner in piece.corners
    )


def _mirror_in(a: Point, b: Point) -> Motion:
    """The mirror in the line through two points: x -> -x, turned by twice its lean from y."""
    turn = 2.0 * ((b - a).angle - math.pi / 2)
    turn = math.remainder(turn, 2.0 * math.pi)
    if abs(turn) < 1e-12:
        turn = 0.0
    image = Motion(turn, 0.0, 0.0, True)(a)
    return Motion(turn, a.x - image.x, a.y - image.y, True)


def _mirrored_edge(edge: Edge, mirror: Motion) -> Edge:
    return replace(reversed_edge(moved_edge(edge, mirror)), name=f"{edge.name} mirrored")


def _mirrored_mark(mark: Mark, piece: Piece, mirror: Motion) -> Mark | None:
    match mark:
        case Notch():
            if mark.edge == piece.fold_edge:
                return None
            size = edge_length(edge_named(piece, mark.edge))
            along = max(0.0, size - mark.along)
            return replace(mark, edge=f"{mark.edge} mirrored", along=along)
        case Drill():
            return replace(mark, point=mirror(mark.point))
        case InnerLine():
            return replace(mark, segments=moved_chain(mark.segments, mirror))
        case Grain() | Label():
            return None
