"""A chain of segments carried sideways, kept as curves."""

from __future__ import annotations

from drafting.curves import (
    Cubic,
    Line,
    Segment,
    curvature_at,
    point_at,
    split,
    tangent_at,
)
from drafting.errors import DraftingError

__all__ = ["parallel"]

PARTS = 16


def parallel(segments: tuple[Segment, ...], aside: float) -> tuple[Segment, ...]:
    """The chain `aside` mm to its left; for chains whose segments run into each other smoothly.

    A curve is carried out in sixteen parts, each with the ends and end directions of the true
    parallel and its speed there, 1 - aside * curvature times that of the curve: within 0.02 mm
    for curves as long as a neckline. Raises `DraftingError` where a bend is tighter than that.
    """
    carried: list[Segment] = []
    for segment in segments:
        if isinstance(segment, Line):
            shift = aside * (segment.end - segment.start).unit.left
            carried.append(Line(segment.start + shift, segment.end + shift))
            continue
        rest: Segment = segment
        for number in range(PARTS, 1, -1):
            part, rest = split(rest, 1.0 / number)
            carried.append(_carried(part, aside))
        carried.append(_carried(rest, aside))
    # Ends of neighbours differ by rounding; one point serves both.
    joined: list[Segment] = [carried[0]]
    for after in carried[1:]:
        start = joined[-1].end
        if isinstance(after, Line):
            joined.append(Line(start, after.end))
        else:
            joined.append(Cubic(start, after.control_1, after.control_2, after.end))
    return tuple(joined)


def _carried(segment: Segment, aside: float) -> Cubic:
    assert isinstance(segment, Cubic)
    ends, arms = [], []
    for t, arm in (
        (0.0, segment.control_1 - segment.start),
        (1.0, segment.control_2 - segment.end),
    ):
        stretch = 1.0 - aside * curvature_at(segment, t)
        if stretch <= 0.0:
            raise DraftingError(f"a bend is tighter than the {abs(aside):g} mm it is carried aside")
        ends.append(point_at(segment, t) + aside * tangent_at(segment, t).left)
        arms.append(stretch * arm)
    return Cubic(ends[0], ends[0] + arms[0], ends[1] + arms[1], ends[1])
