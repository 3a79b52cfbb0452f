"""A notch seen four times as large, beside itself: where exactly to snip."""

from __future__ import annotations

import math

import numpy as np
import shapely

from calibration.table_map import screen_points
from drafting.allowance import notch_lines
from drafting.piece import Piece
from drafting.plane import Motion, Point, distance
from drafting.unfolding import unfolded
from projector.cloth.shapes import moved_rows
from projector.stage.ink import Colour
from projector.stage.lettering import text_width
from projector.stage.lit_frame import LINE_PITCH, LitFrame, lines_stroke, part_of, text_block
from projector.stage.picture import Array, Box, Part
from projector.stage.piece_lines import Lines

__all__ = ["magnifier_part"]

TIMES = 4.0
RADIUS = 80.0
SMALL = 12.0
AWAY = (125.0, 170.0, 220.0, 280.0, 350.0, 430.0, 520.0)
"""How far from the notch the disc may lie, mm; the nearest clear place is taken."""
BELOW = 8.0
"""From the disc to the words under it, mm."""
FAR = 0.005
"""By how many dots under disc and words a place 1 mm further from the notch is worse."""


def magnifier_part(
    frame: LitFrame,
    piece: Piece,
    folded: bool,
    lines: tuple[Lines, ...],
    motion: Motion,
    index: int,
    dots: Array,
) -> Part | None:
    """The surroundings of one notch, four times as large, on a dark disc beside it.

    `motion` is table from piece; `dots` (n, 2) are lines and labels on the table, mm, which disc
    and words keep clear of where they can. None when the piece has no such notch.
    """
    whole = piece if folded else unfolded(piece)
    notches = notch_lines(whole)
    if not 0 <= index < len(notches):
        return None
    notch, seam, cut = notches[index]
    at = motion(Point((seam.x + cut.x) / 2, (seam.y + cut.y) / 2))
    size = distance(seam, cut)
    name = f"{notch.name} " if notch.name else ""
    words = [
        (f"{name}{notch.kind} notch".strip(), SMALL),
        (f"snip {size / 2:.0f} mm deep, no more" if size else "on the line", SMALL),
        ("4 times as large: do not cut here", SMALL),
    ]
    wide = max(text_width(text) * height for text, height in words) + SMALL
    deep = sum(height * LINE_PITCH for _, height in words) + SMALL
    centre = _beside(frame, at, dots, wide / 2, deep)
    circle = np.linspace(0.0, 2 * math.pi, 73)[:-1]
    ring = np.column_stack([np.cos(circle), np.sin(circle)])
    seen = shapely.Point(at.x, at.y).buffer(RADIUS / TIMES)
    strokes = [
        lines_stroke(frame, [ring * RADIUS + [centre.x, centre.y]], frame.ink.guide, 1.2, centre,
                     closed=True, edge=False),
        lines_stroke(frame, [ring * RADIUS / TIMES + [at.x, at.y]], frame.ink.guide, 1.0, at,
                     closed=True, edge=False),
    ]  # fmt: skip
    for group in lines:
        colour: Colour = getattr(frame.ink, group.role)
        shown = []
        for run in _runs(group, motion):
            inside = shapely.intersection(shapely.LineString(run), seen)
            for part in shapely.get_parts(inside):
                if isinstance(part, shapely.LineString) and not part.is_empty:
                    rows = np.array(part.coords)
                    shown.append((rows - [at.x, at.y]) * TIMES + [centre.x, centre.y])
        if shown:
            width = max(1.0, group.width)
            strokes.append(lines_stroke(frame, shown, colour, width, centre, edge=False))
    worker = Motion(frame.text_angle, centre.x, centre.y)
    below = worker(Point(0.0, -RADIUS - BELOW - deep / 2))
    writings = text_block(frame, below, words, frame.ink.text)
    corners = [
        worker(Point(x * wide / 2, -RADIUS - BELOW - y * deep))
        for x, y in ((-1, 0), (1, 0), (1, 1), (-1, 1))
    ]
    grounds = (ring * RADIUS + [centre.x, centre.y], np.array([[p.x, p.y] for p in corners]))
    boxes = tuple(Box(screen_points(frame.table_map, rows), (0, 0, 0)) for rows in grounds)
    leader = shapely.LineString([(at.x, at.y), (centre.x, centre.y)])
    for ground in (seen, *(shapely.Polygon(rows).buffer(2.0) for rows in grounds)):
        leader = shapely.difference(leader, ground)
    between = [np.array(part.coords) for part in shapely.get_parts(leader) if part.length > 3.0]
    if between:
        strokes.append(lines_stroke(frame, between, frame.ink.guide, 0.8, at, edge=False))
    return part_of(frame, tuple(strokes), writings, boxes)


def _runs(group: Lines, motion: Motion) -> list[Array]:
    runs = np.split(moved_rows(group.points, motion), group.breaks)
    return [np.concatenate([run, run[:1]]) for run in runs] if group.closed else list(runs)


def _beside(frame: LitFrame, at: Point, dots: Array, half_wide: float, deep: float) -> Point:
    """The middle of the disc within the light where disc and words meet the fewest dots, mm."""
    side = max(RADIUS, half_wide)
    foot = RADIUS + BELOW + deep
    table_from_worker = frame.table_from_worker
    across, away = frame.worker_size
    wanted = table_from_worker.inverse(at)
    seen = moved_rows(dots, table_from_worker.inverse)
    best, least = wanted, math.inf
    for reach in AWAY:
        for turn in np.linspace(0.0, 2 * math.pi, 24, endpoint=False):
            x = wanted.x + reach * math.cos(turn)
            y = wanted.y + reach * math.sin(turn)
            x = min(max(x, side + 10.0), max(across - side - 10.0, side + 10.0))
            y = min(max(y, foot + 10.0), max(away - RADIUS - 10.0, foot + 10.0))
            from_notch = math.hypot(x - wanted.x, y - wanted.y)
            if from_notch < RADIUS + RADIUS / TIMES and reach < AWAY[-1]:
                continue
            right, up = (seen - (x, y)).T
            disc = np.hypot(right, up) < RADIUS + BELOW
            words = (np.abs(right) < half_wide + BELOW) & (up < -RADIUS) & (up > -foot - BELOW)
            met = int(disc.sum()) + 2 * int(words.sum())
            if met + FAR * from_notch < least:
                best, least = Point(x, y), met + FAR * from_notch
    return table_from_worker(best)
