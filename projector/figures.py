"""The figures of drafts and pieces for machines: mm in the piece frame, curves kept as curves."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

from drafting.allowance import cutting_line, notch_lines
from drafting.body import RANGES, Body
from drafting.curves import Cubic, Line, Segment, control_points, length
from drafting.draft import Draft
from drafting.edge import edge_length, flattened_edge
from drafting.lengths import body_length, sleeve_length, wrist_width
from drafting.marks import Drill, InnerLine
from drafting.movement import ANGLES_DEG, hem_rise
from drafting.piece import Piece, grain_of
from drafting.plane import Point
from drafting.seams import Walk, walked_all
from drafting.sleeve import sleeve_block
from drafting.survey import spread

__all__ = [
    "FLATNESS",
    "body_figures",
    "draft_figures",
    "piece_figures",
]

FLATNESS = 0.01
"""How far the flattened lines may lie from the curves, mm."""


def draft_figures(made: Draft) -> dict[str, Any]:
    """Body, style, block points, plan points, pieces and findings of one draft, mm."""
    return {
        "wearer": made.size,
        "body": body_figures(made.body),
        "style": dataclasses.asdict(made.style),
        "block": {
            "back": _fields_figures(made.block.back),
            "front": _fields_figures(made.block.front),
        },
        "sleeve_block": {
            **_fields_figures(sleeve_block(made.block, made.body)),
            "wrist_width": wrist_width(made.body, made.style),
        },
        "lengths": {
            "sleeve": sleeve_length(made.body, made.style),
            "body": body_length(made.body, made.style),
        },
        "plan": _fields_figures(made.plan),
        "movement": {
            "angles_deg": list(ANGLES_DEG),
            "hem_rise": [
                hem_rise(made.body, made.plan, made.style, math.radians(angle))
                for angle in ANGLES_DEG
            ],
        },
        "pieces": [piece_figures(piece) for piece in made.pieces],
        "seams": [_walk_figures(walk) for walk in walked_all(made.pieces, made.seams)],
        "findings": [dataclasses.asdict(finding) for finding in made.findings],
    }


def _walk_figures(walk: Walk) -> dict[str, Any]:
    """A seam walked: its two chains of edges, their lengths and what they are off by, mm."""
    return {
        **dataclasses.asdict(walk.seam),
        "first_length": walk.first,
        "second_length": walk.second,
        "off_by": walk.apart,
        "notches_off_by": dict(walk.notches),
        "fits": walk.fits,
    }


def body_figures(body: Body) -> dict[str, Any]:
    """Every measurement in mm; `estimated` gives, for each one that is, one standard deviation."""
    return {
        **{name: getattr(body, name) for name in RANGES},
        "estimated": {name: {"plus_minus": spread(name)} for name in body.estimated},
    }


def _fields_figures(value: Any) -> dict[str, Any]:
    figures: dict[str, Any] = {}
    for field in dataclasses.fields(value):
        figures[field.name] = _plain_figure(getattr(value, field.name))
    return figures


def _plain_figure(held: Any) -> Any:
    if isinstance(held, Point):
        return _point_figures(held)
    if isinstance(held, Cubic | Line):
        return _segment_figures(held)
    if isinstance(held, tuple):
        return [_plain_figure(item) for item in held]
    return _fields_figures(held) if dataclasses.is_dataclass(held) else held


def _point_figures(point: Point) -> list[float]:
    """x and y, mm."""
    return [point.x, point.y]


def _segment_figures(segment: Segment) -> dict[str, Any]:
    """A line by its two ends, a cubic Bezier curve by its four control points, mm."""
    return {
        "kind": "cubic" if isinstance(segment, Cubic) else "line",
        "points": [_point_figures(p) for p in control_points(segment)],
        "length": length(segment),
    }


def piece_figures(piece: Piece) -> dict[str, Any]:
    """Everything about a piece that can be measured.

    The cutting line is closed, counter-clockwise, its first point not repeated.
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
                "segments": [_segment_figures(segment) for segment in edge.segments],
                "flattened": [_point_figures(p) for p in flattened_edge(edge, FLATNESS)],
            }
            for edge in piece.edges
        ],
        "cutting_line": [_point_figures(p) for p in cutting_line(piece, FLATNESS)],
        "notches": [
            {
                "edge": notch.edge,
                "along": notch.along,
                "kind": notch.kind,
                "name": notch.name,
                "on_seam_line": _point_figures(on_seam),
                "on_cutting_line": _point_figures(on_cut),
            }
            for notch, on_seam, on_cut in notch_lines(piece)
        ],
        "grain": None
        if grain is None
        else {"start": _point_figures(grain.start), "end": _point_figures(grain.end)},
        "drills": [
            {"name": mark.name, "point": _point_figures(mark.point)}
            for mark in piece.marks
            if isinstance(mark, Drill)
        ],
        "lines": [
            {"name": mark.name, "segments": [_segment_figures(s) for s in mark.segments]}
            for mark in piece.marks
            if isinstance(mark, InnerLine)
        ],
    }
