"""Waist darts of a block: few, slim and well placed. Common practice, no source; mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drafting.plane import Point

__all__ = ["MOST_DARTS", "SLIMMEST", "WIDEST", "Dart", "dart_width", "is_shapely", "waist_darts"]

WIDEST = 40.0
"""A waist dart wider than this makes a point that stands off the body."""

SLIMMEST = 6.0
"""Less intake than this is left as ease."""

MOST_DARTS = 3

STEEPEST = 0.25
"""Width over length of a dart that still lies shapely."""


@dataclass(frozen=True, slots=True)
class Dart:
    """A dart from its tip down to its two legs on the waist, the inner one nearer the centre."""

    tip: Point
    inner: Point
    outer: Point


def dart_width(dart: Dart) -> float:
    """What the dart takes in at the waist, mm."""
    return dart.outer.x - dart.inner.x


def is_shapely(dart: Dart) -> bool:
    """Whether the dart is neither wider nor steeper than lies well."""
    width = dart_width(dart)
    return width <= WIDEST + 1e-9 and width <= STEEPEST * (dart.tip.y - dart.inner.y)


def waist_darts(intake: float, tip: Point, side: float) -> tuple[Dart, ...]:
    """Split an intake into equal darts of at most `WIDEST` each, `MOST_DARTS` at most.

    The first stands below `tip`; the others share the way from it to the side seam at x =
    `side`, each shorter than the one before. The darts take in the whole intake even where
    `MOST_DARTS` become wider than lies well, which the checks then tell.
    """
    if intake < SLIMMEST:
        return ()
    fewest = min(MOST_DARTS, math.ceil(intake / WIDEST - 1e-9))
    for count in range(fewest, MOST_DARTS):
        darts = _equal_darts(intake, count, tip, side)
        if all(map(is_shapely, darts)):
            return darts
    return _equal_darts(intake, MOST_DARTS, tip, side)


def _equal_darts(intake: float, count: int, tip: Point, side: float) -> tuple[Dart, ...]:
    width = intake / count
    apart = (side - tip.x) / (count + 0.25)
    return tuple(
        Dart(
            Point(tip.x + number * apart, tip.y * (1.0 - 0.08 * number)),
            Point(tip.x + number * apart - width / 2, 0.0),
            Point(tip.x + number * apart + width / 2, 0.0),
        )
        for number in range(count)
    )
