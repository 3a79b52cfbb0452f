"""The neckline of a piece: from the overarm, square to it, to the centre.

Common practice, no source. Frame as in `bodice`, mm.
"""

from __future__ import annotations

from typing import Literal

from drafting.bodice import Block
from drafting.curves import Cubic, Line, Segment
from drafting.dolman import Plan
from drafting.neck_figures import neck_figures
from drafting.plane import Point, distance
from drafting.style import Style

__all__ = ["neckline"]

SHORTEST_ARM = 8.0
"""However shallow a neckline is, it leaves the overarm squarely for about so far."""


def neckline(
    block: Block, plan: Plan, style: Style, half: Literal["back", "front"]
) -> tuple[Segment, ...]:
    """The neckline of the back or the front, travelled from the overarm to the centre.

    It leaves the overarm squarely and, unless it is the point of a v, meets the centre squarely
    after a straight stretch of `back_square` or `front_square`.
    """
    figures = neck_figures(style)
    lower = figures.back_lower if half == "back" else figures.front_lower
    centre = getattr(block, half).centre_neck - Point(0.0, lower)
    inward = -(plan.overarm_wrist - plan.neck_point).unit.left
    if half == "front" and style.neckline == "v":
        return (_pointed(plan.neck_edge, inward, centre),)
    square = style.back_square if half == "back" else style.front_square
    end = centre + Point(min(square, 0.6 * plan.neck_edge.x), 0.0)
    scooped = half == "front" and style.neckline == "scoop"
    return (_rounded(plan.neck_edge, inward, end, 0.6 if scooped else 0.45), Line(end, centre))


def _rounded(start: Point, inward: Point, end: Point, arm: float) -> Cubic:
    reach, drop = distance(start, end), start.y - end.y
    if drop >= arm * reach:
        return Cubic(start, start + arm * reach * inward, end + Point(arm * reach, 0.0), end)
    # A shallow neckline: shorter arms keep it from bulging.
    down = max(0.55 * drop, min(SHORTEST_ARM, 0.3 * reach))
    return Cubic(start, start + down * inward, end + Point(0.45 * (start.x - end.x), 0.0), end)


def _pointed(start: Point, inward: Point, point: Point) -> Cubic:
    """Square to the overarm, then all but straight to the point of the v."""
    third = distance(start, point) / 3
    near = start + third * inward
    return Cubic(start, near, point + third * (near - point).unit, point)
