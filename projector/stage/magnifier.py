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
from projector.cloth.shapes import placed_points
from projector.stage.ink import Colour
from projector.stage.lit_frame import LitFrame, lines_stroke, part_of, text_block
from projector.stage.picture import Array, Box, Part
from projector.stage.piece_lines import Lines

__all__ = ["magnifier_part"]

TIMES = 4.0
RADIUS = 80.0
AWAY = 150.0
SMALL = 12.0


def magnifier_part(
    frame: LitFrame,
    piece: Piece,
    folded: bool,
    lines: tuple[Lines, ...],
    motion: Motion,
    index: int,
) -> Part | None:
    """The surroundings of one notch, four times as large, on a dark disc beside it.

    `motion` is table from piece. None when the piece has no such notch.
    """
    whole = piece if folded else unfolded(piece)
    notches = notch_lines(whole)
    if not 0 <= index < len(notches):
        return None
    notch, seam, cut = notches[index]
    at = motion(Point((seam.x + cut.x) / 2, (seam.y + cut.y) / 2))
    centre = _beside(frame, at)
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
    size = distance(seam, cut)
    name = f"{notch.name} " if notch.name else ""
    words = [
        (f"{name}{notch.kind} notch".strip(), SMALL),
        (f"snip {size / 2:.0f} mm deep, no more" if size else "on the line", SMALL),
        ("4 times: do not cut here", SMALL),
    ]
    below = centre - Motion(frame.text_angle)(Point(0.0, RADIUS + 40.0))
    writings = text_block(frame, below, words, frame.ink.text)
    disc = Box(screen_points(frame.table_map, ring * RADIUS + [centre.x, centre.y]), (0, 0, 0))
    return part_of(frame, tuple(strokes), writings, (disc,))


def _runs(group: Lines, motion: Motion) -> list[Array]:
    rows = placed_points([Point(float(x), float(y)) for x, y in group.points], motion)
    runs = np.split(rows, group.breaks)
    return [np.concatenate([run, run[:1]]) for run in runs] if group.closed else list(runs)


def _beside(frame: LitFrame, at: Point) -> Point:
    """A place for the disc within the light, towards the middle of it."""
    low_x, low_y, high_x, high_y = frame.window
    middle = Point((low_x + high_x) / 2, (low_y + high_y) / 2)
    way = middle - at
    unit = way.unit if abs(way) > 1.0 else Point(1.0, 0.0)
    there = at + AWAY * unit
    room = RADIUS + 10.0
    x = min(max(there.x, low_x + room), max(high_x - room, low_x + room))
    y = min(max(there.y, low_y + room), max(high_y - room, low_y + room))
    return Point(x, y)
