"""The plan: a sleeve cut in one with the bodice, at any lift, as it is done by hand.

Every rule here is common practice, no source. Front and back blocks lie on each other on centre
and waist; points halfway between them balance the pattern. Frame as in `bodice`.
"""

from __future__ import annotations

from dataclasses import dataclass

from drafting.bodice import Block
from drafting.body import Body
from drafting.errors import DraftingError
from drafting.plane import Point, distance, midpoint
from drafting.style import Style

__all__ = ["Plan", "dolman_plan"]


@dataclass(frozen=True, slots=True)
class Plan:
    """Named points of the contour that back and front share, mm.

    neck_point, shoulder_tip, side_point: halfway points. lowest_wrist, highest_wrist: ends of the
    overarm at lift 0 and 1; overarm_wrist lies on the straight line between them. neck_edge: the
    neckline's end on the overarm. shoulder: the shoulder notch. corner: underarm point before
    the curve; curve_start and curve_end: where it leaves the side seam and meets the straight
    underarm. underarm_wrist: end of the underarm, moved out so that it meets the wrist squarely;
    squared_wrist: before that. side_waist, side_hem: on the side seam.
    """

    neck_point: Point
    shoulder_tip: Point
    side_point: Point
    lowest_wrist: Point
    highest_wrist: Point
    overarm_wrist: Point
    neck_edge: Point
    shoulder: Point
    squared_wrist: Point
    underarm_wrist: Point
    corner: Point
    curve_start: Point
    curve_end: Point
    side_waist: Point
    side_hem: Point


def dolman_plan(block: Block, body: Body, style: Style) -> Plan:
    """Construct the plan. Raises `DraftingError` where the underarm would not leave the side."""
    if style.neck_wider >= style.shoulder:
        raise DraftingError(
            f"style.neck_wider: {style.neck_wider:g} mm leaves nothing of a shoulder of "
            f"{style.shoulder:g} mm; widen the neck less"
        )
    back, front = block.back, block.front
    neck = midpoint(back.neck_point, front.neck_point)
    tip = midpoint(back.shoulder_tip, front.shoulder_tip)
    side = midpoint(back.underarm, front.underarm)
    reach = style.shoulder + (body.arm if style.sleeve is None else style.sleeve)
    lowest = neck + reach * (tip + Point(0.0, style.above_shoulder_tip) - neck).unit
    highest = neck + Point(reach, 0.0)
    wrist = lowest + style.lift * (highest - lowest)
    along = (wrist - neck).unit
    down = -along.left
    width = body.hand + 30.0 if style.wrist_width is None else style.wrist_width
    squared = wrist + width / 2 * down
    side_x = side.x + style.side_ease
    bat = style.sleeve_kind == "bat"
    corner = Point(side_x, 0.0 if bat else side.y - style.underarm_drop)
    if squared.x <= side_x + 10.0 or squared.y >= neck.y:
        raise DraftingError(
            f"style.sleeve: the wrist at {squared.x:.0f} mm does not reach past the side seam at "
            f"{side_x:.0f} mm; make the sleeve longer or the side ease smaller"
        )
    underarm = _squared_to_both(wrist, squared, corner)
    towards = (underarm - corner).unit
    reach = 0.0 if bat else min(style.curve_reach, 0.45 * distance(corner, underarm))
    start = Point(side_x, corner.y - min(reach, 0.9 * (corner.y + style.length)))
    return Plan(
        neck_point=neck,
        shoulder_tip=tip,
        side_point=side,
        lowest_wrist=lowest,
        highest_wrist=highest,
        overarm_wrist=wrist,
        neck_edge=neck + style.neck_wider * along,
        shoulder=neck + style.shoulder * along,
        squared_wrist=squared,
        underarm_wrist=underarm,
        corner=corner,
        curve_start=start,
        curve_end=corner + reach * towards,
        side_waist=Point(side_x, 0.0),
        side_hem=Point(side_x, -style.length),
    )


def _squared_to_both(wrist: Point, squared: Point, corner: Point) -> Point:
    """The end of the underarm, lengthened so that a curve can meet both arm seams squarely.

    A wrist curve square to the overarm and to the underarm is an arc about the point where the
    two would meet, so that both ends are equally far from it. With depth h and taper t between
    the seams, the underarm grows by h (1 - cos t) / sin t = h sin t / (1 + cos t).
    """
    depth = distance(wrist, squared)
    across = (squared - wrist).unit
    along = across.left  # the overarm's direction: the wrist lies a quarter turn to its right
    towards = (squared - corner).unit
    sine, cosine = along.cross(towards), along.dot(towards)
    return squared + depth * sine / (1.0 + cosine) * towards
