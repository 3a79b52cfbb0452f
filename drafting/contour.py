"""The edges that back and front share: hem, side, underarm, wrist and overarm.

Frame as in `bodice`, mm; edges run counter-clockwise, from the hem at the centre to the neck.
"""

from __future__ import annotations

import math

from drafting.curves import Cubic, Line, Segment, end_tangents
from drafting.dolman import Plan, is_cap
from drafting.edge import Edge
from drafting.plane import Point, distance
from drafting.style import Style

__all__ = ["has_curve", "shared_edges"]

FLARE_BEND = 0.3
"""The part of the flared side, from its top, within which it bends outward."""


def shared_edges(plan: Plan, style: Style) -> tuple[Edge, ...]:
    """The shared contour, seam by seam.

    A bat sleeve of a top that ends at the waist has no side, a cap sleeve no underarm.
    """
    side = _side(plan)
    edges = [Edge("hem", (_hem(plan, side),), style.body_hem, "hem")]
    if side:
        edges.append(Edge("side", side, style.seam))
    if not is_cap(plan):
        curve = _underarm_curve(plan)
        straight = Line(plan.curve_end, plan.underarm_wrist)
        underarm = (straight,) if curve is None else (curve, straight)
        edges.append(Edge("underarm", underarm, style.seam))
    edges.append(Edge("wrist", (_wrist(plan),), style.wrist_hem, "hem"))
    edges.append(Edge("overarm", (Line(plan.overarm_wrist, plan.neck_edge),), style.seam))
    return tuple(edges)


def has_curve(plan: Plan) -> bool:
    """Whether the underarm begins with a curve; that of a bat sleeve is straight."""
    return distance(plan.curve_start, plan.curve_end) > 1e-9


def _side(plan: Plan) -> tuple[Segment, ...]:
    """From the hem up to the underarm curve, vertical above the waist."""
    hem, top = plan.side_hem, plan.curve_start
    if distance(hem, top) < 1e-6:
        return ()
    if hem.x - top.x < 1e-9:
        return (Line(hem, top),)
    bend = Point(top.x, min(0.0, top.y))
    knee = Point(top.x, bend.y - FLARE_BEND * (bend.y - hem.y))
    flared = Cubic(hem, hem + 2 / 3 * (knee - hem), bend + 2 / 3 * (knee - bend), bend)
    return (flared,) if distance(bend, top) < 1e-6 else (flared, Line(bend, top))


def _hem(plan: Plan, side: tuple[Segment, ...]) -> Segment:
    """From the centre to the side, square to both."""
    centre, end = plan.hem_centre, plan.side_hem
    up = end_tangents(side[0])[0] if side else Point(0.0, 1.0)
    if abs(end.y - centre.y) < 1e-9 and up.x == 0.0:
        return Line(centre, end)
    width, into = end.x - centre.x, -up.left
    # Near the side only as far as keeps the hem from dipping below its centre.
    arm = 0.4 * width
    if into.y > 1e-9:
        arm = min(arm, max((end.y - centre.y) / into.y, 0.05 * width))
    return Cubic(centre, centre + Point(0.4 * width, 0.0), end - arm * into, end)


def _underarm_curve(plan: Plan) -> Cubic | None:
    """A soft curve, tangent to the side seam and to the straight underarm."""
    if not has_curve(plan):
        return None
    control_1 = plan.curve_start + 2 / 3 * (plan.corner - plan.curve_start)
    control_2 = plan.curve_end + 2 / 3 * (plan.corner - plan.curve_end)
    return Cubic(plan.curve_start, control_1, control_2, plan.curve_end)


def _wrist(plan: Plan) -> Segment:
    """From the underarm to the overarm, square to both (an arc's usual cubic)."""
    along = (plan.overarm_wrist - plan.neck_point).unit
    chord = distance(plan.underarm_wrist, plan.overarm_wrist)
    if is_cap(plan):
        # Square to the side seam for a little, then up into the overarm as an armhole runs.
        start, end = plan.underarm_wrist, plan.overarm_wrist
        inward = min(max(0.15 * chord + 0.4 * (start.x - end.x), 10.0), 0.3 * chord)
        # Where the shoulder reaches far beyond the side, square would first turn away from it and
        # then sweep across: the opening leaves along its chord instead.
        beyond = min(max(((end.x - start.x) / chord - 0.2) / 0.3, 0.0), 1.0)
        leaving = (1.0 - beyond) * Point(-inward, 0.0) + beyond / 3.0 * (end - start)
        return Cubic(start, start + leaving, end - 0.5 * chord * along.left, end)
    towards = (plan.underarm_wrist - plan.curve_end).unit
    taper = math.atan2(along.cross(towards), along.dot(towards))
    if abs(taper) < 1e-6:
        return Line(plan.underarm_wrist, plan.overarm_wrist)
    radius = chord / (2 * math.sin(abs(taper) / 2))
    handle = 4 / 3 * math.tan(abs(taper) / 4) * radius
    return Cubic(
        plan.underarm_wrist,
        plan.underarm_wrist + handle * towards.left,
        plan.overarm_wrist - handle * along.left,
        plan.overarm_wrist,
    )
