"""Cloth longer than the light: sections, their registration crosses, and the take-up after a slide.

The worker slides the cloth by hand, never quite straight. Before she does, she chalks the two
crosses that lie where this section and the next overlap. After it, she puts the same two crosses,
lit again, onto her chalk marks, and the light follows the cloth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import shapely

from calibration.table_map import TableMap, lit_outline
from drafting.plane import Motion, Point, distance, midpoint
from projector.cloth.cloth import Cloth, usable_span
from projector.errors import ProjectorError

__all__ = [
    "LARGE_LEFTOVER",
    "TakenUp",
    "crosses",
    "lit_window",
    "section_step",
    "taken_up",
]

OVERLAP = 0.2
"""Part of the lit length that two sections share."""
INSET = 40.0
"""Least distance of a cross from the edge of the light and of the cloth, mm."""
LARGE_LEFTOVER = 2.0
"""Half a leftover above this many mm is told as a fault: a mark is wrong, or the cloth stretched
(common practice, no source)."""


@dataclass(frozen=True, slots=True)
class TakenUp:
    """What a take-up found.

    Parameters
    ----------
    table_from_cloth
        Where the cloth lies now.
    shift
        How far the middle of the two crosses moved, mm.
    twist
        How far the cloth is turned against before, radians.
    leftover
        How much further apart the chalk marks are than the crosses, mm; each cross misses its
        mark by half of it. A rigid motion cannot take it up.
    """

    table_from_cloth: Motion
    shift: float
    twist: float
    leftover: float


@lru_cache(maxsize=8)
def lit_window(table_map: TableMap) -> tuple[float, float, float, float]:
    """A rectangle inside the lit area, along the table's axes: low x, low y, high x, high y, mm.

    It is the lit outline's own rectangle for a projector that hangs straight; for a crooked one
    the bounding rectangle is drawn in until its corners are lit.
    """
    lit = shapely.Polygon(lit_outline(table_map)).buffer(1e-6)
    low_x, low_y, high_x, high_y = lit.bounds
    middle = lit.centroid
    inside, outside = 0.0, 1.0
    box = shapely.box(low_x, low_y, high_x, high_y)
    for _ in range(30):
        part = (inside + outside) / 2
        box = shapely.box(
            middle.x + part * (low_x - middle.x), middle.y + part * (low_y - middle.y),
            middle.x + part * (high_x - middle.x), middle.y + part * (high_y - middle.y),
        )  # fmt: skip
        if lit.covers(box):
            inside = part
        else:
            outside = part
    if lit.covers(shapely.box(low_x, low_y, high_x, high_y)):
        inside = 1.0
    return (
        middle.x + inside * (low_x - middle.x), middle.y + inside * (low_y - middle.y),
        middle.x + inside * (high_x - middle.x), middle.y + inside * (high_y - middle.y),
    )  # fmt: skip


def section_step(table_map: TableMap) -> float:
    """How far the cloth is slid from one section to the next, mm."""
    low_x, _, high_x, _ = lit_window(table_map)
    return (1.0 - OVERLAP) * (high_x - low_x)


def crosses(
    table_map: TableMap, cloth: Cloth, table_from_cloth: Motion, forward: bool
) -> tuple[Point, Point]:
    """The two crosses of the overlap with the next (or last) section, in the cloth frame, mm.

    They lie in the middle of the overlap, as far apart across the cloth as light and cloth allow.
    """
    low_x, low_y, high_x, high_y = lit_window(table_map)
    half = OVERLAP * (high_x - low_x) / 2
    x = high_x - half if forward else low_x + half
    near, far = (table_from_cloth.inverse(Point(x, y)) for y in (low_y, high_y))
    low, high = usable_span(cloth)
    bottom = max(low, min(near.y, far.y)) + INSET
    top = min(high, max(near.y, far.y)) - INSET
    if top - bottom < INSET:  # the cloth lies off the light: crosses in the light serve as well
        bottom, top = min(near.y, far.y) + INSET, max(near.y, far.y) - INSET
    along = (near.x + far.x) / 2
    return Point(along, bottom), Point(along, top)


def taken_up(
    table_from_cloth: Motion, marks: tuple[Point, ...], found: tuple[Point, ...]
) -> TakenUp:
    """The rigid motion that puts two crosses onto two chalk marks as well as can be.

    Parameters
    ----------
    table_from_cloth
        Where the cloth was thought to lie.
    marks
        The two crosses, cloth frame, mm.
    found
        Their chalk marks, table frame, mm.

    The motion sends the middle of the crosses to the middle of the marks and turns the line
    between them onto the line between the marks: the least-squares rigid fit of two points.

    Raises `ProjectorError` when the crosses or the marks are closer than 50 mm together, or the
    marks seem to be taken in the wrong order.
    """
    if len(marks) != 2 or len(found) != 2:
        raise ProjectorError("a take-up needs two crosses and their two chalk marks")
    lit = tuple(table_from_cloth(mark) for mark in marks)
    if distance(*lit) < 50.0 or distance(found[0], found[1]) < 50.0:
        raise ProjectorError("the two marks lie too close together to tell the twist of the cloth")
    turn = math.remainder((found[1] - found[0]).angle - (lit[1] - lit[0]).angle, 2 * math.pi)
    if abs(turn) > math.pi / 2:
        raise ProjectorError("the marks were taken in the wrong order; take up again, 1 then 2")
    old, new = midpoint(*lit), midpoint(found[0], found[1])
    shift = new - Motion(turn)(old)
    motion = Motion(turn, shift.x, shift.y) @ table_from_cloth
    leftover = distance(found[0], found[1]) - distance(*lit)
    return TakenUp(motion, distance(old, new), turn, leftover)
