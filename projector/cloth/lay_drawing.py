"""A lay as a drawing: the cloth with its fold and selvages, the pieces on it, a ruler, a caption.

True scale, mm, the cloth frame: x along the selvage from the cut end, y across.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import shapely

from drafting.allowance import cutting_line
from drafting.drawing import (
    INK,
    Box,
    Drawing,
    Layer,
    Mark,
    Pen,
    Polyline,
    Words,
    grown,
    moved_mark,
    rectangle,
)
from drafting.edge import flattened_edge
from drafting.label_place import Area, roomiest, without
from drafting.marks import grain_heads
from drafting.piece import Piece, grain_of, outline
from drafting.plane import Point
from drafting.unfolding import unfolded
from projector.cloth.cloth import Cloth, lay_width, usable_span
from projector.cloth.layout import Layout, Placement, piece_key, piece_of
from projector.cloth.shapes import placed_shape, tilt_words
from projector.cloth.yardage import bought_length, efficiency, used_length

__all__ = ["lay_drawing"]

FLATNESS = 0.2
CLOTH, STRIP, FLAW = "#f6f3ec", "#e2dccf", "#c98d7a"
FOLD, GRAIN, STRIPE = "#8a4b08", "#4a6670", "#d8cdb6"
TINTS = ("#cfe3e6", "#f0d9c4", "#dcd9ee", "#d9e6c9", "#f2dfe2", "#e6e2b8", "#d3e0f0", "#e8d3c0")
"""One pale fill a size, so that garments can be told apart."""


def lay_drawing(layout: Layout, title: str = "") -> Drawing:
    """Draw the lay on as much cloth as it takes, and a little more where the cloth goes on."""
    cloth = layout.cloth
    used = used_length(layout)
    shown = min(cloth.length, used + 150.0) if cloth.length else used + 150.0
    shown = max(shown, 500.0)
    width = lay_width(cloth)
    letter = max(14.0, min(44.0, max(width / 28.0, shown / 105.0)))
    layers = (
        Layer("cloth", _cloth(cloth, shown, letter)),
        Layer("pieces", tuple(m for p in layout.placements for m in _placed(layout, p, letter))),
        Layer("ruler", _ruler(cloth, shown, used, letter)),
        Layer("caption", _caption(layout, width, letter, title)),
    )
    left = -0.7 * letter if cloth.folded else 0.0  # the word at the fold's end stands there
    box = Box(left, -2.4 * letter, shown, width + 2.2 * letter)
    return Drawing(grown(box, 1.2 * letter), layers, title or f"Lay on {cloth.name}")


def _cloth(cloth: Cloth, shown: float, letter: float) -> tuple[Mark, ...]:
    low, high = usable_span(cloth)
    width = lay_width(cloth)
    edge = Pen(1.0, "#8f8570")
    marks: list[Mark] = [rectangle(Box(0.0, 0.0, shown, width), None, STRIP)]
    if cloth.outline is None:
        marks.append(rectangle(Box(0.0, low, shown, high), None, CLOTH))
    else:
        marks.append(Polyline(tuple(Point(*p) for p in cloth.outline), edge, CLOTH, closed=True))
    for step, phase, reach, across in (
        (cloth.repeat_along, cloth.phase_along, shown, True),
        (cloth.repeat_across, cloth.phase_across, high, False),
    ):
        pen = Pen(max(1.0, 0.04 * step), STRIPE) if step else Pen()
        at = math.fmod(phase, step) if step else reach + 1.0
        while at <= reach:
            ends = (Point(at, low), Point(at, high)) if across else (Point(0, at), Point(shown, at))
            if at >= 0.0:
                marks.append(Polyline(ends, pen))
            at += step
    for flaw in cloth.flaws:
        marks.append(Polyline(tuple(Point(*p) for p in flaw), edge, FLAW, closed=True))
    if cloth.outline is None:
        marks.append(Polyline((Point(0.0, 0.0), Point(0.0, width)), edge))
        marks += [Polyline((Point(0.0, y), Point(shown, y)), edge) for y in (0.0, width)]
    if cloth.folded:
        pen = Pen(3.0, FOLD, (30.0, 8.0, 6.0, 8.0))
        marks.append(Polyline((Point(0.0, 0.0), Point(shown, 0.0)), pen))
    return tuple(marks)


def _placed(layout: Layout, placement: Placement, letter: float) -> Iterable[Mark]:
    piece = piece_of(layout, placement)
    whole = piece if layout.cloth.folded else unfolded(piece)
    motion = placement.cloth_from_piece
    sizes = sorted({p.size for p in layout.pieces})
    tint = TINTS[sizes.index(piece.size) % len(TINTS)]
    seam = Pen(0.7, "#7b8a90", (7.0, 4.0))
    own: list[Mark] = [
        Polyline(cutting_line(whole, FLATNESS), Pen(1.6, INK), tint, closed=True),
        Polyline(outline(whole, FLATNESS), seam, closed=True),
    ]
    own += [
        Polyline(flattened_edge(edge, FLATNESS), Pen(2.4, FOLD))
        for edge in whole.edges
        if edge.role == "fold"
    ]
    own += _arrow(whole, layout.cloth.one_way)
    yield from (moved_mark(mark, motion) for mark in own)
    yield from _label(layout, placement, piece, letter)


def _arrow(piece: Piece, one_way: bool) -> list[Mark]:
    grain = grain_of(piece)
    if grain is None:
        return []
    pen = Pen(1.1, GRAIN)
    lines = ((grain.start, grain.end), *grain_heads(grain, 16.0, 7.0, one_way))
    return [Polyline(line, pen) for line in lines]


def _label(layout: Layout, placement: Placement, piece: Piece, letter: float) -> list[Mark]:
    """Upright words in the roomiest place beside the grain line, as large as fits there."""
    room: Area = placed_shape(layout, placement)
    grain = grain_of(piece)
    if grain is not None:
        motion = placement.cloth_from_piece
        ends = [(motion(p).x, motion(p).y) for p in (grain.start, grain.end)]
        room = without(room, shapely.LineString(ends), 0.5 * letter)
    states = [word for word, so in (("cut", placement.cut), ("locked", placement.locked)) if so]
    states += tilt_words(piece, placement.cloth_from_piece)
    key = piece_key(piece) + (f" ({placement.copy + 1})" if placement.copy else "")
    lines = [key, *([", ".join(states)] if states else [])]
    widest, deep = 0.62 * letter * max(map(len, lines)), 1.3 * letter * len(lines)
    middle, scale = roomiest(room, widest, deep)
    size = letter * min(1.0, 0.95 * scale)
    top = middle.y + size * (1.3 * (len(lines) - 1) / 2 - 0.35)
    return [
        Words(Point(middle.x, top - 1.3 * size * i), line, size, "middle", bold=i == 0)
        for i, line in enumerate(lines)
    ]


def _ruler(cloth: Cloth, shown: float, used: float, letter: float) -> tuple[Mark, ...]:
    top = -0.35 * letter
    size = 0.62 * letter
    marks: list[Mark] = []
    for tenth in range(int(shown // 100) + 1):
        long = tenth % 5 == 0
        x = 100.0 * tenth
        foot = Point(x, top - (0.6 if long else 0.3) * letter)
        marks.append(Polyline((Point(x, top), foot), Pen(0.8, GRAIN)))
        if long and x < shown - 20.0:
            text = "0" if tenth == 0 else f"{x / 1000:g} m"
            place = Point(x, top - 1.35 * letter)
            marks.append(Words(place, text, size, "middle", colour=GRAIN))
    if used > 0.0:
        pen = Pen(1.6, "#b3461e", (12.0, 6.0))
        ends = (Point(used, -0.3 * letter), Point(used, lay_width(cloth)))
        marks.append(Polyline(ends, pen))
    return tuple(marks)


def _caption(layout: Layout, width: float, letter: float, title: str) -> tuple[Mark, ...]:
    cloth, used = layout.cloth, used_length(layout)
    how = "folded" if cloth.folded else "flat"
    words = (
        f"{title + ': ' if title else ''}{cloth.name}, {cloth.width / 10:g} cm wide, {how}"
        f"{', one way' if cloth.one_way else ''}; {used / 1000:.2f} m used, "
        f"{bought_length(used) / 1000:.1f} m to buy, {efficiency(layout):.0%} of it pieces"
    )
    marks: list[Mark] = [Words(Point(0.0, width + 0.9 * letter), words, 0.9 * letter)]
    if cloth.folded:
        size = 0.62 * letter
        place = Point(-0.3 * letter, -0.35 * size)
        marks.append(Words(place, "fold", size, "end", colour=FOLD))
    return tuple(marks)
