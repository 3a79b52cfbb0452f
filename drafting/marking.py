"""What is marked on back and front: notches, waist level, kept darts, grain.

Three notches on the underarm curve, one on the overarm at the shoulder, one at each hem: common
practice, no source. The waist level is carried onto the pieces as a line and a notch.
"""

from __future__ import annotations

from typing import Literal

from drafting.bodice import HalfBlock
from drafting.contour import has_curve
from drafting.curves import Line, Segment, length, point_at, split
from drafting.darts import Dart
from drafting.dolman import Plan, is_cap
from drafting.edge import Edge, edge_length
from drafting.marks import Drill, Grain, InnerLine, Mark, Notch
from drafting.plane import Point, distance
from drafting.style import Style

__all__ = ["contour_marks"]

NEAR = 2.0
"""Two notches nearer to each other than this, mm, would be one slit."""

BELOW_WAIST = 120.0
"""A kept waist dart ends this far below the waist, or 40 mm above the hem; from memory."""


def contour_marks(
    name: Literal["back", "front"],
    edges: tuple[Edge, ...],
    half: HalfBlock,
    plan: Plan,
    style: Style,
) -> tuple[Mark, ...]:
    """All marks but the label of a piece whose edges are the shared contour and its neckline."""
    waist = _waist(edges, plan)
    marks: list[Mark] = list(_notches(name, edges, plan, waist))
    if waist is not None:
        level = Line(Point(0.0, 0.0), waist[2])
        marks.append(InnerLine("waist", (level,)))
    if style.waist_darts == "kept":
        for number, dart in enumerate(half.darts, 1):
            marks += _dart_marks(dart, number, plan)
    return (*marks, _grain(plan))


def _notches(
    name: str, edges: tuple[Edge, ...], plan: Plan, waist: tuple[str, float, Point] | None
) -> tuple[Notch, ...]:
    kind: Literal["single", "double"] = "double" if name == "back" else "single"
    present = {edge.name: edge for edge in edges}
    places = [("overarm", distance(plan.overarm_wrist, plan.shoulder), "shoulder")]
    if has_curve(plan):
        curve = length(present["underarm"].segments[0])
        places += [
            ("underarm", 0.0, "curve start"),
            ("underarm", curve / 2, "curve middle"),
            ("underarm", curve, "curve end"),
        ]
    seam = "side" if "side" in present else "underarm"
    places += [(seam, 0.0, "body hem"), ("overarm", 0.0, "wrist hem")]
    if is_cap(plan):
        places.append(("side", edge_length(present["side"]), "opening"))
    if waist is not None:
        edge, along, _ = waist
        taken = [at for name_of, at, _ in places if name_of == edge]
        if all(abs(along - at) > NEAR for at in taken):
            places.append((edge, along, "waist"))
    return tuple(Notch(edge, along, kind, what) for edge, along, what in places)


def _waist(edges: tuple[Edge, ...], plan: Plan) -> tuple[str, float, Point] | None:
    """Where the waist meets the outer contour: edge, distance along it, point."""
    if plan.hem_centre.y > -NEAR:
        return None
    for edge in edges:
        if edge.name not in ("side", "underarm"):
            continue
        along = 0.0
        for segment in edge.segments:
            if segment.start.y <= 0.0 < segment.end.y:
                at, before = _crossing(segment)
                return edge.name, along + before, at
            along += length(segment)
    return None


def _crossing(segment: Segment) -> tuple[Point, float]:
    """Where a rising segment passes y = 0, and how far along it that is."""
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if point_at(segment, middle).y < 0.0 else (low, middle)
    if high < 1e-9:
        return segment.start, 0.0
    point = point_at(segment, high)
    before = length(split(segment, high)[0]) if high < 1.0 else length(segment)
    return Point(point.x, 0.0), before


def _dart_marks(dart: Dart, number: int, plan: Plan) -> list[Mark]:
    """Legs from the tip to the waist and, below it, to a second tip: drilled at both."""
    name = f"waist dart {number}"
    foot = -min(BELOW_WAIST, -plan.hem_centre.y - 40.0)
    marks: list[Mark] = [Drill(dart.tip, name)]
    legs: tuple[Segment, ...] = (Line(dart.inner, dart.tip), Line(dart.tip, dart.outer))
    if foot < -40.0:
        end = Point(dart.tip.x, foot)
        legs = (*legs, Line(dart.outer, end), Line(end, dart.inner))
        marks.append(Drill(end, name))
    marks.append(InnerLine(name, legs))
    return marks


def _grain(plan: Plan) -> Grain:
    middle, hem = plan.side_hem.x / 2, min(plan.side_hem.y, plan.hem_centre.y)
    top = max(plan.curve_start.y + 60.0, 150.0)
    low = hem + min(80.0, 0.25 * (top - hem))
    return Grain(Point(middle, low), Point(middle, top))
