"""What is lit beside the pieces: the cloth's edges, squares, ruler, crosses, hatching."""

from __future__ import annotations

import math

import numpy as np
import shapely

from calibration.errors import CalibrationError
from calibration.table_map import lit_outline, screen_points
from drafting.plane import Motion, Point, distance, midpoint
from projector.cloth.clearance import usable_area
from projector.cloth.layout import Layout
from projector.cloth.shapes import moved_rows
from projector.stage.card_places import block_dots
from projector.stage.lettering import text_width
from projector.stage.lit_frame import LINE_PITCH, LitFrame, lines_stroke, part_of, text_block
from projector.stage.picture import Array, Box, Part, Stroke, Writing
from projector.stage.piece_lines import dashed
from projector.stage.session import Ruler, Session
from projector.stage.tape_check import predicted_error
from projector.true_scale import check_grid

__all__ = [
    "cloth_part", "crosses_part", "hatching_part", "ruler_dots", "ruler_part", "squares_part",
]  # fmt: skip

SMALL = 12.0
TICK = 30.0
"""How far the ends of the ruler reach to both sides, mm."""
HATCH = 14.0
"""Distance of hatching lines, mm."""


def _middle(frame: LitFrame) -> Point:
    low_x, low_y, high_x, high_y = frame.window
    return Point((low_x + high_x) / 2, (low_y + high_y) / 2)


