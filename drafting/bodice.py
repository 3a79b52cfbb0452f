"""The back and front bodice block of one half, as named points.

Frame: x from the centre, y up from the waist, mm. The method is our own, within the bands of
several published block methods (half width B/2 + 40 to B/2 + 70 mm; armhole depth between
B/10 + 105 and B/6 + 70 mm; slopes of 18 degrees at the back and 22 at the front, from memory).
All intake lies in the waist dart, so that the front stands as high as the back.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from drafting.body import Body
from drafting.plane import Point

__all__ = ["Block", "HalfBlock", "bodice"]

BACK_SLOPE, FRONT_SLOPE = math.radians(18.0), math.radians(22.0)
WAIST_EASE = 60.0


@dataclass(frozen=True, slots=True)
class HalfBlock:
    """Points of a back or front: centre neck, neck point, shoulder tip, underarm, side waist.

    `dart` is the waist intake in mm that the waist dart takes up.
    """

    centre_neck: Point
    neck_point: Point
    shoulder_tip: Point
    underarm: Point
    side_waist: Point
    dart: float


@dataclass(frozen=True, slots=True)
class Block:
    """The back and the front, both with the centre on x = 0 and the waist on y = 0."""

    back: HalfBlock
    front: HalfBlock


def bodice(body: Body) -> Block:
    """Draft the block.

    Half width B/2 + 50 mm, 10 mm of it more at the front; armhole depth from the nape B/8 + 95;
    back neck N/5 - 2 wide and a third of that deep; the front neck 2 mm narrower and 10 mm
    deeper than wide; shoulder seams both of the body's length.
    """
    bust_level = body.nape_to_waist - (body.bust / 8 + 95.0)
    back_neck = body.neck / 5 - 2.0
    front_neck = back_neck - 2.0
    top = body.nape_to_waist + back_neck / 3
    intake = max(0.0, (body.bust / 2 + 50.0) - (body.waist + WAIST_EASE) / 2) / 2
    back = _half(
        Point(0.0, body.nape_to_waist),
        Point(back_neck, top),
        body.shoulder,
        BACK_SLOPE,
        Point(body.bust / 4 + 20.0, bust_level),
        intake,
    )
    front = _half(
        Point(0.0, top - front_neck - 10.0),
        Point(front_neck, top),
        body.shoulder,
        FRONT_SLOPE,
        Point(body.bust / 4 + 30.0, bust_level),
        intake,
    )
    return Block(back, front)


def _half(
    centre: Point, neck: Point, shoulder: float, slope: float, underarm: Point, dart: float
) -> HalfBlock:
    tip = neck + shoulder * Point(math.cos(slope), -math.sin(slope))
    return HalfBlock(centre, neck, tip, underarm, Point(underarm.x, 0.0), dart)
