"""What a careful cutter would notice about back and front before cutting."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from drafting.bodice import Block
from drafting.body import Body
from drafting.chains import chain_length
from drafting.darts import dart_width
from drafting.dolman import Plan
from drafting.edge import edge_length, flattened_edge, tangent_along
from drafting.finding import Finding, judged
from drafting.halving import narrowed
from drafting.lengths import HEM_PARTS, arm_girth, body_length, sleeve_length
from drafting.neckline import neckline
from drafting.piece import Piece, edge_named
from drafting.style import RANGES, Style

__all__ = ["findings_of", "lower_front_for_head"]

ARM_EASE = 20.0
"""A closed sleeve end is at least so much wider than the arm there; from memory."""


def findings_of(
    body: Body, block: Block, plan: Plan, style: Style, pieces: tuple[Piece, Piece]
) -> tuple[Finding, ...]:
    """Findings on the back and the front of one garment."""
    back, front = pieces
    present = {edge.name for edge in back.edges}
    seams = [name for name in ("overarm", "underarm", "side") if name in present]
    return (
        *(_equal(back, front, name) for name in seams),
        *(finding for piece in pieces for finding in _corners(piece, style)),
        _neck(body, block, plan, style, pieces),
        *_sleeve_end(body, style, back),
        _hip(body, back),
        *_waist(body, block, style, back),
        *_deep_hem(back),
    )


def _equal(back: Piece, front: Piece, name: str) -> Finding:
    lengths = [edge_length(edge_named(piece, name)) for piece in (back, front)]
    return judged(
        abs(lengths[0] - lengths[1]) <= 0.1,
        f"{name} of back and front",
        f"{lengths[0]:.1f} and {lengths[1]:.1f} mm",
        "equal",
        "Redraw the longer one: seams that differ will twist.",
        "stop",
    )


def _corners(piece: Piece, style: Style) -> list[Finding]:
    bent = {("side", "underarm"), ("hem", "underarm")}
    if style.neckline == "v" and piece.name == "front":
        bent.add(("neckline", "centre"))
    names = [edge.name for edge in piece.edges]
    return [
        _square(piece, first, second)
        for first, second in pairwise((*names, names[0]))
        if (first, second) not in bent
    ]


def _square(piece: Piece, first: str, second: str) -> Finding:
    before, after = edge_named(piece, first), edge_named(piece, second)
    into, out = tangent_along(before, edge_length(before)), tangent_along(after, 0.0)
    angle = 180.0 - math.degrees(math.atan2(into.cross(out), into.dot(out)))
    return judged(
        abs(angle - 90.0) <= 0.5,
        f"{piece.name}: corner of {first} and {second}",
        f"{angle:.1f} degrees",
        "90 degrees",
        "Square it, or the seam will show a peak or a dip there.",
    )


def _neck(
    body: Body, block: Block, plan: Plan, style: Style, pieces: tuple[Piece, Piece]
) -> Finding:
    opening = 2 * sum(edge_length(edge_named(piece, "neckline")) for piece in pieces)
    wanted = body.head / (1.0 + style.neck_stretch)
    fine = opening >= wanted
    advice = ""
    if not fine:
        # A slit of this depth opens by twice its length: published rule.
        slit = f"leave an opening of {(wanted - opening) / 2:.0f} mm"
        lower = lower_front_for_head(body, block, plan, style)
        advice = (
            f"Lower the front by {lower:.0f} mm more, or {slit}."
            if lower is not None
            else f"Widen the neck as well as lowering it, or {slit}."
        )
    return judged(
        fine,
        "neckline and head",
        f"{opening:.0f} mm around",
        f"at least {wanted:.0f} mm to pass a head of {body.head:.0f} mm",
        advice,
    )


def lower_front_for_head(body: Body, block: Block, plan: Plan, style: Style) -> float | None:
    """How much lower the centre front must be for the head to pass, whole mm upwards.

    0 where it passes already; None where even the lowest front is not enough.
    """
    wanted = body.head / (1.0 + style.neck_stretch)
    back = chain_length(neckline(block, plan, style, "back"))

    def short(lower: float) -> float:
        lowered = replace(style, front_lower=lower)
        front = chain_length(neckline(block, plan, lowered, "front"))
        return wanted - 2 * (back + front)

    low, high = style.front_lower, RANGES["front_lower"][1]
    if short(low) <= 0.0:
        return 0.0
    if short(high) > 0.0:
        return None
    # A lower front makes a longer neckline.
    _, high = narrowed(lambda lower: short(lower) > 0.0, low, high, 0.25)
    return float(math.ceil(high - style.front_lower))


def _sleeve_end(body: Body, style: Style, piece: Piece) -> tuple[Finding, ...]:
    around = 2 * edge_length(edge_named(piece, "wrist"))
    sleeve = sleeve_length(body, style)
    arm = arm_girth(body, sleeve) + ARM_EASE
    wanted = max(body.hand, arm)
    what = f"the hand's {body.hand:.0f} mm" if body.hand >= arm else f"{arm:.0f} mm for the arm"
    passing = judged(
        around >= wanted - 0.5,
        "wrist and hand" if body.hand >= arm else "sleeve end and arm",
        f"{around:.0f} mm around",
        f"at least {what}",
        "Widen the wrist, or leave it open for a few centimetres.",
    )
    asked = style.wrist_width
    seamed = any(edge.name == "underarm" for edge in piece.edges)
    if asked is not None and seamed and around < 0.9 * asked:
        return (
            passing,
            Finding(
                "note",
                "sleeve end and the width asked for",
                f"{around:.0f} mm around",
                f"{asked:.0f} mm, squared across the overarm",
                "The sleeve tapers strongly there. To get the width along the finished end, "
                "set wrist_measured: around.",
            ),
        )
    return (passing,)


def _hip(body: Body, piece: Piece) -> Finding:
    level = -HEM_PARTS["hip"] * body.height
    hem = edge_named(piece, "hem")
    reaches = hem.segments[0].start.y <= 0.75 * level
    level = max(level, hem.segments[-1].end.y)
    around = 4 * _width_at(piece, level)
    return judged(
        around >= body.hip or not reaches,
        "hem and hip",
        f"{around:.0f} mm around" + ("" if reaches else ", above the hip"),
        f"at least the hip's {body.hip:.0f} mm" if reaches else "nothing",
        "Add side ease or flare, or shorten the top above the hip.",
    )


def _width_at(piece: Piece, level: float) -> float:
    """How far the outer contour stands from the centre at a level, mm; the side before all."""
    for edge in piece.edges:
        if edge.name not in ("side", "underarm"):
            continue
        for a, b in pairwise(flattened_edge(edge, 0.1)):
            if a.y <= level <= b.y and b.y > a.y:
                return a.x + (b.x - a.x) * (level - a.y) / (b.y - a.y)
    return edge_named(piece, "hem").segments[-1].end.x


def _waist(body: Body, block: Block, style: Style, piece: Piece) -> tuple[Finding, ...]:
    if style.waist_darts == "dropped" or body_length(body, style) == 0.0:
        return ()
    darts = sum(dart_width(dart) for half in (block.back, block.front) for dart in half.darts)
    around = 4 * _width_at(piece, 0.0) - 2 * darts
    wanted = body.waist + 20.0
    return (
        judged(
            around >= wanted,
            "waist with its darts sewn",
            f"{around:.0f} mm around",
            f"at least {wanted:.0f} mm, the waist and 20 mm",
            "Drop the waist darts, or add side ease.",
        ),
    )


def _deep_hem(piece: Piece) -> tuple[Finding, ...]:
    """A curved hem's cut edge is longer than the line it is sewn to, by allowance times turn."""
    hem = edge_named(piece, "hem")
    into, out = tangent_along(hem, 0.0), tangent_along(hem, edge_length(hem))
    excess = hem.allowance * math.atan2(into.cross(out), into.dot(out))
    if excess <= 4.0:
        return ()
    return (
        Finding(
            "note",
            f"{piece.name}: depth of the curved hem",
            f"the cut edge is {excess:.0f} mm longer than where it is sewn",
            "at most 4 mm to ease in",
            f"Turn up {max(4.0 / excess * hem.allowance, 8.0):.0f} mm, or face the hem.",
        ),
    )
