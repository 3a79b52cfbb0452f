"""How far the body hem rises when both arms are lifted: an estimate, not a measurement.

Model, in the plane of the shoulders. The arm turns about the shoulder joint, `JOINT_INWARD` inside
and `JOINT_BELOW` below the halfway shoulder tip. A sleeve end stays where it sits on the arm. As
the arm rises, the seam from the waist along the side and the underarm to the sleeve end is drawn
straight; where the straight way is longer than that seam, the side of the waist, and the hem with
it, must rise by the difference. At the waist the garment stands out as far as its girth lets it
around a body of the waist's depth.

Limits: no stretch, no friction, no cloth that folds at the shoulder; a wide sleeve end that
slides up the arm rises less, a narrow one on a belted garment strains instead of rising. The
raised shoulder itself (some centimetres at 90 degrees) is left out. Body proportions from memory.
Good for comparing lifts with each other; expect a few centimetres of error in the figure itself.
"""

from __future__ import annotations

import math
from dataclasses import replace

from drafting.bodice import Block
from drafting.body import Body
from drafting.contour import shared_edges
from drafting.dolman import Plan, dolman_plan, is_cap
from drafting.edge import edge_length
from drafting.errors import DraftingError
from drafting.finding import Finding
from drafting.halving import narrowed
from drafting.lengths import arm_girth, sleeve_length
from drafting.plane import Point, distance
from drafting.style import Style

__all__ = ["ANGLES_DEG", "hem_rise", "lowest_lift", "movement_finding", "rise_over_lift"]

ANGLES_DEG = (0.0, 30.0, 45.0, 60.0, 75.0, 90.0)
"""How far the arm is lifted from hanging, 90 level with the shoulder."""

JOINT_INWARD, JOINT_BELOW = 20.0, 30.0
"""Place of the shoulder joint from the halfway shoulder tip, mm; from memory."""

DEPTH_OVER_GIRTH = 1 / 7.6
"""Half the depth of a waist over its girth, an ellipse 0.72 as deep as wide; from memory."""

LEAST_ABOVE_TIP = 15.0
"""The lowest useful overarm passes so far above the halfway shoulder tip: common practice."""

ACCEPTED_RISE = 80.0
"""A hem that rises further than this bares the waist of a hip-length top; from memory."""


def hem_rise(body: Body, plan: Plan, style: Style, angle: float) -> float:
    """How far the hem rises at the side with both arms lifted by `angle` (radians, 0 hanging).

    A cap sleeve does not reach down the arm and lets the hem hang: 0.
    """
    if is_cap(plan):
        return 0.0
    return max(0.0, _straight_way(body, plan, style, angle) - _seam(plan, style))


def _seam(plan: Plan, style: Style) -> float:
    """From the waist along side and underarm to the sleeve end, mm."""
    underarm = next(edge for edge in shared_edges(plan, style) if edge.name == "underarm")
    # The side is vertical from the waist up; a curve that starts lower is counted from there.
    return plan.curve_start.y + edge_length(underarm)


def _straight_way(body: Body, plan: Plan, style: Style, angle: float) -> float:
    joint = plan.shoulder_tip + Point(-JOINT_INWARD, -JOINT_BELOW)
    along = sleeve_length(body, style)
    radius = arm_girth(body, along) / (2 * math.pi)
    down, inner = (
        Point(math.sin(angle), -math.cos(angle)),
        Point(-math.cos(angle), -math.sin(angle)),
    )
    sleeve_end = joint + (along + JOINT_INWARD) * down + radius * inner
    depth = body.waist * DEPTH_OVER_GIRTH
    reach = max(plan.side_waist.x**2 - depth**2, 0.0)
    return distance(Point(math.sqrt(reach), 0.0), sleeve_end)


def rise_over_lift(
    body: Body, block: Block, style: Style, lifts: tuple[float, ...], angles_deg: tuple[float, ...]
) -> tuple[tuple[float, ...], ...]:
    """Hem rise in mm: a row for each lift, a column for each angle (degrees).

    Raises `DraftingError` where the style cannot be drafted at one of the lifts.
    """
    rows = []
    for lift in lifts:
        lifted = replace(style, lift=lift)
        plan = dolman_plan(block, body, lifted)
        rows.append(
            tuple(hem_rise(body, plan, lifted, math.radians(angle)) for angle in angles_deg)
        )
    return tuple(rows)


def lowest_lift(
    body: Body, block: Block, style: Style, accepted: float, angle: float
) -> float | None:
    """The lowest lift whose hem rises by at most `accepted` mm at `angle` (radians), to 0.01.

    None where even the horizontal sleeve rises further.
    """

    def rise(lift: float) -> float:
        lifted = replace(style, lift=lift)
        return hem_rise(body, dolman_plan(block, body, lifted), lifted, angle)

    if rise(0.0) <= accepted:
        return 0.0
    if rise(1.0) > accepted:
        return None
    # The higher the sleeve, the longer its underarm.
    _, high = narrowed(lambda lift: rise(lift) > accepted, 0.0, 1.0, 0.005)
    return math.ceil(high * 100.0) / 100.0


def movement_finding(body: Body, block: Block, plan: Plan, style: Style) -> Finding:
    """What the lift means for movement; a warning below the lowest useful lift."""
    rises = [hem_rise(body, plan, style, math.radians(angle)) for angle in (45.0, 90.0)]
    along = plan.overarm_wrist - plan.neck_point
    at_tip = plan.neck_point.y + along.y / along.x * (plan.shoulder_tip.x - plan.neck_point.x)
    above = at_tip - plan.shoulder_tip.y
    measured = (
        f"the hem rises some {rises[0]:.0f} mm at 45 degrees and {rises[1]:.0f} mm at 90; "
        f"the overarm passes {above:.0f} mm above the shoulder tip"
    )
    wanted = f"at least {LEAST_ABOVE_TIP:.0f} mm above the shoulder tip, the lowest useful lift"
    if above < LEAST_ABOVE_TIP - 0.05:
        return Finding(
            "warning",
            "lift and movement",
            measured,
            wanted,
            f"Raise it: set above_shoulder_tip to {LEAST_ABOVE_TIP:.0f} mm, or the lift higher.",
        )
    if rises[1] <= ACCEPTED_RISE:
        return Finding("fine", "lift and movement", measured, wanted)
    try:
        lift = lowest_lift(body, block, style, ACCEPTED_RISE, math.radians(90.0))
    except DraftingError:
        lift = None
    advice = (
        f"From a lift of {lift:.2f} it rises at most {ACCEPTED_RISE:.0f} mm"
        if lift is not None
        else f"No lift keeps it below {ACCEPTED_RISE:.0f} mm"
    )
    help_with = "a higher underarm or a gusset helps as well."
    return Finding("note", "lift and movement", measured, wanted, f"{advice}; {help_with}")
