"""The figures of a piece for machines: millimetres in the piece frame, curves kept as curves."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from drafting.curves import Cubic, Segment, length
from drafting.edge import edge_length, flattened_edge
from drafting.marks import Drill, InnerLine
from drafting.piece import Piece, grain_of, notches_of
from drafting.plane import Point

__all__ = ["FLATNESS", "piece_figures", "point_figures", "segment_figures"]

FLATNESS = 0.01
"""How far the flattened lines may lie from the curves, mm."""


def point_figures(point: Point) -> list[float]:
    """x and y, mm."""
    return [point.x, point.y]


def segment_figures(segment: Segment) -> dict[str, Any]:
    """A line by its two ends, a cubic Bezier curve by its four control points, mm."""
    points: tuple[Point, ...]
    if isinstance(segment, Cubic):
        points = (segment.start, segment.control_1, segment.control_2, segment.end)
        kind = "cubic"
    else:
        points, kind = (segment.start, segment.end), "line"
    return {"kind": kind, "points": [point_figures(p) for p in points], "length": length(segment)}


def piece_figures(
    piece: Piece, cutting_line: Sequence[Point], notch_lines: Sequence[tuple[Point, Point]]
) -> dict[str, Any]:
    """Everything about a piece that can be measured.

    Parameters
    ----------
    cutting_line
        Closed, counter-clockwise, first point not repeated.
    notch_lines
        For each notch of the piece, its point on the seam line and its point on the cutting line.
    """
    grain = grain_of(piece)
    return {
        "name": piece.name,
        "size": piece.size,
        "count": piece.count,
        "paired": piece.paired,
        "fold_edge": piece.fold_edge,
        "cloth": piece.cloth,
        "edges": [
            {
                "name": edge.name,
                "role": edge.role,
                "allowance": edge.allowance,
                "length": edge_length(edge),
                "segments": [segment_figures(segment) for segment in edge.segments],
                "flattened": [point_figures(p) for p in flattened_edge(edge, FLATNESS)],
            }
            for edge in piece.edges
        ],
        "cutting_line": [point_figures(p) for p in cutting_line],
        "notches": [
            {
                "edge": notch.edge,
                "along": notch.along,
                "kind": notch.kind,
                "name": notch.name,
                "on_seam_line": point_figures(on_seam),
                "on_cutting_line": point_figures(on_cut),
            }
            for notch, (on_seam, on_cut) in zip(notches_of(piece), notch_lines, strict=True)
        ],
        "grain": None
        if grain is None
        else {"start": point_figures(grain.start), "end": point_figures(grain.end)},
        "drills": [
            {"name": mark.name, "point": point_figures(mark.point)}
            for mark in piece.marks
            if isinstance(mark, Drill)
        ],
        "lines": [
            {"name": mark.name, "segments": [segment_figures(s) for s in mark.segments]}
            for mark in piece.marks
            if isinstance(mark, InnerLine)
        ],
    }
