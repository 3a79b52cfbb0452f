"""How much cloth a lay takes, and how little it could take."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import shapely

from drafting.halving import narrowed
from projector.cloth.clearance import usable_area
from projector.cloth.cloth import Cloth, usable_span
from projector.cloth.fold_pieces import row_on_fold
from projector.cloth.layout import Layout
from projector.cloth.shapes import lay_shape, placed_shape, spans, wanted_copies
from projector.errors import ProjectorError

__all__ = ["MET", "LowerBound", "bought_length", "efficiency", "lower_bound", "used_length"]


MET = 0.5
"""A lay this near to its bound, mm, counts as the shortest possible."""


@dataclass(frozen=True, slots=True)
class LowerBound:
    """No lay of these pieces on this cloth can be shorter than `length` mm, and why."""

    length: float
    reason: str


@lru_cache(maxsize=64)
def used_length(layout: Layout) -> float:
    """Length from the cut end to the far end of the last piece, mm."""
    shapes = [placed_shape(layout, placement) for placement in layout.placements]
    return float(max((shape.bounds[2] for shape in shapes), default=0.0))


def bought_length(length: float, step: float = 100.0) -> float:
    """The length to buy, mm: the next whole step of the shop."""
    if step <= 0.0:
        raise ProjectorError(f"a shop's step of {step} mm is not positive")
    return math.ceil(length / step - 1e-9) * step


@lru_cache(maxsize=64)
def efficiency(layout: Layout) -> float:
    """Area of the pieces over the area of the cloth they take, 0 to 1."""
    length = used_length(layout)
    if length == 0.0:
        return 0.0
    area = sum(placed_shape(layout, placement).area for placement in layout.placements)
    low, high = usable_span(layout.cloth)
    return float(area / (length * (high - low)))


def lower_bound(layout: Layout) -> LowerBound:
    """The largest of four bounds: area, the longest piece, what is locked, fold pieces in a row.

    Pieces that touch count as clear of each other. The area is that of the usable cloth, less
    flaws and what a remnant lacks. The row: pieces on the fold lie beside each other along it, at
    the distances that their shapes, the buffer and matched stripes force (`fold_row`); what else
    lies on the cloth is not looked at.
    """
    cloth = layout.cloth
    area = longest = 0.0
    for piece, copy in wanted_copies(layout):
        area += lay_shape(piece, cloth).area
        longest = max(longest, min(spans(piece, cloth, copy)))
    locked = [
        placed_shape(layout, placed).bounds[2] for placed in layout.placements if placed.locked
    ]
    row = row_on_fold(layout)
    bounds = (
        LowerBound(_length_of_area(cloth, area), "the area of the pieces over the usable width"),
        LowerBound(row.length if row else 0.0, "the fold pieces lie in a row along the fold"),
        LowerBound(longest, "the longest piece"),
        LowerBound(max(locked, default=0.0), "a locked piece reaches so far"),
    )
    return max(bounds, key=lambda bound: bound.length)


def _length_of_area(cloth: Cloth, area: float) -> float:
    """Length from the cut end within which there is so much usable cloth, mm."""
    low, high = usable_span(cloth)
    if cloth.outline is None and not cloth.flaws:
        return area / (high - low)
    flaws = sum(float(shapely.Polygon(flaw).area) for flaw in cloth.flaws)
    long = (area + flaws) / (high - low) + 0.01
    if cloth.outline is not None:
        long = float(shapely.Polygon(cloth.outline).bounds[2])
    if shapely.area(usable_area(cloth, long)) < area:
        return long  # more than there is of a remnant
    return narrowed(lambda x: float(shapely.area(usable_area(cloth, x))) < area, 0.0, long, 0.01)[0]
