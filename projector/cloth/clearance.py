"""What a layout does that cloth, grain, fold or a neighbour forbid."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely

from projector.cloth.cloth import CLEAR_OF_FOLD, Cloth, usable_span
from projector.cloth.layout import Layout, Placement, piece_key, piece_of
from projector.cloth.shapes import (
    lies_on_fold,
    orientations,
    placed_shape,
    tilt_allowed,
    turns_freely,
    wanted_copies,
)
from projector.cloth.stripes import OFF_STRIPE, off_stripes, stripe_rule

__all__ = [
    "SLACK",
    "crowded",
    "may_be_cut",
    "missing",
    "overlaps",
    "usable_area",
    "violations",
]

SLACK = 0.01
"""Pieces may touch; they overlap when one reaches more than this many mm into the other."""


def overlaps(layout: Layout) -> tuple[tuple[Placement, Placement], ...]:
    """Pairs of placements that overlap by more than `SLACK`."""
    shapes = [placed_shape(layout, placement) for placement in layout.placements]
    if len(shapes) < 2:
        return ()
    shrunk = shapely.buffer(shapes, -SLACK / 2, join_style="mitre")
    first, second = shapely.STRtree(shrunk).query(shrunk, predicate="intersects")
    pairs = [(i, j) for i, j in zip(first, second, strict=True) if i < j]
    return tuple((layout.placements[i], layout.placements[j]) for i, j in sorted(pairs))


def usable_area(cloth: Cloth, length: float) -> shapely.Geometry:
    """What pieces may lie on, in the cloth frame, `length` mm from the cut end."""
    low, high = usable_span(cloth)
    area: shapely.Geometry = shapely.box(0.0, low, length, high)
    if cloth.outline is not None:
        area = shapely.intersection(area, shapely.Polygon(cloth.outline))
    for flaw in cloth.flaws:
        area = shapely.difference(area, shapely.Polygon(flaw))
    return area


def missing(layout: Layout) -> tuple[tuple[str, int], ...]:
    """Copies that are to be cut from this cloth and do not lie on it: (piece, copy)."""
    laid = {(placement.piece, placement.copy) for placement in layout.placements}
    wanted = ((piece_key(piece), copy) for piece, copy in wanted_copies(layout))
    return tuple(place for place in wanted if place not in laid)


def crowded(layout: Layout) -> tuple[tuple[Placement, Placement], ...]:
    """Pairs that do not overlap but lie nearer than the buffer of the cloth allows."""
    buffer = layout.cloth.buffer
    if buffer <= 0.0 or len(layout.placements) < 2:
        return ()
    shapes = [placed_shape(layout, placement) for placement in layout.placements]
    tree = shapely.STRtree(shapes)
    first, second = tree.query(shapes, predicate="dwithin", distance=buffer - SLACK)
    apart = set(overlaps(layout))
    pairs = [
        (layout.placements[i], layout.placements[j])
        for i, j in sorted(zip(first, second, strict=True))
        if i < j
    ]
    return tuple(pair for pair in pairs if pair not in apart)


def may_be_cut(layout: Layout) -> bool:
    """Whether every piece lies on the cloth and no rule is broken."""
    return not missing(layout) and not violations(layout)


@lru_cache(maxsize=64)
def violations(layout: Layout) -> tuple[str, ...]:
    """Every broken rule in plain words; empty for a lay that may be cut."""
    found = [f"{a.piece} and {b.piece} overlap" for a, b in overlaps(layout)]
    found += [
        f"{a.piece} and {b.piece} lie nearer than {layout.cloth.buffer:g} mm"
        for a, b in crowded(layout)
    ]
    wanted = (layout.cloth.shrinkage_along, layout.cloth.shrinkage_across)
    found += [
        f"{piece_key(piece)} is not yet enlarged for what the cloth shrinks"
        for piece in layout.pieces
        if piece.shrinkage != wanted
    ]
    shapes = [placed_shape(layout, placement) for placement in layout.placements]
    reach = layout.cloth.length or max((shape.bounds[2] for shape in shapes), default=0.0) + 1.0
    area = shapely.buffer(usable_area(layout.cloth, reach), SLACK, join_style="mitre")
    for placement, shape in zip(layout.placements, shapes, strict=True):
        if not shapely.covers(area, shape):
            found.append(f"{placement.piece} reaches past the usable cloth")
        found += _wrong_place(layout, placement, shape)
    return tuple(found)


def _wrong_place(layout: Layout, placement: Placement, shape: shapely.Polygon) -> list[str]:
    """What grain, nap, fold and stripes forbid of one placement."""
    piece, motion, cloth = piece_of(layout, placement), placement.cloth_from_piece, layout.cloth
    found = []
    allowed = orientations(piece, cloth, placement.copy)
    sides = {mirrored for _, mirrored in allowed}
    tilt = tilt_allowed(piece, cloth) + 5e-5
    same = [
        abs(math.remainder(motion.angle - turn, 2 * math.pi)) <= tilt
        and motion.mirrored == mirrored
        for turn, mirrored in allowed
    ]
    if not any(same) and not (turns_freely(piece, cloth) and motion.mirrored in sides):
        degrees = np.degrees(motion.angle)
        found.append(f"{placement.piece} lies off the grain or the wrong way ({degrees:.1f} deg)")
    if lies_on_fold(piece, cloth):
        if abs(motion.dy) > 1e-6:
            found.append(f"{placement.piece} lies {motion.dy:.2f} mm off the fold")
    elif cloth.folded and shape.bounds[1] < CLEAR_OF_FOLD - SLACK:
        found.append(f"{placement.piece} is cut through both layers but lies on the fold")
    rule = stripe_rule(piece, cloth)
    for axis, off in zip(("along", "across"), off_stripes(rule, cloth, motion), strict=True):
        if abs(off) > OFF_STRIPE:
            found.append(f"{placement.piece} lies {abs(off):.2f} mm off its stripe, {axis}")
    return found
