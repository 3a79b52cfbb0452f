"""The picture on the table: every line of the lay, at true scale, in screen pixels."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from calibration.errors import CalibrationError
from calibration.table_map import Array, TableMap, lit_outline, screen_points
from drafting.allowance import cutting_line, notch_lines
from drafting.edge import flattened_edge
from drafting.marks import Grain
from drafting.piece import Piece, outline
from drafting.plane import Point
from drafting.unfolding import unfolded
from projector.cloth.clearance import overlaps
from projector.cloth.layout import Placement, piece_key, piece_of
from projector.cloth.shapes import placed_points
from projector.stage.session import Session
from projector.true_scale import check_grid

__all__ = ["Colour", "Picture", "Stroke", "Writing", "compose"]

Colour = tuple[int, int, int]
FLATNESS = 0.05
CUTTING, SEAM, MARK, FOLD = (255, 255, 255), (90, 200, 255), (255, 220, 90), (110, 235, 140)
SELECTED, WRONG, CUT = (255, 170, 60), (255, 80, 80), (70, 70, 70)


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """A polyline (n, 2), screen pixels, with its width in pixels, never under 1."""

    points: Array
    colour: Colour
    width_px: float
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Writing:
    """A line of text with its middle at a screen place."""

    text: str
    x_px: float
    y_px: float
    height_px: float
    colour: Colour


@dataclass(frozen=True, slots=True)
class Picture:
    """Strokes and text in the order they are drawn, on black, for one size of screen."""

    screen_size: tuple[int, int]
    strokes: tuple[Stroke, ...] = ()
    writings: tuple[Writing, ...] = ()


@dataclass(frozen=True, slots=True)
class _Line:
    layer: str
    points: tuple[Point, ...]
    width: float
    closed: bool = False


@lru_cache(maxsize=256)
def _lines(piece: Piece, folded: bool) -> tuple[_Line, ...]:
    whole = piece if folded else unfolded(piece)
    lines = [
        _Line("cutting line", cutting_line(whole, FLATNESS), 1.6, True),
        _Line("seam line", outline(whole, FLATNESS), 0.8, True),
    ]
    lines += [_Line("notches", (seam, cut), 1.2) for _, seam, cut in notch_lines(whole)]
    for edge in whole.edges:
        if edge.role == "fold":
            lines.append(_Line("fold", flattened_edge(edge, FLATNESS), 2.4))
    for mark in whole.marks:
        if isinstance(mark, Grain):
            lines.append(_Line("grain", (mark.start, mark.end), 1.0))
            lines += _heads(mark)
    return tuple(lines)


def _heads(grain: Grain) -> list[_Line]:
    along = (grain.end - grain.start).unit
    heads = []
    for tip, inward in ((grain.end, -along), (grain.start, along)):
        sides = (tip + inward * 14.0 + inward.left * 6.0, tip + inward * 14.0 - inward.left * 6.0)
        heads.append(_Line("grain", (sides[0], tip, sides[1]), 1.0))
    return heads


def compose(session: Session, table_map: TableMap) -> Picture:
    """Everything that is lit. Lines beyond the horizon of the map are left out.

    Widths are mm on the table, turned to pixels at the middle of the lit area.
    """
    if session.blackout:
        return Picture(table_map.screen_size)
    middle = lit_outline(table_map).mean(axis=0)
    ends = screen_points(table_map, middle + np.array([[-50.0, 0.0], [50.0, 0.0]]))
    px_a_mm = float(np.hypot(*(ends[1] - ends[0]))) / 100.0
    wrong = {(p.piece, p.copy) for pair in overlaps(session.layout) for p in pair}
    strokes: list[Stroke] = []
    if "100 mm squares" in session.layers:
        grid = check_grid(lit_outline(table_map), 100.0)
        strokes += [Stroke(screen_points(table_map, line), SEAM, 1.0) for line in grid]
    writings: list[Writing] = []
    for index, placement in enumerate(session.layout.placements):
        piece = piece_of(session.layout, placement)
        motion = session.table_from_cloth @ placement.cloth_from_piece
        chosen = index == session.selection
        bad = (placement.piece, placement.copy) in wrong
        for line in _lines(piece, session.layout.cloth.folded):
            if line.layer not in session.layers:
                continue
            try:
                points = screen_points(table_map, placed_points(line.points, motion))
            except CalibrationError:
                continue
            colour = _colour(line.layer, placement, chosen, bad)
            strokes.append(Stroke(points, colour, max(1.0, line.width * px_a_mm), line.closed))
        if "labels" in session.layers:
            centre = placed_points(outline(piece, 1.0), motion).mean(axis=0)
            try:
                place = screen_points(table_map, centre[None, :])[0]
            except CalibrationError:
                continue
            text = piece_key(piece) + (", cut" if placement.cut else "")
            colour = _colour("labels", placement, chosen, bad)
            height = max(14.0, 18.0 * px_a_mm)
            writings.append(Writing(text, float(place[0]), float(place[1]), height, colour))
    return Picture(table_map.screen_size, tuple(strokes), tuple(writings))


def _colour(layer: str, placement: Placement, chosen: bool, bad: bool) -> Colour:
    if placement.cut:
        return CUT
    if layer == "cutting line":
        return WRONG if bad else SELECTED if chosen else CUTTING
    return {"seam line": SEAM, "fold": FOLD}.get(layer, MARK)
