"""How much cloth a lay takes, and how little it could take."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drafting.plane import Motion
from projector.cloth.cloth import usable_span
from projector.cloth.fold_row import MOST, fold_row
from projector.cloth.layout import Layout
from projector.cloth.shapes import (
    lay_shape,
    lies_on_fold,
    orientations,
    placed_shape,
    spans,
    turned,
    wanted_copies,
)
from projector.errors import ProjectorError

__all__ = ["MET", "LowerBound", "bought_length", "efficiency", "lower_bound", "used_length"]


MET = 0.5
"""A lay this near to its bound, mm, counts as the shortest possible."""


@dataclass(frozen=True, slots=True)
class LowerBound:
    """No lay of these pieces on this cloth can be shorter than `length` mm, and why."""

    length: float
    reason: str


def used_length(layout: Layout) -> float:
    """Length from the cut end to the far end of the last piece, mm."""
    shapes = [placed_shape(layout, placement) for placement in layout.placements]
    return float(max((shape.bounds[2] for shape in shapes), default=0.0))


def bought_length(length: float, step: float = 100.0) -> float:
    """The length to buy, mm: the next whole step of the shop."""
    if step <= 0.0:
        raise ProjectorError(f"a shop's step of {step} mm is not positive")
    return math.ceil(length / step - 1e-9) * step


def efficiency(layout: Layout) -> float:
    """Area of the pieces over the area of the cloth they take, 0 to 1."""
    length = used_length(layout)
    if length == 0.0:
        return 0.0
    area = sum(placed_shape(layout, placement).area for placement in layout.placements)
    low, high = usable_span(layout.cloth)
    return float(area / (length * (high - low)))


def lower_bound(layout: Layout) -> LowerBound:
    """The largest of three bounds: area over width, the longest piece, fold pieces in a row.

    The row: pieces on the fold lie beside each other along it, and each takes at least the
    length it has at the fold itself. Of up to `fold_row.MOST` pieces the gaps that shapes force
    between neighbours are counted too.
    """
    cloth = layout.cloth
    low, high = usable_span(cloth)
    area = row = longest = 0.0
    halves = []
    for piece, copy in wanted_copies(layout):
        shape = lay_shape(piece, cloth)
        area += shape.area
        longest = max(longest, min(spans(piece, cloth, copy)))
        if lies_on_fold(piece, cloth):
            at_fold = [y for x, y in shape.exterior.coords if abs(x) < 1e-6]
            row += max(at_fold) - min(at_fold)
            ways = orientations(piece, cloth, copy)
            halves.append([turned(shape, Motion(t, 0.0, 0.0, m)) for t, m in ways])
    if 1 < len(halves) <= MOST:
        row = max(row, fold_row(halves))
    bounds = (
        LowerBound(area / (high - low), "the area of the pieces over the usable width"),
        LowerBound(row, "the fold pieces lie in a row along the fold"),
        LowerBound(longest, "the longest piece"),
    )
    return max(bounds, key=lambda bound: bound.length)
