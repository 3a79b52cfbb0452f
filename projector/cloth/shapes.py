"""What of a piece lies on a cloth, how often, and which ways round it may lie."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import numpy.typing as npt
import shapely

from drafting.allowance import cutting_line
from drafting.curves import Cubic
from drafting.piece import Piece
from drafting.plane import Motion, Point, coordinates
from drafting.unfolding import unfolded
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, Placement, piece_of
from projector.cloth.search.simplified import outward

__all__ = [
    "breadths",
    "copies",
    "lay_shape",
    "lies_on_fold",
    "moved_rows",
    "moved_shape",
    "near_turn",
    "off_grain",
    "orientations",
    "placed_points",
    "placed_shape",
    "spans",
    "tilt_allowed",
    "tilt_words",
    "turns_freely",
    "wanted_copies",
]

Array = npt.NDArray[np.float64]

TOLERANCE = 0.01
"""Chords of a curved cutting line lie within this of it, mm."""
OUTSIDE = 0.05
"""A curved cutting line is held by a polygon that lies about so far outside it, mm."""
AS_DRAWN = math.pi / 2


def lies_on_fold(piece: Piece, cloth: Cloth) -> bool:
    """Whether the piece lies with its fold edge on the fold of this cloth."""
    return piece.fold_edge is not None and cloth.folded


def lay_shape(piece: Piece, cloth: Cloth) -> shapely.Polygon:
    """The area inside the cutting line in the piece frame, about 0.05 mm larger along curves.

    What is clear of it is clear of the curves themselves, but for `TOLERANCE`; straight cutting
    lines are exact. A half piece lies as a half on folded cloth and is opened out on flat cloth.
    """
    return _shape(piece, cloth.folded)


@lru_cache(maxsize=512)
def _shape(piece: Piece, folded: bool) -> shapely.Polygon:
    whole = piece if folded else unfolded(piece)
    line = np.array(coordinates(cutting_line(whole, TOLERANCE)))
    curved = any(isinstance(part, Cubic) for edge in whole.edges for part in edge.segments)
    return shapely.Polygon(outward(line, OUTSIDE) if curved else line)


def copies(piece: Piece, cloth: Cloth) -> int:
    """How often the piece is laid: once for two where both layers of a folded cloth are cut."""
    if not cloth.folded or piece.fold_edge is not None:
        return piece.count
    return math.ceil(piece.count / 2)


def wanted_copies(layout: Layout) -> tuple[tuple[Piece, int], ...]:
    """Every (piece, copy) that is to be cut from the cloth of the layout."""
    return tuple(
        (piece, copy)
        for piece in layout.pieces
        if piece.cloth == layout.cloth.name
        for copy in range(copies(piece, layout.cloth))
    )


def turns_freely(piece: Piece, cloth: Cloth) -> bool:
    """Whether the grain is nothing to this piece; a nap, or unequal shrinkage, still counts."""
    unequal = cloth.shrinkage_along != cloth.shrinkage_across
    return piece.turns_freely and not cloth.one_way and not unequal and piece.fold_edge is None


def orientations(piece: Piece, cloth: Cloth, copy: int) -> tuple[tuple[float, bool], ...]:
    """The (turn, mirrored) that grain, fold and nap allow for one copy, as drawn first.

    A piece that turns freely may lie at any angle; the search tries the quarter turns.
    """
    turns = [AS_DRAWN] if cloth.one_way else [AS_DRAWN, -AS_DRAWN]
    if turns_freely(piece, cloth):
        turns += [0.0, math.pi]
    if lies_on_fold(piece, cloth):
        # A half turn would put the piece beyond the fold; its mirror stands for it.
        return ((AS_DRAWN, False),) if cloth.one_way else ((AS_DRAWN, False), (-AS_DRAWN, True))
    if cloth.folded:
        return tuple((turn, mirrored) for mirrored in (False, True) for turn in turns)
    mirrored = piece.paired and copy % 2 == 1
    return tuple((turn, mirrored) for turn in turns)


def tilt_allowed(piece: Piece, cloth: Cloth) -> float:
    """How far one piece may be turned off its grain on this cloth, radians either way."""
    matched = any(match.piece == piece.name for match in cloth.matches)
    return 0.0 if matched or lies_on_fold(piece, cloth) else cloth.tilt


def near_turn(angle: float) -> float:
    """The turn nearest to an angle at which the grain runs along the selvage."""
    return angle - off_grain(angle)


def off_grain(angle: float) -> float:
    """How far a piece laid at this angle is turned off the grain, radians, left is positive."""
    return math.remainder(angle - AS_DRAWN, math.pi)


def tilt_words(piece: Piece, cloth_from_piece: Motion) -> list[str]:
    """What its label says of a piece that lies a little off the grain."""
    degrees = math.degrees(off_grain(cloth_from_piece.angle))
    if piece.turns_freely or not 0.05 <= abs(degrees) <= 45.0:
        return []
    return [f"tilted {abs(degrees):.1f} deg"]


def moved_rows(rows: Array, motion: Motion) -> Array:
    """Points (n, 2) after a motion, mm."""
    (a, b, e), (c, d, f) = motion.matrix
    moved: Array = rows @ np.array([[a, c], [b, d]]) + (e, f)
    return moved


def moved_shape(shape: shapely.Polygon, motion: Motion) -> shapely.Polygon:
    """A shape after a motion."""
    moved: shapely.Polygon = shapely.transform(shape, lambda rows: moved_rows(rows, motion))
    return moved


def spans(piece: Piece, cloth: Cloth, copy: int) -> tuple[float, ...]:
    """Length along the selvage in every allowed orientation, mm; the least within its tilt."""
    tilt = _turned_by(piece, cloth)
    return tuple(_least_span(way, tilt) for way in _ways(piece, cloth, copy))


def breadths(piece: Piece, cloth: Cloth, copy: int) -> tuple[float, ...]:
    """What it takes of the width in every allowed orientation, mm; the least within its tilt."""
    tilt, quarter = _turned_by(piece, cloth), Motion(math.pi / 2, 0.0, 0.0)
    return tuple(_least_span(moved_shape(way, quarter), tilt) for way in _ways(piece, cloth, copy))


def _turned_by(piece: Piece, cloth: Cloth) -> float:
    return math.pi if turns_freely(piece, cloth) else tilt_allowed(piece, cloth)


def _ways(piece: Piece, cloth: Cloth, copy: int) -> list[shapely.Polygon]:
    turns = orientations(piece, cloth, copy)
    return [_placed(piece, cloth.folded, Motion(turn, 0.0, 0.0, side)) for turn, side in turns]


def _least_span(shape: shapely.Polygon, tilt: float) -> float:
    """The least length along the selvage when a shape may be turned by so much either way, mm.

    Between turns that bring a side of the convex hull across the cloth, the length goes as the
    cosine of an angle, which has no least value inside; so it is enough to look at these turns.
    """
    corners = shapely.get_coordinates(shape.convex_hull)
    if tilt == 0.0:
        return float(np.ptp(corners[:, 0]))
    sides = np.diff(corners, axis=0)
    across = np.remainder(np.pi / 2 - np.arctan2(sides[:, 1], sides[:, 0]), np.pi)
    across = np.concatenate([across, across - np.pi])
    angles = np.concatenate([across[np.abs(across) <= tilt], [-tilt, tilt]])
    along = np.outer(np.cos(angles), corners[:, 0]) - np.outer(np.sin(angles), corners[:, 1])
    return float(np.ptp(along, axis=1).min())


def placed_points(points: Sequence[Point], motion: Motion) -> Array:
    """Points after a motion, as an array of shape (n, 2), mm."""
    return moved_rows(np.array(coordinates(points)), motion)


def placed_shape(layout: Layout, placement: Placement) -> shapely.Polygon:
    """The area one placement covers, in the cloth frame."""
    piece = piece_of(layout, placement)
    return _placed(piece, layout.cloth.folded, placement.cloth_from_piece)


@lru_cache(maxsize=4096)
def _placed(piece: Piece, folded: bool, cloth_from_piece: Motion) -> shapely.Polygon:
    return moved_shape(_shape(piece, folded), cloth_from_piece)
