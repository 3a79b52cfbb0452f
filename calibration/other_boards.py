"""Which of our boards a photograph shows, when it is not the one that was told."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from calibration.board import BOARDS, PAPER, Board, printed_board, screen_board
from calibration.decoding import Decoded, decoded
from calibration.dictionaries import projected_order
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
        if size != board.screen and _fits(
            screen_board(size), np.argsort(projected_order(size))[numbers], seen
        ):
            return size
    return None


def other_sheet(grey: npt.NDArray[np.uint8], board: Board) -> tuple[str, int] | None:
    """Paper and number, from 0, of another printed board of ours that is seen; None for none."""
    first = board.number
    for number in (first, *(n for n in range(BOARDS) if n != first)):
        seen = decoded(grey, printed_board("A3", number=number))
        for paper in PAPER:
            sheet = printed_board(paper, number=number)
            if sheet != board and _fits(sheet, seen.marker_ids, seen):
                return paper, number
    return None


def coded_board_lit(grey: npt.NDArray[np.uint8], screen: tuple[int, int]) -> bool:
    """Whether markers of the coded board for this screen are read."""
    seen = decoded(grey, screen_board(screen))
    return len(seen.marker_ids) >= FEWEST_MARKERS


def _fits(board: Board, ids: npt.NDArray[np.int64], seen: Decoded) -> bool:
    share, pairs = agreed(board, ids, seen.quads_px)
    return share > CLEARLY and pairs >= FEWEST_PAIRS
