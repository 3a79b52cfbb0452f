"""Which of our boards a photograph shows, when it is not the one that was told."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from calibration.board import (
    BOARDS,
    PAPER,
    Board,
    printed_board,
    screen_board,
    stated_board,
)
from calibration.decoding import Decoded, decoded
from calibration.dictionaries import MARKERS, projected_order
from calibration.homography import Array
from calibration.marker_places import FEWEST_PAIRS, agreed

__all__ = ["coded_board_lit", "other_screen", "other_sheet"]

SCREENS = (
    (1280, 720),
    (1920, 1080),
    (3840, 2160),
    (1280, 800),
    (1920, 1200),
    (2560, 1600),
    (1024, 768),
    (1400, 1050),
    (1600, 1200),
    (800, 600),
    (848, 480),
    (854, 480),
    (1366, 768),
    (1600, 900),
    (2560, 1440),
)
"""Pixels of projectors that are sold; common practice, no source."""
CLEARLY = 0.8
FEWEST_MARKERS = 4


def other_screen(seen: Decoded, board: Board) -> tuple[int, int] | None:
    """The size of the screen whose board the markers read are of; None when no size fits."""
    numbers = projected_order(board.screen)[seen.marker_ids]
    for size in SCREENS:
        ids = np.argsort(projected_order(size))[numbers]
        if size != board.screen and _fits(screen_board(size), ids, seen.quads_px):
            return size
    return None


def other_sheet(grey: npt.NDArray[np.uint8], told: Sequence[Board]) -> tuple[str, int] | None:
    """Paper and number, from 0, of a printed board of ours that is seen and was not told.

    None for none, and where the markers read are as well those of one that was told.
    """
    # The markers of all our printed boards at once, on a board that only names them.
    seen = decoded(grey, stated_board(26, 25, 1.0, 0.72, "4X4_1000"))
    for number in range(BOARDS):
        own = (seen.marker_ids // MARKERS) == number
        ids, quads = seen.marker_ids[own] % MARKERS, seen.quads_px[own]
        if any(_fits(board, ids, quads) for board in told if board.number == number):
            continue
        for paper in PAPER:
            if _fits(printed_board(paper, number=number), ids, quads):
                return paper, number
    return None


def coded_board_lit(grey: npt.NDArray[np.uint8], screen: tuple[int, int]) -> bool:
    """Whether markers of the coded board for this screen are read."""
    seen = decoded(grey, screen_board(screen))
    return len(seen.marker_ids) >= FEWEST_MARKERS


def _fits(board: Board, ids: npt.NDArray[np.int64], quads: Array) -> bool:
    share, pairs = agreed(board, ids, quads)
    return share > CLEARLY and pairs >= FEWEST_PAIRS
