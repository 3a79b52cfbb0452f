"""Corners of a plain checkerboard, and which way round it lies.

Without codes a board must be seen whole, and a half turn cannot be told from its corners: the
white mark in the first black square breaks that doubt, where the board has one.
"""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import MARK, Board, corner_squares
from calibration.board_place import photo_from_squares
from calibration.errors import CalibrationError
from calibration.homography import Array

__all__ = ["checkerboard_corners", "rough_plain_corners"]

SIDES = (1400, 2400)
"""The whole board is looked for at these sizes of the photograph, pixels a side, in turn."""
LEAST_DIFFERENCE = 0.5
"""Part of the step from black to white by which the mark must differ between both ways round."""


def checkerboard_corners(
    grey: npt.NDArray[np.uint8], columns: int, rows: int, subject: str
) -> Array:
    """The inner corners (columns * rows, 2), pixels, row by row, of any plain checkerboard.

    `columns` and `rows` count inner corners. The order may be that of a half turn; where one of
    the two is even, the detector itself decides it by the colour of the first square.

    Raises `CalibrationError`, naming the `subject`, when the board is not seen whole.
    """
    flags = cv2.CALIB_CB_NORMALIZE_IMAGE | cv2.CALIB_CB_EXHAUSTIVE
    for side in SIDES:
        scale = min(1.0, side / max(grey.shape))
        small = grey
        if scale < 1.0:
            small = np.asarray(
                cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), np.uint8
            )
        found, corners = cv2.findChessboardCornersSB(small, (columns, rows), flags)
        if not found:  # the older search still reads small boards with narrow rims
            found, corners = cv2.findChessboardCorners(small, (columns, rows))
        if found:
            points: Array = (corners.reshape(-1, 2).astype(np.float64) + 0.5) / scale - 0.5
            return points
        if scale == 1.0:
            break
    raise CalibrationError(
        f"{subject}: no checkerboard of {columns} x {rows} inner corners is seen whole; show all "
        "of it with nothing lying in it, or use the coded board"
    )


def rough_plain_corners(
    grey: npt.NDArray[np.uint8], board: Board, subject: str
) -> tuple[npt.NDArray[np.int64], Array]:
    """Ids and places (n, 2), pixels, of all inner corners of a board without codes.

    Of a board without a mark they may be those of a half turn. Raises `CalibrationError` when the
    board is not seen whole or its mark does not stand out.
    """
    columns, rows = board.columns - 1, board.rows - 1
    seen = checkerboard_corners(grey, columns, rows, subject)
    if not board.marked:
        return np.arange(len(seen), dtype=np.int64), seen
    squares = corner_squares(board)
    marked = [_mark(grey, photo_from_squares(squares, way)) for way in (seen, seen[::-1])]
    if abs(marked[0] - marked[1]) < LEAST_DIFFERENCE:
        raise CalibrationError(
            f"{subject}: the mark in the first square of the plain board is not seen, so that it "
            "cannot be told which way round it lies; uncover it, or use the coded board"
        )
    points = seen if marked[0] > marked[1] else seen[::-1]
    return np.arange(len(points), dtype=np.int64), points.copy()


def _mark(grey: npt.NDArray[np.uint8], place: object) -> float:
    """How white the middle of the first square is between its own black rim (0) and white (1)."""
    assert callable(place)
    spread = np.linspace(-0.12, 0.12, 5)
    x, y = (side.ravel() for side in np.meshgrid(spread, spread))
    middle = np.stack([x, y], axis=-1)
    rim = (1.0 - MARK) / 4.0

    def level(squares: Array) -> float:
        points = place(squares).astype(np.float32)
        rows = cv2.remap(
            grey, points[:, :1], points[:, 1:], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        )
        return float(np.median(rows))

    inside = level(np.array([0.5, 0.5]) + middle)
    black = level(np.array([[rim, 0.5], [1 - rim, 0.5], [0.5, rim], [0.5, 1 - rim], [rim, rim]]))
    white = level(np.array([1.5, 0.5]) + middle)
    return (inside - black) / (white - black) if white - black > 10.0 else 0.0
