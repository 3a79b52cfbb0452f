"""How a piece moves on the cloth: by hand, by steps, to grain, fold, edges and neighbours."""

from __future__ import annotations

import math

import shapely

from drafting.plane import Motion, Point
from projector.cloth.cloth import usable_span
from projector.cloth.layout import Layout, Placement
from projector.cloth.shapes import AS_DRAWN, moved_shape
from projector.stage.outlines import outlines

__all__ = [
    "middle_of",
    "mirrored",
    "moved",
    "on_fold",
    "on_grain",
    "put",
    "snapped",
    "snapped_angle",
    "turned",
]

SNAP = 4.0
"""A piece this many mm from an edge of the cloth or from a neighbour snaps to it."""
SNAP_ANGLE = math.radians(3.0)
"""A piece turned by hand to within this of the grain snaps to it."""


def middle_of(layout: Layout, placement: Placement) -> Point:
    """The middle of a placed piece, about which it turns: cloth frame, mm."""
    centre = outlines(layout)[placement.piece].shape.centroid
    return placement.cloth_from_piece(Point(centre.x, centre.y))


def held_to_fold(layout: Layout, placement: Placement) -> bool:
    """Whether the piece can only slide along the fold."""
    return outlines(layout)[placement.piece].held


def moved(layout: Layout, placement: Placement, dx: float, dy: float) -> Motion:
    """Moved by so many mm; along the fold only where the piece lies on it."""
    motion = placement.cloth_from_piece
    across = 0.0 if held_to_fold(layout, placement) else dy
    return Motion(motion.angle, motion.dx + dx, motion.dy + across, motion.mirrored)


def turned(layout: Layout, placement: Placement, angle: float) -> Motion:
    """Turned about its middle, radians; a piece on the fold stays as it is."""
    if held_to_fold(layout, placement):
        return placement.cloth_from_piece
    return _about(placement.cloth_from_piece, angle, middle_of(layout, placement))


def on_grain(layout: Layout, placement: Placement) -> Motion:
    """Turned by the least angle onto the grain of the cloth, one way or the other."""
    back = math.remainder(AS_DRAWN - placement.cloth_from_piece.angle, math.pi)
    turn = turned(layout, placement, back)
    quarters = round(turn.angle / (math.pi / 2))
    # Exactly on the grain, so that it stays there however often it is turned away and back.
    exact = Motion(quarters * math.pi / 2, turn.dx, turn.dy, turn.mirrored)
    return placement.cloth_from_piece if held_to_fold(layout, placement) else exact


def on_fold(layout: Layout, placement: Placement) -> Motion:
    """With its fold edge on the fold; a piece without one is pushed up to the near edge.

    The near edge is the fold of folded cloth, the near selvage of flat cloth.
    """
    own, motion = outlines(layout)[placement.piece], placement.cloth_from_piece
    low, _ = usable_span(layout.cloth)
    if own.held:
        # As drawn, or its mirror turned end for end: whichever it was nearer to.
        angle = -AS_DRAWN if motion.mirrored else AS_DRAWN
        middle = middle_of(layout, placement)
        bare = Motion(angle, 0.0, 0.0, motion.mirrored)
        centre = own.shape.centroid
        there = bare(Point(centre.x, centre.y))
        return Motion(angle, middle.x - there.x, 0.0, motion.mirrored)
    shape = moved_shape(own.shape, motion)
    return Motion(motion.angle, motion.dx, motion.dy + low - shape.bounds[1], motion.mirrored)


def mirrored(layout: Layout, placement: Placement) -> Motion:
    """Mirrored across its grain; a piece on the fold is turned end for end instead."""
    about = middle_of(layout, placement)
    if held_to_fold(layout, placement):
        return Motion(0.0, 2 * about.x, 0.0, True) @ placement.cloth_from_piece
    return Motion(math.pi, 0.0, 2 * about.y, True) @ placement.cloth_from_piece


def put(layout: Layout, placement: Placement, motion: Motion) -> Motion:
    """Put somewhere by hand: a piece on the fold keeps its fold edge there."""
    if not held_to_fold(layout, placement):
        return motion
    now = placement.cloth_from_piece
    return Motion(now.angle, motion.dx, now.dy, now.mirrored)


def snapped(layout: Layout, index: int, motion: Motion) -> Motion:
    """A motion of placement `index`, drawn to the edges of the cloth or to a neighbour within 4 mm.

    Edges come first: the cut end and the two usable edges. Otherwise the piece is pushed the
    shortest way until it just touches its nearest neighbour; it is not pulled out of one that it
    overlaps, which may be meant.
    """
    placement = layout.placements[index]
    held = held_to_fold(layout, placement)
    shape = moved_shape(outlines(layout)[placement.piece].shape, motion)
    low_x, low_y, _, high_y = shape.bounds
    low, high = usable_span(layout.cloth)
    dx = -low_x if abs(low_x) <= SNAP else 0.0
    dy = next((way for way in (low - low_y, high - high_y) if abs(way) <= SNAP), 0.0)
    dy = 0.0 if held else dy
    if dx == 0.0 and dy == 0.0:
        dx, dy = _to_neighbour(layout, index, shape, held)
    return Motion(motion.angle, motion.dx + dx, motion.dy + dy, motion.mirrored)


def _to_neighbour(
    layout: Layout, index: int, shape: shapely.Polygon, held: bool
) -> tuple[float, float]:
    left, bottom, right, top = shape.bounds
    known = outlines(layout)
    nearest, way = SNAP, (0.0, 0.0)
    for other, placement in enumerate(layout.placements):
        if other == index:
            continue
        # A bounding circle first: a lay has many pieces, and a hand waits for none of them.
        neighbour = known[placement.piece]
        at = placement.cloth_from_piece(neighbour.middle)
        reach = neighbour.radius + SNAP
        if not (left - reach < at.x < right + reach and bottom - reach < at.y < top + reach):
            continue
        there = moved_shape(neighbour.shape, placement.cloth_from_piece)
        line = shapely.shortest_line(shape, there)
        if 1e-9 < line.length < nearest:
            (x0, y0), (x1, y1) = line.coords
            if not held or abs(y1 - y0) < 1e-9:
                nearest, way = float(line.length), (x1 - x0, y1 - y0)
    return way


def snapped_angle(angle: float) -> float:
    """An angle of a placement, radians, onto the grain where it is within 3 degrees of it."""
    off = math.remainder(angle - AS_DRAWN, math.pi)
    return angle - off if abs(off) <= SNAP_ANGLE else angle


def _about(motion: Motion, angle: float, about: Point) -> Motion:
    turn = Motion(angle)
    shift = about - turn(about)
    return Motion(angle, shift.x, shift.y) @ motion
