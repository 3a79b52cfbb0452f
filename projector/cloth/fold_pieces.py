"""The row in which the pieces of a layout lie along the fold, at its shortest."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import lru_cache

import shapely

from drafting.piece import Piece
from drafting.plane import Motion
from projector.cloth.cloth import Cloth
from projector.cloth.fold_row import FoldRow, fold_row
from projector.cloth.fold_ways import FoldKind, FoldWay
from projector.cloth.layout import Layout, piece_key
from projector.cloth.shapes import (
    copies,
    lay_shape,
    lies_on_fold,
    moved_shape,
    orientations,
    placed_shape,
)
from projector.cloth.stripes import stripe_rule

__all__ = ["fold_pieces", "row_on_fold"]


def fold_pieces(layout: Layout) -> tuple[Piece, ...]:
    """The pieces that lie on the fold, in the order in which `row_on_fold` counts its kinds."""
    return _on_fold(layout.cloth, layout.pieces)


def row_on_fold(layout: Layout) -> FoldRow | None:
    """The shortest row of the pieces on the fold, round flaws and what is locked; or None.

    Pieces that are locked on the fold are not among them.
    """
    if not fold_pieces(layout):
        return None
    locked = tuple(replace(p, cut=False) for p in layout.placements if p.locked)
    return _row(Layout(layout.cloth, layout.pieces, locked))


def _on_fold(cloth: Cloth, pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    return tuple(p for p in pieces if p.cloth == cloth.name and lies_on_fold(p, cloth))


@lru_cache(maxsize=64)
def _row(layout: Layout) -> FoldRow | None:
    cloth, kinds = layout.cloth, []
    there = Counter(placed.piece for placed in layout.placements)
    for piece in _on_fold(cloth, layout.pieces):
        rule = stripe_rule(piece, cloth)
        ways = []
        for turn, mirrored in orientations(piece, cloth, 0):
            motion = Motion(turn, 0.0, 0.0, mirrored)
            phase = 0.0 if rule.along is None else cloth.phase_along - motion(rule.along).x
            shape = moved_shape(lay_shape(piece, cloth), motion)
            ways.append(FoldWay(shape, phase, rule.along is not None))
        kinds.append(FoldKind(tuple(ways), copies(piece, cloth) - there[piece_key(piece)]))
    if not any(kind.count for kind in kinds):
        return None
    fixed = [shapely.Polygon(flaw) for flaw in cloth.flaws]
    for placed in layout.placements:
        shape = placed_shape(layout, placed)
        fixed.append(shapely.buffer(shape, cloth.buffer, quad_segs=64) if cloth.buffer else shape)
    return fold_row(kinds, cloth.buffer, cloth.repeat_along, fixed)
