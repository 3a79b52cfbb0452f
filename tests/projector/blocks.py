"""Rectangles as pieces: how they can lie is counted on the fingers."""

from __future__ import annotations

from drafting.marks import Grain
from drafting.piece import Piece
from drafting.plane import Point
from tests.drafting.known_pieces import cornered

__all__ = ["block"]


def block(name: str, width: float, height: float, **more: object) -> Piece:
    """A rectangle without allowances, its grain along its height; "edge 3" may be its fold."""
    corners = [(0, 0), (width, 0), (width, height), (0, height)]
    fold = more.get("fold_edge")
    roles = ["fold" if fold == f"edge {number}" else "cut" for number in range(4)]
    marks = (Grain(Point(10, 10), Point(10, 50)),)
    return cornered(corners, 0.0, roles, name, marks, **more)
