"""The cutting line: every edge of the seam line carried outward by its own allowance.

Each edge is carried out on its normals, neighbours are led into each other by the rule of their
corner, and the loops of bends tighter than the allowance are taken away.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely

from drafting.corner_cuts import (
    MITRE_LIMIT,
    Arm,
    Joined,
    at_fold,
    blunt,
    mirrored,
    mitred,
    squared,
)
from drafting.corners import Rule, usual_rule
from drafting.curves import Segment, end_tangents
from drafting.edge import Edge, edge_length, end_of, point_along, start_of, tangent_along
from drafting.errors import DraftingError
from drafting.marks import Notch
from drafting.offset import Path, loop_free, offset_segment, plane_number
from drafting.piece import Piece, edge_named, notches_of
from drafting.plane import Point, coordinates

__all__ = ["MITRE_LIMIT", "cut_run", "cutting_line", "notch_lines", "notch_strokes"]

NOTCH_TOLERANCE = 0.02
INWARD = 4.0
"""Length of a notch on an edge without an allowance, cut inward, mm; common practice, no source."""
APART = 6.0
"""Of the two snips of a double notch, mm; common practice, no source."""


@lru_cache(maxsize=256)
def cutting_line(piece: Piece, tolerance: float) -> tuple[Point, ...]:
    """Points of the cutting line within `tolerance` mm, closed, counter-clockwise, without loops.

    The first point is not repeated. A fold edge stays exactly on the fold. Corners follow
    `piece.corners`, else what the roles of their edges ask for (`corners.usual_rule`).

    Raises `DraftingError` when nothing is left, which a closed piece cannot bring about.
    """
    if tolerance <= 0.0:
        raise DraftingError(f"flattening tolerance {tolerance} mm must be positive")
    lines = [_carried_out(edge, tolerance) for edge in piece.edges]
    rules = {corner.after: corner.rule for corner in piece.corners}
    between: list[tuple[complex, ...]] = []
    for i, before in enumerate(piece.edges):
        j = (i + 1) % len(piece.edges)
        rule = rules.get(piece.edges[j].name) or usual_rule(before, piece.edges[j])
        lines[i], middle, lines[j] = _led(before, lines[i], piece.edges[j], lines[j], rule)
        between.append(middle)
    parts: list[Path] = []
    for edge, line, middle in zip(piece.edges, lines, between, strict=True):
        if edge.role != "fold":  # its ends are those of the lines beside it
            parts.append(line)
        parts.append(np.array(middle, dtype=np.complex128))
    freed = loop_free(np.concatenate(parts))
    if freed is None:
        raise DraftingError(f"piece {piece.name!r}: nothing is left inside its cutting line")
    return tuple(Point(p.real, p.imag) for p in freed.tolist())


def _carried_out(edge: Edge, tolerance: float) -> Path:
    """The cutting line of one edge from its start to its end; corners inside it are mitred."""
    line = offset_segment(edge.segments[0], edge.allowance, tolerance)
    for before, after in pairwise(edge.segments):
        first = _arriving(before, line, edge.allowance)
        second = _leaving(after, offset_segment(after, edge.allowance, tolerance), edge.allowance)
        back, middle, on = _by_rule(first, second, plane_number(after.start), "mitred")
        line = np.concatenate([back[::-1], middle, on])
    return line


def _arriving(segment: Segment, line: Path, allowance: float) -> Arm:
    into = plane_number(end_tangents(segment)[1])
    return Arm(line[::-1], -into, -1j * into, allowance)


def _leaving(segment: Segment, line: Path, allowance: float) -> Arm:
    out = plane_number(end_tangents(segment)[0])
    return Arm(line, out, -1j * out, allowance)


def _led(before: Edge, line: Path, after: Edge, onward: Path, rule: Rule) -> Joined:
    """Both cutting lines of a corner, in the sense of travel, and what lies between them."""
    corner = plane_number(end_of(before))
    first = _arriving(before.segments[-1], line, before.allowance)
    second = _leaving(after.segments[0], onward, after.allowance)
    if after.role == "fold":
        return at_fold(first, corner, second.away)[::-1], (), onward
    if before.role == "fold":
        return line, (), at_fold(second, corner, first.away)
    back, middle, on = _by_rule(first, second, corner, rule)
    return back[::-1], middle, on


def _by_rule(first: Arm, second: Arm, corner: complex, rule: Rule) -> Joined:
    if first.allowance == second.allowance == 0.0:
        return first.line, (), second.line
    if rule in ("squared before", "squared after"):
        return squared(first, second, corner, rule == "squared before")
    if rule in ("mirrored before", "mirrored after"):
        return mirrored(first, second, corner, rule == "mirrored before")
    return (blunt if rule == "blunt" else mitred)(first, second, corner)


def notch_lines(piece: Piece) -> tuple[tuple[Notch, Point, Point], ...]:
    """Each notch with its point on the seam line and, square to it, on the cutting line.

    Where the edge has no allowance both points are the same.
    """
    notches = notches_of(piece)
    if not notches:
        return ()
    rim = shapely.LinearRing(coordinates(cutting_line(piece, NOTCH_TOLERANCE)))
    return tuple((notch, *_carried_notch(piece, notch, rim)) for notch in notches)


def notch_strokes(piece: Piece) -> tuple[tuple[Notch, Point, Point], ...]:
    """The lines to draw or light for the notches, from the inner end to the cutting line.

    One for a single notch, two for a double one; without an allowance they run inward.
    """
    strokes = []
    for notch, seam, cut in notch_lines(piece):
        if seam == cut:
            edge = edge_named(piece, notch.edge)
            along = min(notch.along, edge_length(edge))
            seam = cut + INWARD * tangent_along(edge, along).left
        aside = 0.5 * APART * (cut - seam).unit.left
        for shift in (aside, -aside) if notch.kind == "double" else (Point(0.0, 0.0),):
            strokes.append((notch, seam + shift, cut + shift))
    return tuple(strokes)


def cut_run(piece: Piece, tolerance: float) -> tuple[tuple[Point, ...], bool]:
    """What of the cutting line is cut, within `tolerance` mm, and whether it is closed.

    All of it, except where the piece lies on the fold: there the line is open, since whoever cuts
    along the fold has two halves.
    """
    line = cutting_line(piece, tolerance)
    if piece.fold_edge is None:
        return line, True
    fold = edge_named(piece, piece.fold_edge)
    start = start_of(fold)
    across = (end_of(fold) - start).unit.left
    on_fold = np.array([abs(across.dot(point - start)) < 1e-6 for point in line])
    begin = int(np.argmax(on_fold & np.roll(on_fold, 1)))
    return line[begin:] + line[:begin], False


def _carried_notch(piece: Piece, notch: Notch, rim: shapely.LinearRing) -> tuple[Point, Point]:
    edge = edge_named(piece, notch.edge)
    along = min(notch.along, edge_length(edge))
    seam = point_along(edge, along)
    if edge.allowance == 0.0:
        return seam, seam
    outward = -tangent_along(edge, along).left
    cut = seam + edge.allowance * outward
    if shapely.distance(rim, shapely.Point(cut.x, cut.y)) <= 2.0 * NOTCH_TOLERANCE:
        return seam, cut
    # At a trimmed corner or a tight bend the cutting line stands nearer or further out.
    far = seam + 10.0 * edge.allowance * outward
    met = shapely.get_coordinates(
        shapely.intersection(rim, shapely.LineString([(seam.x, seam.y), (far.x, far.y)]))
    )
    reaches = [outward.dot(Point(float(x), float(y)) - seam) for x, y in met]
    reach = min((r for r in reaches if r > 1e-6), default=edge.allowance)
    return seam, seam + reach * outward
