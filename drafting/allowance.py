"""The cutting line: every edge of the seam line carried outward by its own allowance.

A strip of the edge's allowance is laid along the outside of each edge and a corner is filled
between two strips; the boundary of all of it together is the cutting line. A union has no
loops, however tight a curve bends inward.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import shapely

from drafting.curves import end_tangents, flattened, point_at, tangent_at
from drafting.edge import Edge, end_of, point_along, start_of, tangent_along
from drafting.edge import edge_length as length_of
from drafting.errors import DraftingError
from drafting.marks import Notch
from drafting.piece import Piece, edge_named, notches_of, seam_polygon
from drafting.plane import Point, distance

__all__ = ["MITRE_LIMIT", "cutting_line", "notch_lines"]

MITRE_LIMIT = 4.0
"""A corner longer than this many times the wider allowance is cut straight across."""

OVERLAP = 1e-7


def cutting_line(piece: Piece, tolerance: float) -> tuple[Point, ...]:
    """Points of the cutting line within `tolerance` mm, closed, counter-clockwise.

    The first point is not repeated. A fold edge stays exactly on the fold. At a hem the
    neighbouring cutting line is mirrored in the hem's seam line, so that the hem lies flat
    when it is turned up; at every other corner both cutting lines run on until they meet,
    within `MITRE_LIMIT`.

    Raises `DraftingError` when the piece falls apart, which a closed piece cannot.
    """
    parts: list[shapely.Geometry] = [seam_polygon(piece, tolerance / 8)]
    for before, after in zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True):
        if before.allowance > 0.0:
            parts.append(_strip(before, tolerance))
        corner = _corner(before, after)
        if corner is not None:
            parts.append(corner)
    # The hair's breadth closes the seams of the union that rounding leaves open.
    whole: shapely.Geometry = (
        shapely.union_all(parts)
        .buffer(OVERLAP, join_style="mitre")
        .buffer(-OVERLAP, join_style="mitre")
    )
    if piece.fold_edge is not None:
        fold = edge_named(piece, piece.fold_edge)
        whole = shapely.intersection(whole, _inner_side(fold, whole))
    if not isinstance(whole, shapely.Polygon):
        raise DraftingError(f"piece {piece.name!r}: its cutting line falls apart")
    ring = shapely.simplify(whole.exterior, tolerance / 100)
    if not ring.is_ccw:
        ring = ring.reverse()
    return tuple(Point(x, y) for x, y in ring.coords[:-1])


def notch_lines(piece: Piece) -> tuple[tuple[Notch, Point, Point], ...]:
    """Each notch with its point on the seam line and, square to it, on the cutting line.

    Where the edge has no allowance both points are the same.
    """
    lines = []
    for notch in notches_of(piece):
        edge = edge_named(piece, notch.edge)
        along = min(notch.along, length_of(edge))
        seam = point_along(edge, along)
        lines.append((notch, seam, seam + edge.allowance * _outward(tangent_along(edge, along))))
    return tuple(lines)


def _outward(tangent: Point) -> Point:
    # Edges run counter-clockwise, so that outside lies to the right of travel.
    return -tangent.left


def _strip(edge: Edge, tolerance: float) -> shapely.Geometry:
    """What the allowance covers as it is swept along the edge on its outward normals."""
    quads = []
    for segment in edge.segments:
        # The outer side of a bend is longer than the seam line, hence the finer steps.
        steps = len(flattened(segment, tolerance / 8)) - 1
        inner = [point_at(segment, i / steps) for i in range(steps + 1)]
        outer = [
            point + edge.allowance * _outward(tangent_at(segment, i / steps))
            for i, point in enumerate(inner)
        ]
        for i in range(steps):
            quad = (inner[i], inner[i + 1], outer[i + 1], outer[i])
            quads.append([(p.x, p.y) for p in quad])
    for before, after in pairwise(edge.segments):
        # A bend between two segments of one edge leaves a wedge open on its outer side.
        corner, (_, first), (second, _) = after.start, end_tangents(before), end_tangents(after)
        leave, enter = (corner + edge.allowance * _outward(t) for t in (first, second))
        meet = _meeting(leave, first, enter, second)
        if first.cross(second) > 1e-9:
            tip = (
                corner
                if meet is None or distance(corner, meet) > MITRE_LIMIT * edge.allowance
                else meet
            )
            quads.append([(p.x, p.y) for p in (corner, leave, tip, enter)])
    return shapely.union_all(shapely.convex_hull(shapely.multipoints(np.array(quads))))


def _corner(before: Edge, after: Edge) -> shapely.Geometry | None:
    """What fills the outside of the corner between two strips; None when nothing does."""
    corner = end_of(before)
    first, second = tangent_along(before, length_of(before)), tangent_along(after, 0.0)
    if first.cross(second) < 1e-9 or max(before.allowance, after.allowance) == 0.0:
        return None
    leave = corner + before.allowance * _outward(first)
    enter = corner + after.allowance * _outward(second)
    middle: list[Point]
    if after.role == "hem" and before.role != "hem":
        middle = _mirrored(corner, leave, first, enter, second)
    elif before.role == "hem" and after.role != "hem":
        middle = _mirrored(corner, enter, -second, leave, -first)[::-1]
    else:
        meet = _meeting(leave, first, enter, second)
        reach = MITRE_LIMIT * max(before.allowance, after.allowance)
        middle = [meet] if meet is not None and distance(corner, meet) <= reach else []
    ring = shapely.Polygon([(p.x, p.y) for p in (corner, leave, *middle, enter)])
    return shapely.make_valid(ring) if ring.area > 0.0 else None


def _mirrored(corner: Point, side: Point, into: Point, hem: Point, along: Point) -> list[Point]:
    """From the side's cutting line at the hem's seam line to the hem's cutting line."""
    turn = _meeting(side, into, corner, along)
    if turn is None:
        return []
    back = 2.0 * into.dot(along) * along - into  # `into`, mirrored in the hem's seam line
    foot = _meeting(turn, -back, hem, along)
    return [turn] if foot is None else [turn, foot]


def _meeting(a: Point, along_a: Point, b: Point, along_b: Point) -> Point | None:
    """Where two lines meet; None when they run within about half a degree of parallel."""
    across = along_a.cross(along_b)
    if abs(across) < 0.01:
        return None
    return a + ((b - a).cross(along_b) / across) * along_a


def _inner_side(fold: Edge, whole: shapely.Geometry) -> shapely.Polygon:
    start, end = start_of(fold), end_of(fold)
    along = (end - start).unit
    low_x, low_y, high_x, high_y = shapely.bounds(whole)
    reach = 2.0 * (math.hypot(high_x - low_x, high_y - low_y) + 1.0)
    corners = (
        start - reach * along,
        end + reach * along,
        end + reach * along + reach * along.left,
        start - reach * along + reach * along.left,
    )
    return shapely.Polygon([(p.x, p.y) for p in corners])
