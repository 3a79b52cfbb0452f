"""The lines of one piece in its own frame, as arrays, made once and moved often."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from drafting.allowance import cut_run, notch_strokes
from drafting.chains import flattened_chain
from drafting.edge import flattened_edge
from drafting.marks import Drill, InnerLine, grain_heads
from drafting.piece import Piece, grain_of, outline
from drafting.plane import Point, coordinates
from drafting.unfolding import unfolded
from projector.stage.picture import Array

__all__ = ["Lines", "Role", "dashed", "piece_lines", "spaced"]

Role = Literal["cutting", "seam", "grain", "fold", "notch"]

FLATNESS = 0.05
LONGEST = 100.0
"""Straight lines are divided to this many mm, so that a lens that bends them is followed."""


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Polylines of one layer and width: `points` (n, 2), mm; another line begins at each break."""

    layer: str
    role: Role
    width: float
    points: Array
    breaks: tuple[int, ...] = ()
    closed: bool = False


@lru_cache(maxsize=256)
def piece_lines(piece: Piece, folded: bool, one_way: bool = False) -> tuple[Lines, ...]:
    """What can be lit of a piece, in its frame; opened out where the cloth lies flat.

    The fold is not part of the cutting line, and on one-way cloth the grain has one head.

    Cutting line and seam line are within 0.05 mm of the draft. Widths are mm on the table.
    """
    whole = piece if folded else unfolded(piece)
    found = []
    seam = _rows(outline(whole, FLATNESS))
    found.append(_joined("seam line", "seam", 1.0, dashed(seam, (14.0, 6.0), closed=True)))
    folds = [flattened_edge(edge, FLATNESS) for edge in whole.edges if edge.role == "fold"]
    if folds:
        dashes = [dash for fold in folds for dash in dashed(_rows(fold), (36.0, 8.0, 6.0, 8.0))]
        found.append(_joined("fold", "fold", 2.4, dashes))
    found += _inside(whole, one_way)
    notches = [_rows(ends) for _, *ends in notch_strokes(whole)]
    if notches:
        found.append(_joined("notches", "notch", 1.6, notches))
    run, closed = cut_run(whole, FLATNESS)
    cut = spaced(_rows(run), LONGEST, closed)
    found.append(Lines("cutting line", "cutting", 2.0, cut, closed=closed))
    return tuple(found)


def _inside(whole: Piece, one_way: bool) -> list[Lines]:
    found = []
    inner = []
    for mark in whole.marks:
        if isinstance(mark, InnerLine):
            inner += dashed(_rows(flattened_chain(mark.segments, FLATNESS)), (4.0, 4.0))
        elif isinstance(mark, Drill):
            x, y = mark.point.x, mark.point.y
            inner += [np.array([[x - 4, y], [x + 4, y]]), np.array([[x, y - 4], [x, y + 4]])]
    if inner:
        found.append(_joined("inner lines", "seam", 0.8, inner))
    grain = grain_of(whole)
    if grain is not None:
        shaft = spaced(_rows((grain.start, grain.end)), LONGEST)
        found.append(
            _joined(
                "grain", "grain", 1.0, [shaft, *map(_rows, grain_heads(grain, 14.0, 6.0, one_way))]
            )
        )
    return found


def _rows(points: Iterable[Point]) -> Array:
    return np.array(coordinates(points), dtype=np.float64)


def _joined(layer: str, role: Role, width: float, lines: list[Array]) -> Lines:
    breaks = np.cumsum([len(line) for line in lines])[:-1]
    return Lines(layer, role, width, np.concatenate(lines), tuple(int(b) for b in breaks))


def spaced(line: Array, longest: float, closed: bool = False) -> Array:
    """The polyline (n, 2) with points added so that no step is over `longest`."""
    ends = np.concatenate([line, line[:1]]) if closed else line
    steps = np.hypot(*np.diff(ends, axis=0).T)
    parts = np.maximum(1, np.ceil(steps / longest).astype(int))
    shares = [np.arange(count) / count for count in parts]
    rows = [
        a + share[:, None] * (b - a) for a, b, share in zip(ends, ends[1:], shares, strict=False)
    ]
    return np.concatenate(rows if closed else [*rows, ends[-1:]])


def dashed(line: Array, pattern: tuple[float, ...], closed: bool = False) -> list[Array]:
    """Dashes along a polyline (n, 2), mm: lengths lit and dark in turn, begun with a lit one.

    The pattern is stretched a little so that it ends with a lit dash, or, on a closed line, joins.
    """
    ends = np.concatenate([line, line[:1]]) if closed else line
    steps = np.hypot(*np.diff(ends, axis=0).T)
    ends = ends[np.concatenate([[True], steps > 1e-9])]
    places = np.concatenate([[0.0], np.cumsum(steps[steps > 1e-9])])
    total, period = float(places[-1]), sum(pattern)
    if total < period:
        return [ends]
    last = 0.0 if closed else pattern[0]
    stretch = total / (max(1, round((total - last) / period)) * period + last)
    marks = np.concatenate([[0.0], np.cumsum(pattern * (int(total / period) + 2))]) * stretch
    dashes = []
    for begin, end in zip(marks[0::2], marks[1::2], strict=False):
        if begin >= total - 1e-6:
            break
        end = min(float(end), total)
        between = (places > begin) & (places < end)
        at = np.array([begin, end])
        two = np.column_stack([np.interp(at, places, ends[:, i]) for i in (0, 1)])
        dashes.append(np.concatenate([two[:1], ends[between], two[1:]]))
    return dashes
