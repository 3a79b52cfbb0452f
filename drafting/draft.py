"""From a body and a style to finished pieces."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from drafting.bodice import Block, HalfBlock, bodice
from drafting.body import Body
from drafting.checks import findings_of
from drafting.curves import Cubic, Line, Segment
from drafting.dolman import Plan, dolman_plan
from drafting.edge import Edge, edge_length
from drafting.finding import Finding
from drafting.marks import Grain, Label, Notch
from drafting.piece import Piece
from drafting.plane import Point, distance
from drafting.seams import Seam
from drafting.sewing import contour_seams
from drafting.slips import slips
from drafting.style import Style

__all__ = ["Draft", "draft"]


@dataclass(frozen=True, slots=True)
class Draft:
    """Everything computed for one garment of the named size. Back and front are on the fold.

    `seams` declares every pair of edges that are sewn together; `seams.walked_all` walks them.
    """

    body: Body
    style: Style
    block: Block
    plan: Plan
    pieces: tuple[Piece, ...]
    findings: tuple[Finding, ...]
    size: str = ""
    seams: tuple[Seam, ...] = ()


def draft(body: Body, style: Style, size: str = "") -> Draft:
    """Draft back and front. Raises `DraftingError` where the style cannot be made for the body."""
    block = bodice(body)
    plan = dolman_plan(block, body, style)
    pieces = tuple(
        _piece(name, half, plan, style, size, square, lower)
        for name, half, square, lower in (
            ("back", block.back, style.back_square, style.back_lower),
            ("front", block.front, style.front_square, style.front_lower),
        )
    )
    findings = (*slips(body), *findings_of(body, pieces, style.neck_stretch))
    return Draft(body, style, block, plan, pieces, findings, size, contour_seams(*pieces))


def _piece(
    name: str,
    half: HalfBlock,
    plan: Plan,
    style: Style,
    size: str,
    square: float,
    lower: float,
) -> Piece:
    centre = half.centre_neck - Point(0.0, lower)
    hem_centre = Point(0.0, plan.side_hem.y)
    curve = _underarm_curve(plan)
    underarm: tuple[Segment, ...] = (Line(plan.curve_end, plan.underarm_wrist),)
    underarm = (curve, *underarm) if curve is not None else underarm
    # A bat sleeve of a top that ends at the waist starts at the hem: no side seam is left.
    sided = distance(plan.side_hem, plan.curve_start) > 1e-6
    side = (Edge("side", (Line(plan.side_hem, plan.curve_start),), style.seam),) if sided else ()
    edges = (
        Edge("hem", (Line(hem_centre, plan.side_hem),), style.body_hem, "hem"),
        *side,
        Edge("underarm", underarm, style.seam),
        Edge("wrist", (_wrist(plan),), style.wrist_hem, "hem"),
        Edge("overarm", (Line(plan.overarm_wrist, plan.neck_edge),), style.seam),
        Edge("neckline", _neckline(plan, centre, square), style.neck_allowance, "neckline"),
        Edge("centre", (Line(centre, hem_centre),), 0.0, "fold"),
    )
    kind: Literal["single", "double"] = "double" if name == "back" else "single"
    curve_length = edge_length(Edge("curve", (curve,))) if curve is not None else 0.0
    overarm = distance(plan.overarm_wrist, plan.shoulder)
    places = [("overarm", overarm, "shoulder")]
    if curve is not None:
        places += [
            ("underarm", 0.0, "curve start"),
            ("underarm", curve_length / 2, "curve middle"),
            ("underarm", curve_length, "curve end"),
        ]
    places += [("side" if sided else "underarm", 0.0, "body hem"), ("overarm", 0.0, "wrist hem")]
    notches = tuple(Notch(edge, along, kind, what) for edge, along, what in places)
    middle = plan.side_hem.x / 2
    grain = Grain(Point(middle, plan.side_hem.y + 80.0), Point(middle, plan.curve_start.y + 60.0))
    label = Label(
        Point(middle / 2, plan.curve_start.y / 2),
        (f"{name} {size}".strip(), "cut 1 on the fold"),
    )
    return Piece(name, edges, (*notches, grain, label), size=size, fold_edge="centre")


def _underarm_curve(plan: Plan) -> Cubic | None:
    """A soft curve, tangent to the side seam and to the straight underarm."""
    if distance(plan.curve_start, plan.curve_end) < 1e-9:
        return None
    control_1 = plan.curve_start + 2 / 3 * (plan.corner - plan.curve_start)
    control_2 = plan.curve_end + 2 / 3 * (plan.corner - plan.curve_end)
    return Cubic(plan.curve_start, control_1, control_2, plan.curve_end)


def _wrist(plan: Plan) -> Segment:
    """From the underarm to the overarm, square to both (an arc's usual cubic)."""
    towards = (plan.underarm_wrist - plan.curve_end).unit
    along = (plan.overarm_wrist - plan.neck_point).unit
    taper = math.atan2(along.cross(towards), along.dot(towards))
    chord = distance(plan.underarm_wrist, plan.overarm_wrist)
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


def _neckline(plan: Plan, centre: Point, square: float) -> tuple[Segment, ...]:
    """From the overarm, square to it, to the centre, square to that for `square` mm."""
    start, end = plan.neck_edge, centre + Point(square, 0.0)
    inward = -(plan.overarm_wrist - plan.neck_point).unit.left
    reach = distance(start, end)
    curve = Cubic(start, start + 0.45 * reach * inward, end + Point(0.45 * reach, 0.0), end)
    if start.y - end.y < 0.45 * reach:  # a shallow neckline: shorter arms keep it from bulging
        drop = start.y - end.y
        curve = Cubic(
            start,
            start + 0.55 * drop * inward,
            end + Point(0.45 * (start.x - end.x), 0.0),
            end,
        )
    return (curve, Line(end, centre))
