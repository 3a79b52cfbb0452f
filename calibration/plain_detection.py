"""Corners of a plain checkerboard, and which way round it lies.

Without codes all rows and columns of a board must be seen, and a half turn cannot be told from its
corners: the white mark in the first black square breaks that doubt, where the board has one.
"""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import MARK, Board, corner_squares
from calibration.board_place import photo_from_squares
from calibration.errors import CalibrationError
from calibration.homography import Array
from calibration.light import reduced, sampled, whole_points
from calibration.plain_lattice import covered_corners

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
        small, scale = reduced(grey, side)
        found, corners = cv2.findChessboardCornersSB(small, (columns, rows), flags)
        if not found:  # the older search still reads small boards with narrow rims
            found, corners = cv2.findChessboardCorners(small, (columns, rows))
        if found:
            return whole_points(corners.reshape(-1, 2).astype(np.float64), scale)
        if scale == 1.0:
            break
    raise CalibrationError(
        f"{subject}: no checkerboard of {columns} x {rows} inner corners is seen whole; show all "
        "of it, to its four corners, or use the coded board"
    )


def rough_plain_corners(
    grey: npt.NDArray[np.uint8], board: Board, subject: str
) -> tuple[npt.NDArray[np.int64], Array]:
    """Ids and places (n, 2), pixels, of the inner corners of a board without codes.

    All of them, or where something covers a part those round it.

    Of a board without a mark they may be those of a half turn. Raises `CalibrationError` when the
    board is not seen whole or its mark does not stand out.
    """
    columns, rows = board.columns - 1, board.rows - 1
    ids = np.arange(columns * rows, dtype=np.int64)
    try:
        seen = checkerboard_corners(grey, columns, rows, subject)
    except CalibrationError:
        covered = covered_corners(grey, columns, rows)
        if covered is None:
            raise
        ids, seen = covered
    if not board.marked:
        return ids, seen
    squares = corner_squares(board)
    turned = columns * rows - 1 - ids
    marked = [_mark(grey, photo_from_squares(squares[way], seen)) for way in (ids, turned)]
    if abs(marked[0] - marked[1]) < LEAST_DIFFERENCE:
        for way in (ids, turned):
            place = photo_from_squares(squares[way], seen)
            if _outside(grey, place) and _black_first(grey, place, board):
                return way, seen
        raise CalibrationError(
            f"{subject}: the mark in the first square of the plain board is not seen, so that it "
            "cannot be told which way round it lies; uncover it, show the whole board, or use the "
            "coded board"
        )
    return ids if marked[0] > marked[1] else turned, seen


def _outside(grey: npt.NDArray[np.uint8], place: Callable[[Array], Array]) -> bool:
    """Whether the first square, with its mark, lies outside the picture."""
    x, y = place(np.array([[0.5, 0.5]]))[0]
    return not (0.0 <= x < grey.shape[1] and 0.0 <= y < grey.shape[0])


def _black_first(
    grey: npt.NDArray[np.uint8], place: Callable[[Array], Array], board: Board
) -> bool:
    """Whether the squares are black that ought to be: told where a half turn exchanges them."""
    if (board.columns + board.rows) % 2 == 0:
        return False
    y, x = (part.ravel() for part in np.mgrid[1 : board.rows - 1, 1 : board.columns - 1])
    points = np.rint(place(np.column_stack([x, y]) + 0.5)).astype(int)
    inside = ((points >= 0) & (points < grey.shape[::-1])).all(axis=1)
    level = grey[points[inside, 1], points[inside, 0]].astype(float)
    black = ((x + y) % 2 == 0)[inside]
    return bool(np.median(level[black]) + 10.0 < np.median(level[~black]))


def _mark(grey: npt.NDArray[np.uint8], place: Callable[[Array], Array]) -> float:
    """How white the middle of the first square is between its own black rim (0) and white (1)."""
    spread = np.linspace(-0.12, 0.12, 5)
    x, y = (side.ravel() for side in np.meshgrid(spread, spread))
    middle = np.stack([x, y], axis=-1)
    rim = (1.0 - MARK) / 4.0

    def level(squares: Array) -> float:
        return float(np.median(sampled(grey, place(squares)[:, None])))

    inside = level(np.array([0.5, 0.5]) + middle)
    black = level(np.array([[rim, 0.5], [1 - rim, 0.5], [0.5, rim], [0.5, 1 - rim], [rim, rim]]))
    white = level(np.array([1.5, 0.5]) + middle)
    return (inside - black) / (white - black) if white - black > 10.0 else 0.0
