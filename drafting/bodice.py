"""The back and front bodice block of one half, as named points.

Frame: x from the centre, y up from the waist, mm. The method is our own, within the bands of
several published block methods (half width B/2 + 40 to B/2 + 70 mm; armhole depth between
B/10 + 105 and B/6 + 70 mm; slopes of 18 degrees at the back and 22 at the front, from memory).
All intake lies in the waist darts, so that the front stands as high as the back. A body whose
front is longer over the bust than that is told so by the checks; no bust dart is drafted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from drafting.body import Body
from drafting.darts import Dart, waist_darts
from drafting.plane import Point

__all__ = ["BACK_SLOPE", "FRONT_SLOPE", "Block", "HalfBlock", "bodice"]

BACK_SLOPE, FRONT_SLOPE = math.radians(18.0), math.radians(22.0)
WAIST_EASE = 60.0
BELOW_BUST_POINT = 20.0
"""A dart ends 13 to 25 mm short of the bust point; from memory."""


@dataclass(frozen=True, slots=True)
class HalfBlock:
    """Points of a back or front: centre neck, neck point, shoulder tip, underarm, side waist.

    `across` is where the armhole comes nearest to the centre. `dart` is the waist intake in mm
    that the waist darts take up; `darts` where they lie.
    """

    centre_neck: Point
    neck_point: Point
    shoulder_tip: Point
    across: Point
    underarm: Point
    side_waist: Point
    dart: float
    darts: tuple[Dart, ...] = ()


@dataclass(frozen=True, slots=True)
class Block:
    """The back and the front, both with the centre on x = 0 and the waist on y = 0."""

    back: HalfBlock
    front: HalfBlock


def bodice(body: Body) -> Block:
    """Draft the block.

    Half width B/2 + 50 mm, 10 mm of it more at the front; armhole depth the body's scye depth
    and B/40 - 10 (B/8 + 95 together where the depth is estimated); back neck N/5 - 2 wide and a
    third of that deep; the front neck 2 mm narrower and 2 mm deeper than wide; shoulder seams
    both of the body's length; the armhole as near to the centre as the body's widths across
    back and chest, and 5 mm, while its curve stays hollow.
    """
    depth = body.armscye_depth + max(0.0, body.bust / 40 - 10.0)
    bust_level = body.nape_to_waist - depth
    back_neck = body.neck / 5 - 2.0
    front_neck = back_neck - 2.0
    top = body.nape_to_waist + back_neck / 3
    intake = max(0.0, (body.bust / 2 + 50.0) - (body.waist + WAIST_EASE) / 2) / 2
    blade = Point(body.across_back / 4, bust_level + 10.0)
    bust_point = _bust_point(body, Point(front_neck, top), bust_level)
    back = _half(
        Point(0.0, body.nape_to_waist),
        Point(back_neck, top),
        body.shoulder,
        BACK_SLOPE,
        Point(body.bust / 4 + 20.0, bust_level),
        (body.across_back / 2 + 5.0, 0.5),
        (intake, blade),
    )
    front = _half(
        Point(0.0, top - front_neck - 2.0),
        Point(front_neck, top),
        body.shoulder,
        FRONT_SLOPE,
        Point(body.bust / 4 + 30.0, bust_level),
        (body.across_chest / 2 + 5.0, 0.42),
        (intake, bust_point - Point(0.0, BELOW_BUST_POINT)),
    )
    return Block(back, front)


def _bust_point(body: Body, neck: Point, bust_level: float) -> Point:
    across = body.bust_span / 2
    sideways = min(abs(across - neck.x), 0.8 * body.bust_depth)
    level = neck.y - math.sqrt(body.bust_depth**2 - sideways**2)
    return Point(across, min(max(level, 100.0), bust_level + 20.0))


def _half(
    centre: Point,
    neck: Point,
    shoulder: float,
    slope: float,
    underarm: Point,
    across: tuple[float, float],
    intake: tuple[float, Point],
) -> HalfBlock:
    tip = neck + shoulder * Point(math.cos(slope), -math.sin(slope))
    width, height = across
    level = underarm.y + height * (tip.y - underarm.y)
    # The armhole leaves the shoulder squarely; further in or out than this it would bulge.
    lean = (tip.y - level) * math.tan(slope)
    nearest = Point(min(max(width, tip.x - 0.9 * lean), tip.x - 0.2 * lean), level)
    side = Point(underarm.x, 0.0)
    darts = waist_darts(intake[0], intake[1], side.x)
    return HalfBlock(centre, neck, tip, nearest, underarm, side, intake[0], darts)
