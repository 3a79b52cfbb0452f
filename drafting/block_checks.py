"""What a careful cutter would notice about a bodice block, drafted or traced from a card.

The bands are those of several published block methods beside each other; see each finding.
"""

from __future__ import annotations

import math

from drafting.armhole import armhole, neckline_length
from drafting.bodice import Block, HalfBlock
from drafting.body import Body
from drafting.curves import end_tangents
from drafting.darts import dart_width, is_shapely
from drafting.finding import Finding, judged
from drafting.plane import Point, distance

__all__ = ["block_findings"]


def block_findings(block: Block, body: Body) -> tuple[Finding, ...]:
    """Findings on a block, each with measured, wanted and advice."""
    back, front = block.back, block.front
    return (
        _shoulders(back, front),
        _within(
            "block: half width",
            back.underarm.x + front.underarm.x,
            (body.bust / 2 + 40.0, body.bust / 2 + 70.0),
            "Move the side points: a block is 40 to 70 mm wider than half the bust.",
        ),
        _within(
            "block: armhole depth from the nape",
            back.centre_neck.y - back.underarm.y,
            _depth_band(body),
            "Raise or lower the underarm points.",
        ),
        _within(
            "block: back neck width",
            back.neck_point.x - back.centre_neck.x,
            (
                min(body.bust / 20 + 18.0, body.neck / 5 - 5.0),
                max(body.bust / 20 + 31.0, body.neck / 5),
            ),
            "Move the back neck point.",
        ),
        _slopes(back, front),
        _within(
            "block: neckline and neck girth",
            neckline_length(block),
            (body.neck - 5.0, body.neck * 1.02 + 5.0),
            "Lower or raise the front neck until it is the girth of the neck.",
        ),
        *_flows(back, front),
        _sides(back, front),
        *(_darts(name, half) for name, half in (("back", back), ("front", front)) if half.darts),
        *_front_length(block, body),
    )


def _within(subject: str, value: float, band: tuple[float, float], advice: str) -> Finding:
    low, high = band
    wanted = f"{low:.0f} to {high:.0f} mm"
    return judged(low <= value <= high, subject, f"{value:.0f} mm", wanted, advice)


def _depth_band(body: Body) -> tuple[float, float]:
    # B/10 + 105, B/12 + 137, B/6 + 60 and B/6 + 70 mm are published beside each other.
    bust = body.bust
    rules = (bust / 10 + 105.0, bust / 12 + 137.0, bust / 6 + 60.0, bust / 6 + 70.0)
    return min(rules) - 5.0, max(rules) + 5.0


def _equal(seams: str, lengths: tuple[float, float], advice: str) -> Finding:
    back, front = lengths
    measured = f"back {back:.1f} mm, front {front:.1f} mm"
    return judged(abs(back - front) <= 0.5, f"block: {seams}", measured, "equal", advice)


def _shoulders(back: HalfBlock, front: HalfBlock) -> Finding:
    return _equal(
        "shoulder seams",
        (
            distance(back.neck_point, back.shoulder_tip),
            distance(front.neck_point, front.shoulder_tip),
        ),
        "Move a shoulder tip along its shoulder until they are.",
    )


def _slopes(back: HalfBlock, front: HalfBlock) -> Finding:
    slopes = [math.degrees(-(half.shoulder_tip - half.neck_point).angle) for half in (back, front)]
    return judged(
        all(12.0 <= slope <= 28.0 for slope in slopes),
        "block: shoulder slopes",
        f"back {slopes[0]:.0f}, front {slopes[1]:.0f} degrees",
        "12 to 28 degrees; 18 and 22 are usual (from memory)",
        "Raise or lower the shoulder tips.",
    )


def _flows(back: HalfBlock, front: HalfBlock) -> tuple[Finding, ...]:
    """The armhole where back and front meet, laid together at shoulder and side seam."""
    found = []
    for name, at_end in (("shoulder", True), ("side seam", False)):
        bend = sum(_angle_to_seam(half, at_end) for half in (back, front)) - 180.0
        found.append(
            judged(
                abs(bend) <= 3.0,
                f"block: armhole across the {name}",
                f"bends by {abs(bend):.1f} degrees",
                "runs on smoothly",
                "Redraw it with the two seams laid together.",
            )
        )
    return tuple(found)


def _angle_to_seam(half: HalfBlock, at_shoulder: bool) -> float:
    lower, upper = armhole(half)
    if at_shoulder:
        curve = -end_tangents(upper)[1]
        seam = half.neck_point - half.shoulder_tip
    else:
        curve, seam = end_tangents(lower)[0], half.side_waist - half.underarm
    return _between(curve, seam)


def _between(a: Point, b: Point) -> float:
    return abs(math.degrees(math.atan2(a.cross(b), a.dot(b))))


def _sides(back: HalfBlock, front: HalfBlock) -> Finding:
    return _equal(
        "side seams",
        (distance(back.underarm, back.side_waist), distance(front.underarm, front.side_waist)),
        "Move an underarm point along its side seam until they are.",
    )


def _darts(name: str, half: HalfBlock) -> Finding:
    widths = [dart_width(dart) for dart in half.darts]
    return judged(
        all(is_shapely(dart) for dart in half.darts),
        f"block: waist darts of the {name}",
        " and ".join(f"{width:.0f} mm" for width in widths),
        "each at most 40 mm and a quarter as wide as long",
        "If they are sewn, take a part of the intake at the side seam instead.",
        "note",
    )


def _front_length(block: Block, body: Body) -> tuple[Finding, ...]:
    if "front_to_waist" in body.estimated:
        return ()
    longer = body.front_to_waist - block.front.neck_point.y
    return (
        judged(
            longer <= 40.0,
            "block: front length over the bust",
            f"the body's is {longer:.0f} mm longer than the flat front",
            "at most 40 mm longer, which an easy front gives",
            f"The front hem will hang {longer - 40.0:.0f} mm high; cut it lower.",
            "note",
        ),
    )
