"""The shapes of a layout's pieces, found by name, made once for all the steps of a drag."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import shapely

from drafting.piece import Piece
from drafting.plane import Point
from projector.cloth.clearance import SLACK
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, piece_key
from projector.cloth.shapes import lay_shape, lies_on_fold

__all__ = ["Outline", "outlines"]


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """What a piece covers, in its own frame.

    Parameters
    ----------
    shape
        Inside its cutting line, as it lies on this cloth.
    inner
        The shape drawn in by half the slack, so that pieces that touch do not overlap.
    middle, radius
        A circle about it, mm.
    held
        Whether it can only slide along the fold of this cloth.
    """

    shape: shapely.Polygon
    inner: shapely.Polygon
    middle: Point
    radius: float
    held: bool


# Found by identity: a piece has thousands of numbers, and to compare them at every step of a
# drag would take longer than all the rest.
_LAST: list[tuple[tuple[Piece, ...], Cloth, dict[str, Outline]]] = []


def outlines(layout: Layout) -> dict[str, Outline]:
    """The outline of each of the layout's pieces by the name placements know it by."""
    for pieces, cloth, found in _LAST:
        if pieces is layout.pieces and cloth is layout.cloth:
            return found
    found = {piece_key(piece): _outline(piece, layout.cloth) for piece in layout.pieces}
    del _LAST[3:]
    _LAST.insert(0, (layout.pieces, layout.cloth, found))
    return found


@lru_cache(maxsize=512)
def _outline(piece: Piece, cloth: Cloth) -> Outline:
    shape = lay_shape(piece, cloth)
    inner: shapely.Polygon = shape.buffer(-SLACK / 2, join_style="mitre")
    low_x, low_y, high_x, high_y = shape.bounds
    middle = Point((low_x + high_x) / 2, (low_y + high_y) / 2)
    radius = math.hypot(high_x - low_x, high_y - low_y) / 2
    return Outline(shape, inner, middle, radius, lies_on_fold(piece, cloth))
