"""Bands: neck binding, cuffs, hem band and neck facings, as long as the seams they are sewn to.

A binding, cuff or hem band is a straight strip folded along its middle, both long edges sewn to
the garment. On cloth that stretches it is cut shorter and stretched on: seam / (1 + stretch).
Strips lie across the grain, where most cloth stretches more. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from drafting.chains import reversed_chain
from drafting.corners import Corner
from drafting.curves import Line
from drafting.edge import Edge, edge_length, end_of, start_of
from drafting.errors import DraftingError
from drafting.marks import Grain, InnerLine, Mark, Notch
from drafting.parallel import parallel
from drafting.piece import Piece, edge_named
from drafting.plane import Point, midpoint
from drafting.seams import Run, Seam, run_length

__all__ = ["SEWN", "banded", "facing", "strip"]

SEWN = "sewn edge"
"""The edge of a strip that is sewn to the garment; its other long edge lies under it."""


def banded(piece: Piece, edge: str, allowance: float) -> Piece:
    """The piece with one edge made ready for a band: a seam with a seam's allowance.

    The seams beside it are sewn first, hence its corners are squared.
    """
    place = next(i for i, each in enumerate(piece.edges) if each.name == edge)
    before = piece.edges[place - 1]
    after = piece.edges[(place + 1) % len(piece.edges)]
    sewn = replace(piece.edges[place], allowance=allowance, role="seam")
    corners = [corner for corner in piece.corners if corner.after not in (edge, after.name)]
    if before.role != "fold":
        corners.append(Corner(edge, "squared before"))
    if after.role != "fold":
        corners.append(Corner(after.name, "squared after"))
    edges = (*piece.edges[:place], sewn, *piece.edges[place + 1 :])
    return replace(piece, edges=edges, corners=tuple(corners))


def strip(
    name: str,
    pieces: tuple[Piece, ...],
    runs: tuple[Run, ...],
    width: float,
    allowance: float,
    stretch: float,
    on_fold: bool,
    size: str,
) -> tuple[Piece, Seam]:
    """A strip `width` mm wide when folded, and the seam that sews it to the runs.

    On the fold it is half a band, the runs half an opening that begins at the fold. A strip that
    is not on the fold closes round one opening and is cut twice. Where two runs meet it has a
    notch.
    """
    opening = run_length(pieces, runs)
    size_along = opening / (1.0 + stretch)
    low, high = Point(0.0, 0.0), Point(size_along, 2.0 * width)
    corners = (low, Point(high.x, 0.0), high, Point(0.0, high.y))
    edges = (
        Edge(SEWN, (Line(corners[0], corners[1]),), allowance),
        Edge("end", (Line(corners[1], corners[2]),), allowance),
        Edge("under edge", (Line(corners[2], corners[3]),), allowance),
        Edge(
            "centre" if on_fold else "start",
            (Line(corners[3], corners[0]),),
            0.0 if on_fold else allowance,
            "fold" if on_fold else "seam",
        ),
    )
    marks: list[Mark] = [
        InnerLine("fold line", (Line(Point(0.0, width), Point(high.x, width)),)),
        Grain(Point(0.75 * high.x, 0.2 * high.y), Point(0.75 * high.x, 0.8 * high.y)),
    ]
    reach = 0.0
    for run, following in pairwise(runs):
        reach += run_length(pieces, (run,))
        meeting = f"{run.piece} to {following.piece}"
        for long_edge, along in ((SEWN, reach), ("under edge", opening - reach)):
            marks.append(Notch(long_edge, along / (1.0 + stretch), "single", meeting))
    piece = Piece(
        name,
        edges,
        tuple(marks),
        size,
        count=1 if on_fold else 2,
        fold_edge="centre" if on_fold else None,
    )
    seam = Seam(name, runs, (Run(name, SEWN),), opening - size_along, False, False)
    return piece, seam


def facing(piece: Piece, width: float) -> Piece:
    """The neck facing of a half piece: the neckline and a parallel to it, on the fold.

    Raises `DraftingError` where the shoulder is too short for it.
    """
    neckline, overarm = edge_named(piece, "neckline"), edge_named(piece, "overarm")
    if width > edge_length(overarm) - 10.0:
        raise DraftingError(
            f"style.neck_facing: {width:g} mm is wider than the shoulder beside the neckline"
        )
    outer = parallel(neckline.segments, width)
    # The last part runs on to the fold; square to it, it is there already.
    last = outer[-1]
    foot = last.end
    if abs(foot.x) > 1e-9:
        along = (last.end - (last.start if isinstance(last, Line) else last.control_2)).unit
        foot = foot - foot.x / along.x * along
        outer = (*outer, Line(last.end, Point(0.0, foot.y)))
        foot = Point(0.0, foot.y)
    start = outer[0].start
    edges = (
        Edge("outer edge", reversed_chain(outer), 0.0, "cut"),
        Edge("overarm", (Line(start, start_of(neckline)),), overarm.allowance),
        replace(neckline, role="seam"),
        Edge("centre", (Line(end_of(neckline), foot),), 0.0, "fold"),
    )
    middle = midpoint(end_of(neckline), foot)
    marks = (
        Grain(
            Point(0.25 * start.x, middle.y - 0.3 * width),
            Point(0.25 * start.x, middle.y + 0.3 * width),
        ),
    )
    return Piece(
        f"{piece.name} facing",
        edges,
        marks,
        piece.size,
        fold_edge="centre",
        cloth=piece.cloth,
        corners=(Corner("neckline", "squared before"),),
    )
