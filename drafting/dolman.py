"""The plan: a sleeve cut in one with the bodice, at any lift, as it is done by hand.

Every rule here is common practice, no source. Front and back blocks lie on each other on centre
and waist; points halfway between them balance the pattern. Frame as in `bodice`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from drafting.bodice import Block
from drafting.body import Body
from drafting.errors import DraftingError
from drafting.lengths import body_length, sleeve_length, wrist_width
from drafting.neck_figures import neck_figures
from drafting.plane import Point, distance, midpoint
from drafting.style import Style

__all__ = ["Plan", "dolman_plan", "is_cap"]

STEEPEST_UNDERARM = math.radians(50.0)
"""Where the underarm would close on the overarm faster than this the sleeve ends as a cap does."""

STEEPEST_BAT = math.radians(75.0)

WIDEST_OPENING_LEAN = 0.5
"""A cap's opening leans from the underarm point inward by at most so much of its height."""


@dataclass(frozen=True, slots=True)
class Plan:
    """Named points of the contour that back and front share, mm.

    neck_point, shoulder_tip, side_point: halfway points. lowest_wrist, highest_wrist: ends of the
    overarm at lift 0 and 1; overarm_wrist lies on the straight line between them. neck_edge: the
    neckline's end on the overarm. shoulder: the shoulder notch. corner: underarm point before
    the curve; curve_start and curve_end: where it leaves the side seam and meets the straight
    underarm. underarm_wrist: end of the underarm, moved out so that it meets the wrist squarely;
    squared_wrist: before that. side_waist, side_hem: on the side seam. hem_centre: on the fold.

    A cap sleeve has no underarm: its opening runs from the corner on the side seam, where
    curve_start, curve_end, squared_wrist and underarm_wrist then lie too, to overarm_wrist.
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
    hem_centre: Point


def is_cap(plan: Plan) -> bool:
    """Whether the sleeve is so short that no underarm seam is left."""
    return plan.curve_end == plan.underarm_wrist


def dolman_plan(block: Block, body: Body, style: Style) -> Plan:
    """Construct the plan.

    Raises `DraftingError` where neckline, underarm, flare or hem cannot be made for this body.
    """
    wider = neck_figures(style).wider
    if wider >= style.shoulder:
        raise DraftingError(
            f"style.neck_wider: a neck {wider:g} mm wider leaves nothing of a shoulder of "
            f"{style.shoulder:g} mm; widen the neck less"
        )
    back, front = block.back, block.front
    neck = midpoint(back.neck_point, front.neck_point)
    tip = midpoint(back.shoulder_tip, front.shoulder_tip)
    side = midpoint(back.underarm, front.underarm)
    reach = style.shoulder + sleeve_length(body, style)
    lowest = neck + reach * (tip + Point(0.0, style.above_shoulder_tip) - neck).unit
    highest = neck + Point(reach, 0.0)
    wrist = lowest + style.lift * (highest - lowest)
    along = (wrist - neck).unit
    side_x, length = side.x + style.side_ease, body_length(body, style)
    corner = _corner(side, side_x, length, style)
    end = wrist
    if style.wrist_width is None:  # drawn to the wrist, then cut off where the sleeve ends
        end = neck + max(1.0, (style.shoulder + body.arm) / reach) * (wrist - neck)
    depth = wrist_width(body, style) / 2
    if style.wrist_measured == "around":
        depth = _depth_around(end, along, corner, depth)
    squared = _cut_off(wrist, along, corner, end - depth * along.left)
    underarm = _underarm_end(wrist, along, corner, squared, style.sleeve_kind == "bat")
    if underarm == corner:
        squared = corner
    hem = _side_hem(side_x, length, style)
    start, end = _curve_ends(corner, underarm, hem, style)
    return Plan(
        neck_point=neck,
        shoulder_tip=tip,
        side_point=side,
        lowest_wrist=lowest,
        highest_wrist=highest,
        overarm_wrist=wrist,
        neck_edge=neck + wider * along,
        shoulder=neck + style.shoulder * along,
        squared_wrist=squared,
        underarm_wrist=underarm,
        corner=corner,
        curve_start=start,
        curve_end=end,
        side_waist=Point(side_x, 0.0),
        side_hem=hem,
        hem_centre=Point(0.0, -length),
    )


def _corner(side: Point, side_x: float, length: float, style: Style) -> Point:
    if style.sleeve_kind == "bat":
        return Point(side_x, 0.0)
    level = side.y - style.underarm_drop
    if level < 0.0:
        raise DraftingError(
            f"style.underarm_drop: {style.underarm_drop:g} mm below the bust line lies below the "
            f"waist; at most {side.y:.0f} mm here, or choose the bat sleeve"
        )
    if level + length < 40.0:
        raise DraftingError(
            f"style.underarm_drop: the underarm point lies {level + length:.0f} mm above the hem; "
            "raise it or make the top longer, to 40 mm at least"
        )
    return Point(side_x, level)


def _cut_off(wrist: Point, along: Point, corner: Point, end: Point) -> Point:
    """Where the square to the overarm at the wrist meets the line from corner to `end`."""
    line = end - corner
    whole = along.dot(line)
    if whole < 1e-9:
        return end
    return corner + max(along.dot(wrist - corner) / whole, 0.0) * line


def _underarm_end(wrist: Point, along: Point, corner: Point, squared: Point, bat: bool) -> Point:
    """The end of the underarm; the corner for a cap."""
    past = squared.x > corner.x + 10.0
    if past and abs(_taper(along, squared, corner)) <= (STEEPEST_BAT if bat else STEEPEST_UNDERARM):
        return _squared_to_both(distance(wrist, squared), along, squared, corner)
    if past and bat:
        raise DraftingError(
            "style.sleeve: the seam from the waist to the end of this sleeve is too steep for a "
            "bat sleeve; make the sleeve longer, the lift lower, or choose the dolman"
        )
    lean, rise = corner.x - wrist.x, wrist.y - corner.y
    if bat or lean > WIDEST_OPENING_LEAN * rise:
        raise DraftingError(
            f"style.sleeve: the wrist at {wrist.x:.0f} mm does not reach past the side seam at "
            f"{corner.x:.0f} mm; make the sleeve longer or the side ease smaller"
        )
    return corner


def _taper(along: Point, squared: Point, corner: Point) -> float:
    """How far the underarm turns towards the overarm, radians; positive where it narrows."""
    towards = (squared - corner).unit
    return math.atan2(along.cross(towards), along.dot(towards))


def _squared_to_both(depth: float, along: Point, squared: Point, corner: Point) -> Point:
    """The end of the underarm, lengthened so that a curve can meet both arm seams squarely.

    A wrist curve square to the overarm and to the underarm is an arc about the point where the
    two would meet, so that both ends are equally far from it. With depth h and taper t between
    the seams, the underarm grows by h (1 - cos t) / sin t = h tan(t / 2).
    """
    taper = _taper(along, squared, corner)
    return squared + depth * math.tan(taper / 2) * (squared - corner).unit


def _depth_around(wrist: Point, along: Point, corner: Point, wanted: float) -> float:
    """How deep the wrist is squared for an end that is `wanted` long, by halving.

    The arc about the meeting point is h t / tan t long; it grows with h, as t falls.
    """
    low, high = wanted, 3.0 * wanted
    for _ in range(50):
        depth = (low + high) / 2
        taper = _taper(along, wrist - depth * along.left, corner)
        short = depth * abs(taper) < wanted * abs(math.tan(taper))
        low, high = (depth, high) if short else (low, depth)
    return (low + high) / 2


def _side_hem(side_x: float, length: float, style: Style) -> Point:
    """The side seam's end: flared outward, as long as the centre from the waist, then raised."""
    if style.flare > 0.9 * length:
        raise DraftingError(
            f"style.flare: {style.flare:g} mm is too much over a length of {length:.0f} mm; "
            f"at most {0.9 * length:.0f} mm, or make the top longer"
        )
    # A seam that swings outward from the vertical is longer than its drop.
    swing = math.sqrt(length * length - style.flare * style.flare)
    most = swing - 0.4 * length
    if style.side_rise > max(most, 0.0):
        raise DraftingError(
            f"style.side_rise: {style.side_rise:g} mm is too much over a length of "
            f"{length:.0f} mm with a flare of {style.flare:g} mm; at most {max(most, 0.0):.0f} mm, "
            "or make the top longer"
        )
    return Point(side_x + style.flare, -swing + style.side_rise)


def _curve_ends(corner: Point, underarm: Point, hem: Point, style: Style) -> tuple[Point, Point]:
    if underarm == corner or style.sleeve_kind == "bat":
        return corner, corner
    reach = min(style.curve_reach, 0.45 * distance(corner, underarm))
    room = (0.5 if style.flare else 0.9) * (corner.y - hem.y)
    start = Point(corner.x, corner.y - min(reach, room))
    return start, corner + reach * (underarm - corner).unit
