"""A closed outline taken apart at its corners, and notches cut into its edge taken out of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from drafting.curves import Line, Segment, end_tangents, length
from drafting.errors import DraftingError
from drafting.plane import Point, midpoint

__all__ = ["CORNER", "CutNotch", "runs", "runs_between", "without_notches"]

CORNER = math.radians(25.0)
"""Where the outline turns by more than this two edges meet (common practice, no source)."""

WIDEST = 9.0
DEEPEST = 16.0
SHALLOWEST = 2.0


@dataclass(frozen=True, slots=True)
class CutNotch:
    """A notch that was drawn or cut as part of the outline: its middle and its depth, mm."""

    place: Point
    depth: float
    double: bool = False


def runs(segments: Sequence[Segment], corner: float = CORNER) -> tuple[tuple[Segment, ...], ...]:
    """The outline as runs between its corners; one run when it has none.

    Parameters
    ----------
    segments
        A closed chain.
    corner
        The least turn of a corner, radians, 0.02 to 3.
    """
    if not 0.02 <= corner <= 3.0:
        raise DraftingError(f"a corner of {math.degrees(corner):.0f} degrees is not from 1 to 170")
    starts = [
        number
        for number, segment in enumerate(segments)
        if abs(_turn(segments[number - 1], segment)) >= corner
    ]
    if not starts:
        return (tuple(segments),)
    return _between(segments, starts)


def runs_between(
    segments: Sequence[Segment], corners: Sequence[Point]
) -> tuple[tuple[Segment, ...], ...]:
    """The outline as runs between stated corners, each at the nearest start of a segment."""
    starts = sorted(
        {min(range(len(segments)), key=lambda k: abs(segments[k].start - c)) for c in corners}
    )
    return _between(segments, starts)


def _between(segments: Sequence[Segment], starts: Sequence[int]) -> tuple[tuple[Segment, ...], ...]:
    made = []
    for low, high in zip(starts, (*starts[1:], starts[0] + len(segments)), strict=True):
        made.append(tuple(segments[k % len(segments)] for k in range(low, high)))
    return tuple(made)


def _turn(before: Segment, after: Segment) -> float:
    (_, into), (away, _) = end_tangents(before), end_tangents(after)
    return math.atan2(into.cross(away), into.dot(away))


def without_notches(
    segments: Sequence[Segment],
) -> tuple[tuple[Segment, ...], tuple[CutNotch, ...]]:
    """The outline without the small V cuts, slits and tabs in it, and where they were.

    A notch is two to four straight lines that leave the outline by 2 to 16 mm and come back
    within 9 mm of where they left, the outline going on in about the same direction.
    """
    left = list(segments)
    found: list[CutNotch] = []
    number = 0
    while number < len(left) and len(left) > 4:
        for count in (2, 3, 4):
            cut = _notch(left, number, count)
            if cut is None:
                continue
            found.append(cut)
            _mended(left, number, count)
            number = max(-1, number - 3)
            break
        number += 1
    return tuple(left), tuple(found)


def _notch(segments: Sequence[Segment], number: int, count: int) -> CutNotch | None:
    total = len(segments)
    part = [segments[(number + k) % total] for k in range(count)]
    before, after = segments[number - 1], segments[(number + count) % total]
    if not all(isinstance(s, Line) and length(s) <= 1.2 * DEEPEST for s in part):
        return None
    start, end = part[0].start, part[-1].end
    if abs(end - start) > WIDEST:
        return None
    base = midpoint(start, end)
    tips = [segment.end for segment in part[:-1]]
    depth = max(min(abs(tip - start), abs(tip - end)) for tip in tips)
    into, away = end_tangents(before)[1], end_tangents(after)[0]
    straight_on = into.dot(away) > math.cos(math.radians(35.0))
    aside = max(abs(into.cross(tip - base)) for tip in tips)
    if not straight_on or not SHALLOWEST <= depth <= DEEPEST or aside < 0.7 * SHALLOWEST:
        return None
    if min(length(before), length(after)) < abs(end - start):
        return None
    return CutNotch(base, aside)


def _mended(segments: list[Segment], number: int, count: int) -> None:
    """Close the outline over the notch: by running a straight edge on, or by a short line."""
    total = len(segments)
    places = [(number + k) % total for k in range(count)]
    start, end = segments[places[0]].start, segments[places[-1]].end
    bridge: list[Segment] = [Line(start, end)] if abs(end - start) > 1e-9 else []
    keep = [s for k, s in enumerate(segments) if k not in set(places)]
    at = number - sum(1 for k in places if k < number)
    keep[at:at] = bridge
    if not bridge and keep[at - 1].end != keep[at % len(keep)].start:
        keep[at - 1] = replace(keep[at - 1], end=keep[at % len(keep)].start)
    segments[:] = _merged(keep)


def _merged(segments: Sequence[Segment]) -> list[Segment]:
    """Straight lines that go on in the same direction become one."""
    made: list[Segment] = []
    for segment in segments:
        last = made[-1] if made else None
        if isinstance(segment, Line) and isinstance(last, Line):
            one, two = (last.end - last.start).unit, (segment.end - segment.start).unit
            if abs(one.cross(two)) < 1e-4 and one.dot(two) > 0.0:
                made[-1] = Line(last.start, segment.end)
                continue
        made.append(segment)
    return made
