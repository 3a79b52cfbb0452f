"""Labels: what a piece is, for whom, how often it is cut, and on which day it was drafted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from drafting.body import Body
from drafting.label_place import clear_area, roomiest
from drafting.marks import Label
from drafting.piece import Piece, title_of

__all__ = ["LETTER", "LINE", "block_size", "cut_count", "dated", "labelled"]

LETTER = 9.0
"""Height of the letters a label is set in, mm."""

LINE = 1.3 * LETTER
"""From one line of a label to the next, mm."""

WIDTH_OF_LETTER = 0.56 * LETTER


def block_size(lines: Sequence[str]) -> tuple[float, float]:
    """Width and height that the lines of a label take, mm."""
    return WIDTH_OF_LETTER * max(map(len, lines)), LINE * len(lines)


def cut_count(piece: Piece, folded: bool = True) -> str:
    """How often it is cut, in words: "cut 1 on the fold", "cut 2 in pairs".

    On flat cloth (`folded` false) a piece with a fold edge is opened out, and its fold not named.
    """
    on_fold = piece.fold_edge is not None and folded
    way = " on the fold" if on_fold else " in pairs" if piece.paired else ""
    return f"cut {piece.count}{way}"


def labelled(piece: Piece, body: Body) -> Piece:
    """The piece with its label: name and size, cut count, and the body it is drafted for.

    It stands where it has most room beside grain and inner lines. On a small piece the body is
    left out, on a strip all is set in one line.
    """
    title = title_of(piece)
    count = cut_count(piece)
    whose = (
        f"bust {body.bust / 10:.1f}, hip {body.hip / 10:.1f} cm",
        f"height {body.height / 10:.1f} cm" + (", rest estimated" if body.estimated else ""),
    )
    area = clear_area(piece, 3.0)
    for lines in ((title, count, *whose), (title, count), (f"{title}, {count}",), (title,)):
        point, scale = roomiest(area, *block_size(lines))
        if scale >= 1.0:
            break
    marks = tuple(mark for mark in piece.marks if not isinstance(mark, Label))
    return replace(piece, marks=(*marks, Label(point, lines)))


def dated(piece: Piece, day: str) -> Piece:
    """The piece with the day of its draft on the label, as "2024-05-01".

    A piece without a label, or one so small that its label is one line, stays as it is.
    """
    label = next((mark for mark in piece.marks if isinstance(mark, Label)), None)
    if label is None or len(label.lines) < 2:
        return piece
    new = replace(label, lines=(*label.lines, f"drafted {day}"))
    return replace(piece, marks=tuple(new if mark is label else mark for mark in piece.marks))
