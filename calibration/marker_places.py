"""Whether the markers read lie as they do on a board, each by its own square.

A marker shows how large and how turned its square is, and so where its neighbours must be. On a
board with another number of columns those beside it are right and those below it are others.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from calibration.board import Board, marker_squares
from calibration.homography import Array

__all__ = ["FEWEST_PAIRS", "agreed", "agreement", "likelier_columns"]

NEAR = 2.5
"""Squares within which neighbours are asked about."""
OFF = 0.3
"""Part of the way by which a neighbour may be off: lens and perspective take less."""
MOST_COLUMNS = 80
FEWEST_PAIRS = 6


def agreement(board: Board, ids: npt.NDArray[np.int64], quads: Array) -> float:
    """The part of neighbouring markers that lie where the board has them; 1 for too few to tell.

    `ids` (n,) of the markers and their corners `quads` (n, 4, 2), pixels, clockwise from the
    marker's own upper left.
    """
    return agreed(board, ids, quads)[0]


def likelier_columns(board: Board, ids: npt.NDArray[np.int64], quads: Array) -> int | None:
    """The number of columns with which the markers would agree; None when there is none."""
    best, most = None, 0.8
    for columns in range(3, MOST_COLUMNS):
        other = replace(board, columns=columns, rows=2 * (int(ids.max()) // columns + 2), bits=0,
                        cell=0.0, markers="", legacy=False)  # fmt: skip
        share, pairs = agreed(other, ids, quads)
        if pairs >= FEWEST_PAIRS and share > most:
            best, most = columns, share
    return best


def agreed(board: Board, ids: npt.NDArray[np.int64], quads: Array) -> tuple[float, int]:
    """As `agreement`, and of how many pairs of neighbours."""
    squares = marker_squares(board)
    known = ids < len(squares)
    place, quads = squares[ids[known]], quads[known]
    if len(place) < 2:
        return 1.0, 0
    middle = quads.mean(axis=1)
    share = board.cell * (board.bits + 2) / board.square if board.bits else 0.72
    right = (quads[:, 1] - quads[:, 0] + quads[:, 2] - quads[:, 3]) / (2.0 * share)
    down = (quads[:, 3] - quads[:, 0] + quads[:, 2] - quads[:, 1]) / (2.0 * share)
    told = place[None] - place[:, None]
    far = np.hypot(told[..., 0], told[..., 1])
    first, second = np.nonzero((far > 0.0) & (far < NEAR))
    if len(first) < FEWEST_PAIRS:
        return 1.0, 0
    step = told[first, second]
    wanted = step[:, :1] * right[first] + step[:, 1:] * down[first]
    # Perspective: the neighbour's own square counts as much.
    wanted = (wanted + step[:, :1] * right[second] + step[:, 1:] * down[second]) / 2.0
    off = np.hypot(*(middle[second] - middle[first] - wanted).T)
    return float((off < OFF * np.hypot(*wanted.T)).mean()), len(first)
