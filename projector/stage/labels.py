"""Where a piece's name fits inside it, clear of its grain line, whichever way it is turned."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely

from drafting.curves import flattened
from drafting.labels import cut_count
from drafting.marks import InnerLine
from drafting.piece import Piece, grain_of, seam_polygon
from drafting.plane import Point
from drafting.unfolding import unfolded
from projector.cloth.layout import Placement, piece_key
from projector.stage.lettering import text_width
from projector.stage.lit_frame import LINE_PITCH

__all__ = ["label_lines", "label_place"]

NAME, SMALL = 18.0, 12.0
"""Heights of capitals, mm: the name, and what is written under it."""
CLEAR = 5.0
"""Least distance of text from the seam line and the grain line, mm."""
STEP = math.radians(5.0)


def label_lines(piece: Piece, placement: Placement, folded: bool) -> tuple[tuple[str, float], ...]:
    """Name and size, how often it is cut, and whether it is cut already or locked."""
    lines = [(piece_key(piece), NAME), (cut_count(piece, folded), SMALL)]
    if placement.copy:
        lines.append((f"copy {placement.copy + 1}", SMALL))
    state = "cut" if placement.cut else "locked" if placement.locked else ""
    if state:
        lines.append((state.upper(), SMALL))
    return tuple(lines)


def label_place(
    piece: Piece, folded: bool, lines: tuple[tuple[str, float], ...], along: Point
) -> Point:
    """The middle of the text block in the piece frame, mm.

    `along` is the direction the text runs in, in the piece frame. The block goes where it is
    clear of everything and nearest to the middle of the piece; a piece too small for it has it
    in its widest place, over the lines.
    """
    step = round(along.angle % math.pi / STEP)
    wide = max(text_width(text) * height for text, height in lines)
    deep = sum(height * LINE_PITCH for _, height in lines)
    return _place(piece, folded, step, round(wide), round(deep))


@lru_cache(maxsize=1024)
def _place(piece: Piece, folded: bool, step: int, wide: int, deep: int) -> Point:
    inside, free = _free(piece, folded)
    widest = shapely.maximum_inscribed_circle(inside, tolerance=2.0).coords[0]
    low_x, low_y, high_x, high_y = inside.bounds
    grid = np.stack(
        np.meshgrid(np.linspace(low_x, high_x, 25), np.linspace(low_y, high_y, 25)), axis=-1
    ).reshape(-1, 2)
    centres = np.concatenate([[widest], grid])
    angle = step * STEP
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * np.array([wide, deep]) / 2
    for area in (free, inside):
        boxes = shapely.polygons(centres[:, None, :] + (corners @ turn)[None, :, :])
        fits = np.flatnonzero(shapely.covers(area, boxes))
        if len(fits):
            # The widest place first; of two places as near, the one further from the lines.
            off = np.hypot(*(centres[fits] - widest).T)
            best = centres[fits[np.argmin(off)]]
            return Point(float(best[0]), float(best[1]))
    return Point(float(widest[0]), float(widest[1]))


@lru_cache(maxsize=512)
def _free(piece: Piece, folded: bool) -> tuple[shapely.Polygon, shapely.Geometry]:
    """The area inside the seam line, drawn in, and what of it is clear of lines."""
    whole = piece if folded else unfolded(piece)
    parts = shapely.get_parts(seam_polygon(whole, 1.0).buffer(-CLEAR))
    inside = max(parts, key=shapely.area, default=seam_polygon(whole, 1.0))
    lines = []
    grain = grain_of(whole)
    if grain is not None:
        lines.append(shapely.LineString([(p.x, p.y) for p in (grain.start, grain.end)]))
    for mark in whole.marks:
        if isinstance(mark, InnerLine):
            points = [(p.x, p.y) for s in mark.segments for p in flattened(s, 1.0)]
            lines.append(shapely.LineString(points))
    blocked = shapely.buffer(shapely.MultiLineString(lines), 2 * CLEAR) if lines else None
    free = shapely.difference(inside, blocked) if blocked is not None else inside
    shapely.prepare(inside)
    shapely.prepare(free)
    return inside, free
