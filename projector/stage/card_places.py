"""Where a card of text lies on the table: where it meets the fewest lines that are to be cut."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from drafting.piece import Piece
from drafting.plane import Motion, Point
from projector.cloth.layout import Layout, Placement, piece_of
from projector.cloth.shapes import moved_rows
from projector.stage.labels import label_lines, label_place
from projector.stage.lettering import text_width
from projector.stage.lit_frame import LINE_PITCH, LitFrame
from projector.stage.picture import Array
from projector.stage.piece_lines import piece_lines, spaced

__all__ = ["block_dots", "card_place", "piece_dots", "resting_dots"]

STEPS = (11, 9)
"""Places that are tried across the light and away from the worker."""
CLEAR = 12.0
"""A card keeps this far from a line and from the edge of the light where it can, mm."""
DOTS = 15.0
"""Lines are looked at as dots this far apart, mm."""
CELL = 8.0
"""Side of the cells in which the dots are counted, mm."""
FAR = 0.004
"""By how many dots under a card a place 1 mm further from where it is wanted is worse."""


def resting_dots(frame: LitFrame, layout: Layout, lie: Motion, moving: int | None) -> Array:
    """Dots along the lines and labels of all pieces that rest, (n, 2), table frame, mm.

    `lie` is table from cloth. The piece that is `moving` is left out, so that a card lies still
    while a piece is dragged.
    """
    found = [np.empty((0, 2))]
    for index, placement in enumerate(layout.placements):
        if index != moving:
            found.append(piece_dots(frame, layout, lie, placement))
    return np.concatenate(found)


def piece_dots(frame: LitFrame, layout: Layout, lie: Motion, placement: Placement) -> Array:
    """Dots along the lines and the label of one piece, (n, 2), table frame, mm."""
    piece, folded = piece_of(layout, placement), layout.cloth.folded
    motion = lie @ placement.cloth_from_piece
    lines = moved_rows(_dots(piece, folded), motion)
    return np.concatenate([lines, _label_dots(frame, piece, folded, placement, motion)])


@lru_cache(maxsize=512)
def _dots(piece: Piece, folded: bool) -> Array:
    rows = [
        spaced(line, DOTS, lines.closed)
        for lines in piece_lines(piece, folded, False)
        for line in np.split(lines.points, lines.breaks)
    ]
    return np.concatenate(rows)


def _label_dots(
    frame: LitFrame, piece: Piece, folded: bool, placement: Placement, motion: Motion
) -> Array:
    text = label_lines(piece, placement, folded)
    along = motion.inverse.direction(Motion(frame.text_angle)(Point(1.0, 0.0)))
    middle = motion(label_place(piece, folded, text, along))
    wide = max(text_width(words) * height for words, height in text)
    deep = sum(height * LINE_PITCH for _, height in text)
    return block_dots(Motion(frame.text_angle, middle.x, middle.y), wide, deep)


def block_dots(table_from_block: Motion, wide: float, deep: float) -> Array:
    """Dots over a block of that size about its origin, table frame, (n, 2), mm."""
    xs, ys = (np.linspace(-size / 2, size / 2, int(size / DOTS) + 2) for size in (wide, deep))
    return moved_rows(np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2), table_from_block)


def card_place(
    frame: LitFrame, dots: Array, half_wide: float, half_deep: float, wanted: Point
) -> Point:
    """The middle of a card of that size, in the frame of the worker, mm.

    Of a grid of places in the light the one where fewest `dots` are under the card, with a little
    weight on how far it is from where it is `wanted`.
    """
    across, deep = frame.worker_size
    wide, high = half_wide + CLEAR, half_deep + CLEAR
    xs = np.linspace(min(wide, across / 2), max(across - wide, across / 2), STEPS[0])
    ys = np.linspace(min(high, deep / 2), max(deep - high, deep / 2), STEPS[1])
    middles = np.array([[wanted.x, wanted.y], *([x, y] for y in ys for x in xs)])
    seen = moved_rows(dots, frame.table_from_worker.inverse)
    # Dots are counted once in cells, and summed from the near left corner: a card's count is then
    # a difference of four sums.
    cells = (int(across / CELL) + 1, int(deep / CELL) + 1)
    ends = [(0.0, across), (0.0, deep)]
    counted = np.histogramdd(seen, bins=cells, range=ends)[0]
    sums = np.pad(counted.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    scale = np.array([cells[0] / across, cells[1] / deep])
    size = np.array([wide, high])
    low = np.clip(np.floor((middles - size) * scale).astype(int), 0, cells)
    top = np.clip(np.ceil((middles + size) * scale).astype(int), 0, cells)
    under = (
        sums[top[:, 0], top[:, 1]]
        - sums[low[:, 0], top[:, 1]]
        - sums[top[:, 0], low[:, 1]]
        + sums[low[:, 0], low[:, 1]]
    )
    away = np.hypot(*(middles - middles[0]).T)
    x, y = middles[int(np.argmin(under + FAR * away))]
    return Point(float(x), float(y))
