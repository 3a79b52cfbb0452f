"""A piece as SVG at true scale: width and height in mm, the viewBox in the same numbers.

Curves of the seam line stay cubic curves. SVG's y runs down, the piece frame's up, so that
every y changes its sign.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from drafting.allowance import cutting_line, notch_lines
from drafting.curves import Cubic, Segment
from drafting.edge import Edge
from drafting.marks import Drill, Grain, InnerLine, Label
from drafting.piece import Piece, grain_of
from drafting.plane import Point

__all__ = ["written"]

TOLERANCE = 0.02
MARGIN = 10.0
STYLE = {
    "cutting line": 'stroke="#1b2a33" stroke-width="0.7"',
    "seam line": 'stroke="#1b2a33" stroke-width="0.35" stroke-dasharray="5 2"',
    "fold": 'stroke="#8a4b08" stroke-width="0.5" stroke-dasharray="12 3 2 3"',
    "notch": 'stroke="#1b2a33" stroke-width="0.6"',
    "grain": 'stroke="#4a6670" stroke-width="0.5"',
    "inner line": 'stroke="#4a6670" stroke-width="0.35" stroke-dasharray="2 2"',
}


def written(piece: Piece) -> bytes:
    """The piece as an SVG file, UTF-8: cutting line, one path an edge, notches, grain, label.

    Lengths on the page are millimetres of the piece. The cutting line is flattened to 0.02 mm;
    seam line edges keep their curves exactly and carry their names as ids.
    """
    outline = cutting_line(piece, TOLERANCE)
    left = min(p.x for p in outline) - MARGIN
    top = min(-p.y for p in outline) - MARGIN
    width = max(p.x for p in outline) + MARGIN - left
    height = max(-p.y for p in outline) + MARGIN - top
    body = [
        _path("cutting line", _polyline(outline) + " Z", "cutting line"),
        *(_edge(edge) for edge in piece.edges),
        *(_path(f"notch {i}", _polyline((a, b)), "notch") for i, (a, b) in _notches(piece)),
        *_marks(piece),
    ]
    title = escape(f"{piece.name} {piece.size}".strip())
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" height="{_n(height)}mm" '
        f'viewBox="{_n(left)} {_n(top)} {_n(width)} {_n(height)}" fill="none">'
    )
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', head, f"<title>{title}</title>", *body]
    return "\n".join([*lines, "</svg>", ""]).encode()


def _n(number: float) -> str:
    return f"{number:.5f}".rstrip("0").rstrip(".")


def _at(point: Point) -> str:
    return f"{_n(point.x)},{_n(-point.y)}"


def _polyline(points: Iterable[Point]) -> str:
    return "M " + " L ".join(_at(point) for point in points)


def _chain(segments: tuple[Segment, ...]) -> str:
    parts = [f"M {_at(segments[0].start)}"]
    for segment in segments:
        if isinstance(segment, Cubic):
            controls = (segment.control_1, segment.control_2, segment.end)
            parts.append("C " + " ".join(_at(point) for point in controls))
        else:
            parts.append(f"L {_at(segment.end)}")
    return " ".join(parts)


def _path(name: str, data: str, layer: str) -> str:
    return f"<path id={quoteattr(name.replace(' ', '-'))} {STYLE[layer]} d={quoteattr(data)}/>"


def _edge(edge: Edge) -> str:
    layer = "fold" if edge.role == "fold" else "seam line"
    return _path(f"edge {edge.name}", _chain(edge.segments), layer)


def _notches(piece: Piece) -> list[tuple[int, tuple[Point, Point]]]:
    """One line for a single notch; two, 6 mm apart, for a double one."""
    lines: list[tuple[Point, Point]] = []
    for notch, seam, cut in notch_lines(piece):
        if seam == cut:
            continue
        aside = 3.0 * (cut - seam).unit.left
        shifts = (aside, -aside) if notch.kind == "double" else (Point(0.0, 0.0),)
        lines += [(seam + shift, cut + shift) for shift in shifts]
    return list(enumerate(lines, 1))


def _marks(piece: Piece) -> list[str]:
    parts: list[str] = []
    grain = grain_of(piece)
    if grain is not None:
        parts.append(_path("grain", _arrow(grain), "grain"))
    for number, mark in enumerate(piece.marks, 1):
        if isinstance(mark, InnerLine):
            parts.append(_path(f"line {number}", _chain(mark.segments), "inner line"))
        elif isinstance(mark, Drill):
            x, y = _n(mark.point.x), _n(-mark.point.y)
            parts.append(f'<circle cx="{x}" cy="{y}" r="2" {STYLE["notch"]}/>')
        elif isinstance(mark, Label):
            parts += _text(mark)
    return parts


def _arrow(grain: Grain) -> str:
    """A double-headed arrow, as the trade draws the grain."""
    along = (grain.end - grain.start).unit
    parts = [_polyline((grain.start, grain.end))]
    for tip, back in ((grain.start, along), (grain.end, -along)):
        barbs = (tip + 9.0 * back + 4.0 * back.left, tip, tip + 9.0 * back - 4.0 * back.left)
        parts.append(_polyline(barbs))
    return " ".join(parts)


def _text(label: Label) -> list[str]:
    size = 9.0
    top = -label.point.y - size * 1.3 * (len(label.lines) - 1) / 2
    return [
        f'<text x="{_n(label.point.x)}" y="{_n(top + i * size * 1.3)}" font-size="{_n(size)}" '
        f'font-family="sans-serif" text-anchor="middle" fill="#1b2a33">{escape(line)}</text>'
        for i, line in enumerate(label.lines)
    ]
