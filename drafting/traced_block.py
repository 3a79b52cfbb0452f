"""A bodice block from coordinates that the worker took from her own card block.

She lays the card with its centre on x = 0 and its waist on y = 0 and reads the points off a
ruler, mm. What a card need not show is put where our own method would put it.
"""

from __future__ import annotations

from collections.abc import Mapping

from drafting.armhole import armhole
from drafting.bodice import HalfBlock
from drafting.darts import waist_darts
from drafting.errors import DraftingError
from drafting.plane import Point

__all__ = ["POINTS", "POINTS_NEEDED", "traced_half"]

POINTS = ("centre_neck", "neck_point", "shoulder_tip", "across", "underarm", "side_waist")
"""across: where the armhole is nearest to the centre."""

POINTS_NEEDED = ("centre_neck", "neck_point", "shoulder_tip", "underarm")


def traced_half(name: str, points: Mapping[str, Point], dart: float = 0.0) -> HalfBlock:
    """The back or the front from its points; `dart` is the intake of all its waist darts.

    Raises `DraftingError`, naming the point, where the points do not make a half block.
    """
    lacking = [point for point in POINTS_NEEDED if point not in points]
    if lacking:
        raise DraftingError(f"block.{name}.{lacking[0]} is missing")
    centre, neck = points["centre_neck"], points["neck_point"]
    tip, under = points["shoulder_tip"], points["underarm"]
    side = points.get("side_waist", Point(under.x, 0.0))
    for point, wrong, wanted in (
        ("centre_neck", centre.x != 0.0, "lie on the centre, x = 0"),
        ("neck_point", not (neck.x > 0.0 and neck.y > centre.y), "lie out and up from the centre"),
        ("shoulder_tip", not (tip.x > neck.x and tip.y < neck.y), "lie out and down from the neck"),
        ("underarm", not 0.0 < under.y < tip.y, "lie between waist and shoulder tip"),
        ("underarm", under.x <= neck.x, "lie further out than the neck point"),
        ("side_waist", side.x <= 0.5 * under.x, "lie below the underarm"),
    ):
        if wrong:
            raise DraftingError(f"block.{name}.{point} must {wanted}")
    if not 0.0 <= dart < 0.8 * side.x:
        raise DraftingError(f"block.{name}.dart: {dart:g} mm does not fit a waist of {side.x:g} mm")
    across = points.get("across", _across(tip, neck, under))
    darts = waist_darts(dart, Point(0.4 * side.x, 0.85 * under.y), side.x)
    half = HalfBlock(centre, neck, tip, across, under, side, dart, darts)
    armhole(half)  # raises where the point across is not one
    return half


def _across(tip: Point, neck: Point, under: Point) -> Point:
    """Halfway up the armhole, as far in as a curve square to the shoulder wants."""
    level = (tip.y + under.y) / 2
    slope = (neck.y - tip.y) / (tip.x - neck.x)
    return Point(min(tip.x - 0.5 * slope * (tip.y - level), under.x - 10.0), level)
