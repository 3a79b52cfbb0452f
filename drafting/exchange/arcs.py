"""Arcs of circles and ellipses as cubic curves, within a stated tolerance."""

from __future__ import annotations

import math

from drafting.exchange.linework import Chain
from drafting.plane import Point

__all__ = ["ARC_TOLERANCE", "add_ellipse", "steps_of_arc"]

ARC_TOLERANCE = 0.005
"""How far the cubic curves may lie from the arc, mm."""


def steps_of_arc(radius: float, sweep: float, tolerance: float = ARC_TOLERANCE) -> int:
    """How many cubic curves keep an arc of `sweep` radians within `tolerance` mm.

    The usual curve with arms of 4/3 tan(angle/4) lies outside the arc by at most
    2/27 radius sin^6(angle/4) / cos^2(angle/4), here taken twice for safety (closed form).
    """
    steps = max(1, math.ceil(abs(sweep) / (math.pi / 2) - 1e-9))
    while steps < 10_000:
        quarter = abs(sweep) / steps / 4
        if 4 / 27 * radius * math.sin(quarter) ** 6 / math.cos(quarter) ** 2 <= tolerance:
            break
        steps += max(1, steps // 8)
    return steps


def add_ellipse(
    chain: Chain, centre: Point, major: Point, minor: Point, start: float, sweep: float
) -> None:
    """Add centre + cos(t) major + sin(t) minor, t from `start` by `sweep` radians."""
    steps = steps_of_arc(max(abs(major), abs(minor)), sweep)
    step = sweep / steps
    arm = 4 / 3 * math.tan(step / 4)

    def at(t: float) -> Point:
        return centre + math.cos(t) * major + math.sin(t) * minor

    def along(t: float) -> Point:
        return -math.sin(t) * major + math.cos(t) * minor

    for number in range(steps):
        a, b = start + number * step, start + (number + 1) * step
        chain.cubic(at(a), at(a) + arm * along(a), at(b) - arm * along(b), at(b))
