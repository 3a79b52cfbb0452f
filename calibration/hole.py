"""Where the projected board leaves a white hole: round the sheets that lie in its light."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import PAPER, Board, corner_screen_points, paper_corners
from calibration.decoding import decoded
from calibration.detection import found_corners, grey_of
from calibration.errors import CalibrationError
from calibration.homography import Array, fitted, mapped
from calibration.places import rectangle_corners

__all__ = ["hole_round"]

FEWEST = 4
MARGIN = 0.06
"""White left round the sheet, in parts of its long side as the screen shows it."""


def hole_round(
    photograph: npt.NDArray[np.uint8],
    screen: Board,
    printed: Sequence[tuple[str, Board]],
    screen_size: tuple[int, int],
    subject: str = "photograph",
) -> tuple[float, float, float, float]:
    """Left, top, right, bottom on the screen round every printed board that can be made out.

    The photograph shows the projected board without a hole, and printed boards (paper and board)
    lying in its light: so crossed by it they are no measure, but some of their markers can be
    read. Raises `CalibrationError` when neither can be found.
    """
    grey = grey_of(photograph, subject)
    lit = found_corners(grey, screen, f"{subject}, projected board")
    screen_from_photo = fitted(lit.points_px, corner_screen_points(screen)[lit.ids])
    outlines = []
    for paper, board in printed:
        outline = _outline(grey, paper, board)
        if outline is not None:
            outlines.append(mapped(screen_from_photo, outline) + 0.5)
    if not outlines:
        raise CalibrationError(
            f"{subject}: no printed board can be made out in the light of the projected one; give "
            "the hole by its edges in pixels, or photograph the board under plain white light"
        )
    low = np.min([outline.min(axis=0) for outline in outlines], axis=0)
    high = np.max([outline.max(axis=0) for outline in outlines], axis=0)
    room = MARGIN * float(max(np.ptp(outline, axis=0).max() for outline in outlines))
    left, top = np.floor(np.maximum(low - room, 0.0)).tolist()
    right, bottom = np.ceil(np.minimum(high + room, screen_size)).tolist()
    return left, top, right, bottom


def _outline(grey: npt.NDArray[np.uint8], paper: str, board: Board) -> Array | None:
    """The sheet's corners in the photograph (4, 2), from the corners that can be read."""
    seen = decoded(grey, board)
    ids, points = seen.ids, seen.points_px
    if len(ids) < FEWEST:
        return None
    own = paper_corners(board)[ids]
    matrix, kept = cv2.findHomography(own, points, cv2.RANSAC, 6.0)
    if matrix is None or int(kept.sum()) < FEWEST:
        return None
    width, depth = PAPER[paper]
    corners = rectangle_corners(0.0, 0.0, width, -depth)
    return mapped(np.asarray(matrix, dtype=np.float64), corners)
