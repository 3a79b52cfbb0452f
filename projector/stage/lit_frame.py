"""How millimetres on the table become pixels near a place, for widths and for text."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calibration.errors import CalibrationError
from calibration.table_map import TableMap, screen_points
from drafting.plane import Motion, Point
from projector.stage.horizon import before_horizon
from projector.stage.ink import Ink
from projector.stage.lettering import text_width
from projector.stage.picture import Array, Box, Part, Stroke, Writing, bounds_of
from projector.stage.piece_lines import spaced

__all__ = ["LINE_PITCH", "LitFrame", "lines_stroke", "part_of", "text_block"]

LINE_PITCH = 1.75
"""From one line of text to the next, in heights of a capital."""
BENT_PX = 2.0
"""By how much the end of a line of text may be off before its words are placed singly."""
EDGE = 0.9
"""Width of the contrasting edge on each side of a line, mm; at least a pixel."""


@dataclass(frozen=True, slots=True, eq=False)
class LitFrame:
    """A map with what is asked of it often.

    Parameters
    ----------
    table_map
        The map.
    window
        A lit rectangle along the table's axes: low x, low y, high x, high y, mm.
    text_turn
        Quarter turns of all text to the left.
    ink
        The inks for the cloth.
    """

    table_map: TableMap
    window: tuple[float, float, float, float]
    text_turn: int
    ink: Ink

    @property
    def text_angle(self) -> float:
        """Direction in which text runs on the table, radians."""
        return self.text_turn * math.pi / 2

    @property
    def table_from_worker(self) -> Motion:
        """From the frame of the worker: origin at her near left corner of the lit window, x to
        her right, y away from her, mm."""
        low_x, low_y, high_x, high_y = self.window
        corners = ((low_x, low_y), (high_x, low_y), (high_x, high_y), (low_x, high_y))
        x, y = corners[self.text_turn % 4]
        return Motion(self.text_angle, x, y)

    @property
    def worker_size(self) -> tuple[float, float]:
        """Width and depth of the lit window as the worker sees it, mm."""
        low_x, low_y, high_x, high_y = self.window
        wide, deep = high_x - low_x, high_y - low_y
        return (deep, wide) if self.text_turn % 2 else (wide, deep)

    def frame_at(self, at: Point, angle: float) -> Array:
        """Screen from millimetres about a table point, x along `angle`, y to the right of it,
        shape (2, 3): the map's own derivative there, good over a few hundred mm."""
        along = np.array([math.cos(angle), math.sin(angle)])
        down = np.array([along[1], -along[0]])
        place = np.array([at.x, at.y])
        reach = 10.0
        rows = screen_points(
            self.table_map,
            place + reach * np.array([0 * along, along, -along, down, -down]),
        )
        columns = ((rows[1] - rows[2]) / (2 * reach), (rows[3] - rows[4]) / (2 * reach), rows[0])
        return np.column_stack(columns)

    def lit_near(self, at: Point) -> Point:
        """The place itself where it is lit, else the nearest of the lit window."""
        low_x, low_y, high_x, high_y = self.window
        return Point(min(max(at.x, low_x), high_x), min(max(at.y, low_y), high_y))

    def px_a_mm(self, at: Point) -> float:
        """Pixels a millimetre near a table point, the mean over directions."""
        return float(np.sqrt(abs(np.linalg.det(self.frame_at(at, 0.0)[:, :2]))))


def text_block(
    frame: LitFrame,
    at: Point,
    lines: Sequence[tuple[str, float]],
    colour: tuple[int, int, int],
    left: bool = False,
    edge: bool = True,
) -> tuple[Writing, ...]:
    """Lines of text, each with its height in mm, one below the other, upright for the worker.

    `at` is the middle of the block on the table; with `left` the middle of its left side. Each
    line is drawn as seen at `at`; where its ends would then be off by more than 2 pixels, under a
    projector that looks askance, each of its words is drawn as seen where that stands.
    """
    local = frame.frame_at(at, frame.text_angle)
    turn = Motion(frame.text_angle, at.x, at.y)
    deep = sum(height * LINE_PITCH for _, height in lines)
    down = -deep / 2
    writings: list[Writing] = []
    for text, height in lines:
        down += height * LINE_PITCH / 2
        half = text_width(text) * height / 2
        x = half if left else 0.0
        matrix = local.copy()
        matrix[:, 2] = local @ np.array([x, down, 1.0])
        parts = [(text, matrix)]
        if _off_px(frame, turn, local, (x - half, x + half), down) > BENT_PX:
            parts = [
                (word, frame.frame_at(turn(Point(x - half + start * height, -down)), turn.angle))
                for word, start in _words(text)
            ]
        behind = frame.ink.edge if edge else None
        writings += [Writing(words, height, seen, colour, behind) for words, seen in parts]
        down += height * LINE_PITCH / 2
    return tuple(writings)


def _off_px(
    frame: LitFrame, turn: Motion, local: Array, ends: tuple[float, float], down: float
) -> float:
    """How far the ends of a line of text lie from where the map has them, pixels; 0 where it has
    none for them."""
    places = [turn(Point(x, -down)) for x in ends]
    try:
        rows = screen_points(frame.table_map, np.array([[p.x, p.y] for p in places]))
    except CalibrationError:
        return 0.0
    seen = np.array([[x, down, 1.0] for x in ends]) @ local.T
    return float(np.abs(rows - seen).max())


def _words(text: str) -> list[tuple[str, float]]:
    """The words of a line, each with where its middle is from the line's start, in capitals."""
    found, end = [], 0
    for word in text.split():
        start = text.index(word, end)
        end = start + len(word)
        found.append((word, (text_width(text[:start]) + text_width(text[:end])) / 2))
    return found


def lines_stroke(
    frame: LitFrame,
    lines: Sequence[Array],
    colour: tuple[int, int, int],
    width: float,
    at: Point,
    closed: bool = False,
    edge: bool = True,
    short: bool = False,
) -> Stroke:
    """Polylines on the table, (n, 2), mm, as one stroke of `width` mm as seen at `at`.

    Those that are not `short` are divided, so that a lens that bends them is followed.
    """
    fine = list(lines)
    if not short:
        fine = [spaced(line, 100.0, closed) for line in lines]
    scale = frame.px_a_mm(frame.lit_near(at))
    ends = tuple(int(row) for row in np.cumsum([len(line) for line in fine])[:-1])
    rows, breaks, closed = before_horizon(frame.table_map, np.concatenate(fine), ends, closed)
    if not len(rows):
        raise CalibrationError("lines beyond the horizon of the map")
    return Stroke(
        screen_points(frame.table_map, rows),
        colour,
        max(1.0, width * scale),
        breaks,
        closed,
        frame.ink.edge,
        max(1.0, EDGE * scale) if edge else 0.0,
    )


def part_of(
    frame: LitFrame,
    strokes: tuple[Stroke, ...] = (),
    writings: tuple[Writing, ...] = (),
    boxes: tuple[Box, ...] = (),
) -> Part:
    """A part with its bounds on this screen."""
    size = frame.table_map.screen_size
    return Part(bounds_of(size, strokes, writings, boxes), strokes, writings, boxes)