def _ground(frame: LitFrame, at: Point, words: list[tuple[str, float]]) -> Box:
    """A dark ground behind words about a table point, so that no line runs through them."""
    wide, deep = _half_size(words)
    worker = Motion(frame.text_angle, at.x, at.y)
    corners = [worker(Point(x * wide, y * deep)) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    return Box(screen_points(frame.table_map, [(p.x, p.y) for p in corners]), (0, 0, 0))


def cloth_part(frame: LitFrame, layout: Layout, table_from_cloth: Motion) -> Part | None:
    """Where the cloth may be cut: its usable edges, its cut end and its flaws, dotted."""
    lit = moved_rows(lit_outline(frame.table_map), table_from_cloth.inverse)
    low_x, high_x = float(lit[:, 0].min()) - 100.0, float(lit[:, 0].max()) + 100.0
    area = usable_area(layout.cloth, layout.cloth.length or max(high_x, 1.0) + 1000.0)
    near = shapely.intersection(shapely.boundary(area), shapely.box(low_x, -1e5, high_x, 1e5))
    dashes = []
    for line in shapely.get_parts(shapely.line_merge(near)):
        if line.length > 0.0:
            dashes += dashed(np.array(line.coords), (2.0, 8.0))
    if not dashes:
        return None
    rows = moved_rows(np.concatenate(dashes), table_from_cloth)
    breaks = np.cumsum([len(dash) for dash in dashes])[:-1]
    lines = np.split(rows, breaks)
    stroke = lines_stroke(frame, lines, frame.ink.guide, 1.2, _middle(frame), edge=False)
    return part_of(frame, (stroke,))


def squares_part(frame: LitFrame) -> Part:
    """Squares of 100 mm over the whole light."""
    grid = check_grid(lit_outline(frame.table_map), 100.0)
    if not grid:
        return part_of(frame)
    stroke = lines_stroke(frame, grid, frame.ink.guide, 0.8, _middle(frame), edge=False)
    return part_of(frame, (stroke,))


def ruler_part(frame: LitFrame, ruler: Ruler) -> Part:
    """A ruler: a line with ticks at every 10, 50 and 100 mm, its length and predicted error."""
    size = distance(ruler.start, ruler.end)
    along = (ruler.end - ruler.start).unit
    side = along.left
    lines: list[Array] = []
    long_lines: list[Array] = []
    for step in range(int(size / 10.0 + 1e-6) + 1):
        reach = 24.0 if step % 10 == 0 else 15.0 if step % 5 == 0 else 8.0
        foot = ruler.start + step * 10.0 * along
        tip = foot + reach * side
        (long_lines if step % 10 == 0 else lines).append(
            np.array([[foot.x, foot.y], [tip.x, tip.y]])
        )
    ends = [ruler.start, ruler.end]
    for end in ends:
        a, b = end + TICK * side, end - TICK * side
        long_lines.append(np.array([[a.x, a.y], [b.x, b.y]]))
    long_lines.append(np.array([[p.x, p.y] for p in ends]))
    middle = midpoint(ruler.start, ruler.end)
    strokes = (
        lines_stroke(frame, lines, frame.ink.text, 0.8, middle),
        lines_stroke(frame, long_lines, frame.ink.text, 1.4, middle),
    )
    error = predicted_error(frame.table_map, ruler)
    told = f"{size:.0f} mm" + ("" if error is None else f"  ±{error:.1f} mm (95 %)")
    typed = f"tape: {ruler.typed}_ mm" if ruler.typed else "type what your tape shows"
    words = [(told, 16.0), (typed, SMALL)]
    below = _below_ruler(frame, ruler, words)
    writings = text_block(frame, below, words, frame.ink.text)
    for step in range(int(size / 100.0 + 1e-6) + 1):
        at = ruler.start + step * 100.0 * along + 36.0 * side
        writings += text_block(frame, at, [(f"{step * 100}", 9.0)], frame.ink.text)
    return part_of(frame, strokes, writings, (_ground(frame, below, words),))


def _below_ruler(frame: LitFrame, ruler: Ruler, words: list[tuple[str, float]]) -> Point:
    """The middle of a ruler's words: on the side without ticks, clear of it however it lies."""
    side = (ruler.end - ruler.start).unit.left
    along = Motion(frame.text_angle)(Point(1.0, 0.0))
    wide, deep = _half_size(words)
    reach = wide * abs(along.dot(side)) + deep * abs(along.left.dot(side))
    return midpoint(ruler.start, ruler.end) - (14.0 + reach) * side


def ruler_dots(frame: LitFrame, ruler: Ruler) -> Array:
    """Dots over a ruler and its words, (n, 2), table frame, mm: what cards keep clear of."""
    size = distance(ruler.start, ruler.end)
    middle, angle = midpoint(ruler.start, ruler.end), (ruler.end - ruler.start).angle
    words = [("1000 mm  ±0.0 mm (95 %)", 16.0), ("type what your tape shows", SMALL)]
    at = _below_ruler(frame, ruler, words)
    wide, deep = _half_size(words)
    scale = block_dots(Motion(angle, middle.x, middle.y), size, 2 * TICK)
    return np.concatenate(
        [scale, block_dots(Motion(frame.text_angle, at.x, at.y), 2 * wide, 2 * deep)]
    )


def _half_size(words: list[tuple[str, float]]) -> tuple[float, float]:
    wide = max(text_width(text) * height for text, height in words) / 2 + SMALL / 2
    return wide, sum(height * LINE_PITCH for _, height in words) / 2


def crosses_part(
    frame: LitFrame, session: Session, ahead: tuple[Point, ...], behind: tuple[Point, ...]
) -> Part | None:
    """Registration crosses to chalk, and, during a take-up, the two that are being put.

    `ahead` and `behind` are those of the next and the last section, cloth frame.
    """
    strokes: list[Stroke] = []
    writings: list[Writing] = []
    if session.take_up is None:
        places = [session.table_from_cloth(mark) for mark in (*ahead, *behind)]
        names = ("1", "2") * 2
        reach, width, colour = 22.0, 0.8, frame.ink.guide
    else:
        aim = session.take_up.at
        places = [*session.take_up.found, *([aim] if aim is not None else [])]
        names = ("1", "2", "1", "2")
        reach, width, colour = 40.0, 1.6, frame.ink.chosen
    for name, place in zip(names, places, strict=False):
        x, y = place.x, place.y
        rows = [
            np.array([[x - reach, y], [x + reach, y]]),
            np.array([[x, y - reach], [x, y + reach]]),
        ]
        circle = np.linspace(0.0, 2 * math.pi, 33)[:-1]
        ring = np.column_stack([np.cos(circle), np.sin(circle)]) * reach / 2 + [x, y]
        beside = place + Motion(frame.text_angle)(Point(reach * 0.75, reach * 0.75))
        try:
            strokes.append(lines_stroke(frame, rows, colour, width, place))
            strokes.append(lines_stroke(frame, [ring], colour, width, place, closed=True))
            writings += text_block(frame, beside, [(name, SMALL)], colour)
        except CalibrationError:
            continue
    return part_of(frame, tuple(strokes), tuple(writings)) if strokes else None


def hatching_part(
    frame: LitFrame, table_from_cloth: Motion, areas: tuple[shapely.Geometry, ...]
) -> Part | None:
    """Hatching over what lies twice or off the cloth, with a thick line round it."""
    hatches, rings = [], []
    for area in areas:
        # Lines of the hatching lie still while a piece moves over them.
        low_x, low_y, high_x, high_y = shapely.bounds(area)
        first = math.floor((low_x - high_y) / HATCH)
        last = math.ceil((high_x - low_y) / HATCH)
        levels = np.arange(first, last + 1) * HATCH
        rows = np.stack(
            [
                np.column_stack([levels + low_y, np.full(len(levels), low_y)]),
                np.column_stack([levels + high_y, np.full(len(levels), high_y)]),
            ],
            axis=1,
        )
        inside = shapely.intersection(shapely.MultiLineString(list(rows)), area)
        for line in shapely.get_parts(inside):
            if line.length > 1.0:
                hatches.append(moved_rows(np.array(line.coords), table_from_cloth))
        for part in shapely.get_parts(area):
            if isinstance(part, shapely.Polygon) and part.area > 1.0:
                rings.append(moved_rows(np.array(part.exterior.coords), table_from_cloth))
    if not rings:
        return None
    at = Point(*(float(value) for value in rings[0][0]))
    strokes = [lines_stroke(frame, rings, frame.ink.wrong, 3.0, at, edge=False)]
    if hatches:
        strokes.append(
            lines_stroke(frame, hatches, frame.ink.wrong, 1.2, at, edge=False, short=True)
        )
    return part_of(frame, tuple(strokes))
