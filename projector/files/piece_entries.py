"""Pieces that came from elsewhere, as entries of a job file.

Written in millimetres and in full, so that a job keeps its pieces when their file is gone.
"""

from __future__ import annotations

from typing import Any, cast

from drafting.corners import RULES, Corner
from drafting.curves import Cubic, Line, Segment, control_points
from drafting.edge import ROLES, Edge
from drafting.errors import DraftingError
from drafting.marks import Drill, Grain, InnerLine, Label, Mark, Notch
from drafting.piece import Piece, notches_of
from drafting.plane import Point
from projector.files.sheet import Entry, items_of
from projector.job import MOST_COPIES

__all__ = ["piece_plain", "read_piece"]

_FIELDS = (
    "name", "size", "count", "paired", "fold_edge", "cloth", "turns_freely",
    "edges", "corners", "notches", "grain", "drills", "lines", "label",
)  # fmt: skip


def _numbers(*points: Point) -> list[float]:
    return [value for point in points for value in (point.x, point.y)]


def _segment_plain(segment: Segment) -> list[float]:
    return _numbers(*control_points(segment))


def piece_plain(piece: Piece) -> dict[str, Any]:
    """The piece as plain data: a segment is 4 numbers (line) or 8 (cubic curve), mm."""
    plain: dict[str, Any] = {"name": piece.name}
    for name, usual in (("size", ""), ("count", 1), ("paired", False), ("fold_edge", None)):
        if getattr(piece, name) != usual:
            plain[name] = getattr(piece, name)
    plain["cloth"] = piece.cloth
    if piece.turns_freely:
        plain["turns_freely"] = True
    plain["edges"] = [
        {
            "name": edge.name,
            "role": edge.role,
            "allowance": edge.allowance,
            "segments": [_segment_plain(segment) for segment in edge.segments],
        }
        for edge in piece.edges
    ]
    if piece.corners:
        plain["corners"] = [{"after": c.after, "rule": c.rule} for c in piece.corners]
    notches = [
        {"edge": n.edge, "along": n.along, "kind": n.kind, "name": n.name}
        for n in notches_of(piece)
    ]
    if notches:
        plain["notches"] = notches
    for mark in piece.marks:
        match mark:
            case Grain():
                plain["grain"] = _numbers(mark.start, mark.end)
            case Drill():
                drill = {"point": _numbers(mark.point), "name": mark.name}
                plain.setdefault("drills", []).append(drill)
            case InnerLine():
                line = {
                    "name": mark.name,
                    "segments": [_segment_plain(segment) for segment in mark.segments],
                }
                plain.setdefault("lines", []).append(line)
            case Label():
                plain["label"] = {"point": _numbers(mark.point), "lines": list(mark.lines)}
            case Notch():
                pass
    return plain


def read_piece(entry: Entry) -> Piece | None:
    """The piece an entry holds; None, with the problems noted, when it holds none."""
    fields = entry.fields(_FIELDS, needed=("name", "edges"))
    before = len(entry.problems.lines)
    edges = [_edge(item) for item in items_of(fields, "edges")]
    marks: list[Mark | None] = [_notch(i) for i in items_of(fields, "notches")]
    if "grain" in fields:
        grain = _points(fields["grain"], 2)
        marks.append(_made(fields["grain"], Grain, *grain) if grain else None)
    marks += [_drill(item) for item in items_of(fields, "drills")]
    marks += [_inner_line(item) for item in items_of(fields, "lines")]
    if "label" in fields:
        marks.append(_label(fields["label"]))
    corners = [_corner(item) for item in items_of(fields, "corners")]
    options: dict[str, Any] = {"corners": tuple(corners)}
    for name in ("size", "fold_edge", "cloth"):
        if name in fields:
            options[name] = fields[name].text()
    for name in ("paired", "turns_freely"):
        if name in fields:
            options[name] = fields[name].yes_no()
    if "count" in fields:
        options["count"] = fields["count"].whole(1, MOST_COPIES)
    title = fields["name"].text() if "name" in fields else None
    if len(entry.problems.lines) > before or title is None or "edges" not in fields:
        return None
    return cast(Piece | None, _made(entry, Piece, title, tuple(edges), tuple(marks), **options))


def _made(entry: Entry, make: Any, *values: Any, **options: Any) -> Any:
    try:
        return make(*values, **options)
    except DraftingError as error:
        entry.refuse(str(error))
        return None


def _points(entry: Entry, *counts: int) -> tuple[Point, ...] | None:
    items = entry.items()
    values = [item.number(-1e6, 1e6) for item in items]
    if None in values:
        return None
    if len(values) not in {2 * count for count in counts}:
        wanted = " or ".join(str(2 * count) for count in counts)
        entry.refuse(f"{len(values)} numbers where {wanted} were wanted (x and y in turn, mm)")
        return None
    numbers = cast(list[float], values)
    return tuple(Point(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True))


def _segment(entry: Entry) -> Segment | None:
    points = _points(entry, 2, 4)
    if not points:
        return None
    return cast(Segment | None, _made(entry, Line if len(points) == 2 else Cubic, *points))


def _edge(entry: Entry) -> Edge | None:
    fields = entry.fields(("name", "role", "allowance", "segments"), needed=("name", "segments"))
    name = fields["name"].text() if "name" in fields else None
    role = fields["role"].choice(ROLES) if "role" in fields else "seam"
    allowance = fields["allowance"].number(0.0, 500.0) if "allowance" in fields else 0.0
    segments = [_segment(item) for item in items_of(fields, "segments")]
    if None in (name, role, allowance) or None in segments or "segments" not in fields:
        return None
    return cast(Edge | None, _made(entry, Edge, name, tuple(segments), allowance, role))


def _notch(entry: Entry) -> Notch | None:
    fields = entry.fields(("edge", "along", "kind", "name"), needed=("edge", "along"))
    edge = fields["edge"].text() if "edge" in fields else None
    along = fields["along"].number(0.0, 1e6) if "along" in fields else None
    kind = fields["kind"].choice(("single", "double")) if "kind" in fields else "single"
    name = fields["name"].text() if "name" in fields else ""
    if None in (edge, along, kind, name):
        return None
    return cast(Notch | None, _made(entry, Notch, edge, along, kind, name))


def _corner(entry: Entry) -> Corner | None:
    fields = entry.fields(("after", "rule"), needed=("after", "rule"))
    after = fields["after"].text() if "after" in fields else None
    rule = fields["rule"].choice(RULES) if "rule" in fields else None
    return None if None in (after, rule) else cast(Corner, _made(entry, Corner, after, rule))


def _drill(entry: Entry) -> Drill | None:
    fields = entry.fields(("point", "name"), needed=("point",))
    points = _points(fields["point"], 1) if "point" in fields else None
    name = fields["name"].text() if "name" in fields else ""
    return Drill(points[0], name) if points and name is not None else None


def _inner_line(entry: Entry) -> InnerLine | None:
    fields = entry.fields(("name", "segments"), needed=("name", "segments"))
    name = fields["name"].text() if "name" in fields else None
    segments = [_segment(item) for item in items_of(fields, "segments")]
    if name is None or None in segments:
        return None
    return cast(InnerLine | None, _made(entry, InnerLine, name, tuple(segments)))


def _label(entry: Entry) -> Label | None:
    fields = entry.fields(("point", "lines"), needed=("point", "lines"))
    points = _points(fields["point"], 1) if "point" in fields else None
    lines = [item.text() for item in items_of(fields, "lines")]
    if not points or None in lines:
        return None
    return Label(points[0], tuple(line for line in lines if line is not None))
