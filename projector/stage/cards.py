"""Cards of text on the table: help, what is left to cut, what was just said, what is wrong."""

from __future__ import annotations

import numpy as np

from calibration.table_map import screen_points
from drafting.plane import Motion, Point
from projector.cloth.clearance import missing
from projector.cloth.layout import Layout
from projector.stage.card_places import block_dots, card_place
from projector.stage.ink import Colour
from projector.stage.keys import HANDSET, KEYS, MOUSE, SHORT, Key
from projector.stage.lettering import text_width
from projector.stage.lit_frame import LINE_PITCH, LitFrame, lines_stroke, part_of, text_block
from projector.stage.picture import Array, Box, Part, Stroke, Writing

__all__ = [
    "countdown_words",
    "every_key_part",
    "help_part",
    "message_part",
    "scale_part",
    "status_part",
    "trouble_part",
]

SMALL, PLAIN, LARGE = 12.0, 16.0, 30.0
MARGIN = 18.0


def countdown_words(layout: Layout) -> str:
    """What is left to cut, in one line."""
    total = len(layout.placements)
    left = sum(1 for placement in layout.placements if not placement.cut)
    unlaid = len(missing(layout))
    words = f"{left} of {total} left to cut" if left else f"all {total} cut" if total else "no lay"
    return words + (f", {unlaid} not laid" if unlaid else "")


def status_part(frame: LitFrame, words: str, dots: Array) -> Part:
    """The countdown, in the near left corner unless lines are there.

    `dots` (n, 2) are what to keep clear of, table frame, mm.
    """
    return _card(frame, _status_place(frame, words, dots), ((words, SMALL),), frame.ink.text)


def _status_place(frame: LitFrame, words: str, dots: Array) -> Point:
    half_wide, half_deep = _half_size(((words, SMALL),))
    corner = Point(half_wide + MARGIN, half_deep + MARGIN)
    return card_place(frame, dots, half_wide, half_deep, corner)


def message_part(frame: LitFrame, words: str, dots: Array, status: str = "") -> Part:
    """What was just said, in the middle of the near side unless lines are there.

    `status` are the words of the countdown, where that is lit too: the cards lie clear of another.
    """
    across, _ = frame.worker_size
    rows = tuple((line, PLAIN) for line in _folded(words, min(900.0, across - 4 * MARGIN), PLAIN))
    if status:
        place = _status_place(frame, status, dots)
        there = Motion(0.0, place.x, place.y)
        wide, deep = _half_size(((status, SMALL),))
        taken = block_dots(frame.table_from_worker @ there, 2 * wide, 2 * deep)
        dots = np.concatenate([dots, np.repeat(taken, 20, axis=0)])
    half_wide, half_deep = _half_size(rows)
    near = Point(across / 2, half_deep + 3.5 * MARGIN)
    at = card_place(frame, dots, half_wide, half_deep, near)
    return _card(frame, at, rows, frame.ink.text)


def scale_part(frame: LitFrame, words: str, dots: Array) -> Part:
    """How far the squares can be trusted, near the middle of the light unless lines are there."""
    rows = ((words, PLAIN),)
    across, deep = frame.worker_size
    at = card_place(frame, dots, *_half_size(rows), Point(across / 2, deep * 0.62))
    return _card(frame, at, rows, frame.ink.text)


def trouble_part(frame: LitFrame, words: str) -> Part:
    """Why nothing is lit, in the middle of the light."""
    across, deep = frame.worker_size
    lines = _folded(words, across * 0.8, LARGE * 0.7)
    rows = (("No piece is lit", LARGE), *((line, LARGE * 0.7) for line in lines))
    return _card(frame, Point(across / 2, deep / 2), rows, frame.ink.text)


def _folded(words: str, wide: float, height: float) -> list[str]:
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer) * height > wide:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def _card(frame: LitFrame, at: Point, lines: tuple[tuple[str, float], ...], colour: Colour) -> Part:
    """Centred lines on a dark card with a thin frame; `at` in the frame of the worker."""
    half_wide, half_deep = _half_size(lines)
    box, border = _box(frame, at, half_wide, half_deep)
    writings = text_block(frame, frame.table_from_worker(at), lines, colour, edge=False)
    return part_of(frame, (border,), writings, (box,))


def _half_size(lines: tuple[tuple[str, float], ...]) -> tuple[float, float]:
    wide = max(text_width(text) * height for text, height in lines)
    return (
        wide / 2 + MARGIN * 0.7,
        sum(height * LINE_PITCH for _, height in lines) / 2 + MARGIN * 0.3,
    )


def _box(frame: LitFrame, at: Point, half_wide: float, half_deep: float) -> tuple[Box, Stroke]:
    corners = [
        frame.table_from_worker(at + Point(x * half_wide, y * half_deep))
        for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    rows = np.array([[p.x, p.y] for p in corners])
    middle = frame.table_from_worker(at)
    border = lines_stroke(frame, [rows], frame.ink.guide, 0.8, middle, closed=True, edge=False)
    return Box(screen_points(frame.table_map, rows), (0, 0, 0)), border


def help_part(frame: LitFrame) -> Part:
    """The short help card: what she needs most, to be read standing."""
    return _key_card(frame, ([("In short", None), *((k.name, k) for k in SHORT)],), PLAIN)


def every_key_part(frame: LitFrame) -> Part:
    """The long help card: mouse and handset to the left, keys to the right."""
    left = [("Mouse", None), *((k.name, k) for k in MOUSE), ("", None)]
    left += [("Handset: buttons by number", None), *((k.name, k) for k in HANDSET)]
    return _key_card(frame, (left, [("Keys", None), *((k.name, k) for k in KEYS)]), SMALL)


def _key_card(
    frame: LitFrame, lists: tuple[list[tuple[str, Key | None]], ...], height: float
) -> Part:
    """Columns of keys with what they do, in capitals of that height, on a dark card."""
    across, deep = frame.worker_size
    pitch = height * LINE_PITCH
    columns = [_column(entries, height) for entries in lists]
    wide = sum(names + does for names, does in columns) + (len(lists) + 1) * MARGIN
    high = max(map(len, lists)) * pitch + 2 * MARGIN
    # On a small table the card shrinks rather than lose lines.
    scale = min(1.0, (across - MARGIN) / wide, (deep - MARGIN) / high)
    centre = Point(across / 2, deep / 2)
    box, border = _box(frame, centre, scale * wide / 2, scale * high / 2)
    writings: list[Writing] = []
    x = -wide / 2 + MARGIN
    for entries, (names, does) in zip(lists, columns, strict=True):
        y = high / 2 - MARGIN - pitch / 2
        for name, key in entries:
            title = key is None
            texts = [(x, name, frame.ink.cutting if title else frame.ink.chosen)]
            if isinstance(key, Key):
                texts.append((x + names, key.does, frame.ink.text))
            for start, text, colour in texts:
                if text:
                    at = frame.table_from_worker(centre + Point(scale * start, scale * y))
                    line = [(text, scale * height)]
                    writings += text_block(frame, at, line, colour, left=True, edge=False)
            y -= pitch
        x += names + does + MARGIN
    return part_of(frame, (border,), tuple(writings), (box,))


def _column(entries: list[tuple[str, Key | None]], height: float) -> tuple[float, float]:
    """Widths of the names and of what they do, mm."""
    names = max(text_width(name) * height for name, key in entries if key is not None) + MARGIN
    does = max(text_width(key.does) * height for _, key in entries if key is not None)
    return names, does
