"""Where a piece's name fits inside it, clear of its grain line, whichever way it is turned."""

from __future__ import annotations

import math
from functools import lru_cache

from drafting.label_place import clear_area, roomiest
from drafting.labels import cut_count
from drafting.piece import Piece, seam_polygon
from drafting.plane import Point
from drafting.unfolding import unfolded
from projector.cloth.layout import Placement, piece_key
from projector.cloth.shapes import tilt_words
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
    lines += [(words, SMALL) for words in tilt_words(piece, placement.cloth_from_piece)]
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
    whole = piece if folded else unfolded(piece)
    spaced = wide + 2 * CLEAR, deep + 2 * CLEAR
    place, scale = roomiest(clear_area(whole, CLEAR), *spaced, step * STEP)
    if scale < 1.0:
        place, _ = roomiest(seam_polygon(whole, 1.0), *spaced, step * STEP)
    return place
