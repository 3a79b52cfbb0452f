"""What is lit beside the pieces: the cloth's edges, squares, ruler, crosses, hatching."""

from __future__ import annotations

import math

import numpy as np
import shapely

from calibration.errors import CalibrationError
from calibration.table_map import lit_outline
from calibration.uncertainty import error_radius, point_covariance
from drafting.plane import Motion, Point, distance, midpoint
from projector.cloth.clearance import usable_area
from projector.cloth.layout import Layout
from projector.cloth.shapes import placed_points
from projector.stage.lit_frame import LitFrame, lines_stroke, part_of, text_block
from projector.stage.picture import Array, Part, Stroke, Writing
from projector.stage.piece_lines import dashed
from projector.stage.session import Ruler, Session
from projector.stage.tape_check import predicted_error
from projector.true_scale import check_grid

__all__ = ["cloth_part", "crosses_part", "hatching_part", "ruler_part", "squares_part"]

SMALL = 12.0
HATCH = 14.0
"""Distance of hatching lines, mm."""


def _middle(frame: LitFrame) -> Point:
    low_x, low_y, high_x, high_y = frame.window
    return Point((low_x + high_x) / 2, (low_y + high_y) / 2)


def _on_table(table_from_cloth: Motion, rows: Array) -> Array:
    (a, b, e), (c, d, f) = table_from_cloth.matrix
    placed: Array = rows @ np.array([[a, c], [b, d]]) + np.array([e, f])
    return placed


def cloth_part(frame: LitFrame, layout: Layout, table_from_cloth: Motion) -> Part | None:
    """Where the cloth may be cut: its usable edges, its cut end and its flaws, dotted."""
    lit = placed_points([Point(*p) for p in lit_outline(frame.table_map)], table_from_cloth.inverse)
    low_x, high_x = float(lit[:, 0].min()) - 100.0, float(lit[:, 0].max()) + 100.0
    area = usable_area(layout.cloth, layout.cloth.length or max(high_x, 1.0) + 1000.0)
    near = shapely.intersection(shapely.boundary(area), shapely.box(low_x, -1e5, high_x, 1e5))
    dashes = []
    for line in shapely.get_parts(shapely.line_merge(near)):
        if line.length > 0.0:
            dashes += dashed(np.array(line.coords), (2.0, 8.0))
    if not dashes:
        return None
    rows = _on_table(table_from_cloth, np.concatenate(dashes))
    breaks = np.cumsum([len(dash) for dash in dashes])[:-1]
    try:
        stroke = lines_stroke(
            frame, np.split(rows, breaks), frame.ink.guide, 1.2, _middle(frame), edge=False
        )
    except CalibrationError:
        return None
    return part_of(frame, (stroke,))


def squares_part(frame: LitFrame) -> Part:
    """Squares of 100 mm over the whole light, with the predicted error written beside."""
    outline = lit_outline(frame.table_map)
    grid = check_grid(outline, 100.0)
    middle = _middle(frame)
    strokes: tuple[Stroke, ...] = ()
    if grid:
        strokes = (lines_stroke(frame, grid, frame.ink.guide, 0.8, middle, edge=False),)
    writings: list[Writing] = []
    low_x, low_y, high_x, high_y = frame.window
    shares = [(x, y) for y in (0.12, 0.5, 0.88) for x in (0.12, 0.5, 0.88)]
    places = [
        Point(
            round((low_x + x * (high_x - low_x) - 50.0) / 100.0) * 100.0 + 50.0,
            round((low_y + y * (high_y - low_y) - 50.0) / 100.0) * 100.0 + 50.0,
        )
        for x, y in shares
    ]
    try:
        radii = error_radius(point_covariance(frame.table_map, [(p.x, p.y) for p in places]))
    except CalibrationError:
        radii = None
    for index, place in enumerate(places):
        lines = [("100 mm", SMALL)]
        if radii is not None:
            lines.append((f"±{radii[index]:.1f}", SMALL))
        writings += text_block(frame, place, lines, frame.ink.guide)
    return part_of(frame, strokes, tuple(writings))


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
        a, b = end + 30.0 * side, end - 30.0 * side
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
    writings = text_block(
        frame, middle - 52.0 * side, [(told, 16.0), (typed, SMALL)], frame.ink.text
    )
    for step in range(int(size / 100.0 + 1e-6) + 1):
        at = ruler.start + step * 100.0 * along + 36.0 * side
        writings += text_block(frame, at, [(f"{step * 100}", 9.0)], frame.ink.text)
    return part_of(frame, strokes, writings)


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
        reach, colour = 22.0, frame.ink.guide
    else:
        aim = session.take_up.at
        places = [*session.take_up.found, *([aim] if aim is not None else [])]
        names = ("1", "2", "1", "2")
        reach, colour = 40.0, frame.ink.chosen
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
            strokes.append(lines_stroke(frame, rows, colour, 0.8, place))
            strokes.append(lines_stroke(frame, [ring], colour, 0.8, place, closed=True))
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
                hatches.append(_on_table(table_from_cloth, np.array(line.coords)))
        for part in shapely.get_parts(area):
            if isinstance(part, shapely.Polygon) and part.area > 1.0:
                rings.append(_on_table(table_from_cloth, np.array(part.exterior.coords)))
    if not rings:
        return None
    at = Point(*(float(value) for value in rings[0][0]))
    try:
        strokes = [lines_stroke(frame, rings, frame.ink.wrong, 3.0, at, edge=False)]
        if hatches:
            strokes.append(
                lines_stroke(frame, hatches, frame.ink.wrong, 1.2, at, edge=False, short=True)
            )
    except CalibrationError:
        return None
    return part_of(frame, tuple(strokes))
