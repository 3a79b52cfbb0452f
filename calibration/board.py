"""Checkerboards, projected and printed: their black rectangles and their corners.

A marker in every white square tells which corner is which, so that a part of a board is enough
and no half-turn doubt can arise. The projected and the printed board use different marker
dictionaries and may stand in one photograph. Boards are drawn here, at exact places, rather
than by the detector's own drawing, which resamples.

Board frame: x right, y down, origin at the upper left corner of the board, in the board's own
unit (pixels of the screen, or millimetres of paper).
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calibration.dictionaries import (
    IN_ORDER,
    printed_dictionary,
    screen_dictionary,
    stated_dictionary,
)
from calibration.errors import CalibrationError
from calibration.homography import Array
from calibration.places import grid_points

__all__ = [
    "PAPER",
    "Board",
    "black_rectangles",
    "corner_points",
    "corner_screen_points",
    "corner_squares",
    "drawn_on_screen",
    "marker_squares",
    "paper_corners",
    "printed_board",
    "screen_board",
    "stated_board",
    "whole_corners",
]

PAPER = {"A4": (297.0, 210.0), "A3": (420.0, 297.0), "Letter": (279.4, 215.9)}
"""Landscape sizes in mm: ISO 216 for A3 and A4, ANSI/ASME Y14.1 for Letter (8 1/2 x 11 in)."""

BOARDS = 4
"""So many printed boards may lie on the table together, each with markers of its own."""
MARK = 0.4
"""Side of the white mark in the first black square of a board without markers, in squares."""


@dataclass(frozen=True, slots=True)
class Board:
    """A checkerboard of `columns` x `rows` squares; the first square is black.

    Parameters
    ----------
    square, cell
        Side of a square, and of one marker cell, in the board's unit.
    bits
        Cells of a marker inside its border: 6 for the projected board, 4 for the printed ones, 0
        for a plain board, whose first black square has a white mark in its middle instead.
    origin
        Upper left corner of the board on its screen (pixels, pixel edges) or sheet (mm).
    hole
        Left, top, right, bottom on that screen or sheet, left plain white; None for none.
    number
        Which of the printed boards, from 0; each has its own markers.
    markers
        Of a board that others made: the dictionary its markers are the first of, as OpenCV names
        it, such as "6X6_250"; empty for ours.
    legacy
        Of such a board: drawn as OpenCV did before 4.6, a white square first when its rows are
        even.
    marked
        Whether a plain board has our white mark; without it a half turn may stay in doubt.
    screen
        Size in pixels of the screen a projected board is for; each size has its own order of
        markers.
    """

    columns: int
    rows: int
    square: float
    cell: float
    bits: int
    origin: tuple[float, float] = (0.0, 0.0)
    hole: tuple[float, float, float, float] | None = None
    number: int = 0
    markers: str = ""
    legacy: bool = False
    marked: bool = True
    screen: tuple[int, int] = IN_ORDER

    def __post_init__(self) -> None:
        if self.markers:
            stated_dictionary(self.markers)
        elif self.bits not in (0, 4, 6):
            raise CalibrationError(f"markers have 4 or 6 bits a side, found {self.bits}")
        if self.columns < 3 or self.rows < 3:
            raise CalibrationError(
                f"a board of {self.columns} x {self.rows} squares is too small; 3 x 3 at least"
            )
        if not 0 <= self.number < BOARDS:
            raise CalibrationError(f"printed boards are numbered 1 to {BOARDS}")
        if self.bits == 0:
            return
        if self.cell * (self.bits + 2) >= self.square:
            raise CalibrationError("the markers do not fit their squares")
        markers = len(marker_squares(self))
        if markers > self.dictionary.bytesList.shape[0]:
            raise CalibrationError(f"{markers} markers are more than the dictionary holds")

    @property
    def dictionary(self) -> cv2.aruco.Dictionary:
        """The markers of this board, and of no other."""
        if self.markers:
            known = stated_dictionary(self.markers)
            count = len(marker_squares(self))
            codes = known.bytesList[:count].copy()
            return cv2.aruco.Dictionary(codes, known.markerSize, known.maxCorrectionBits)
        if self.bits == 6:
            return screen_dictionary(self.screen)
        return printed_dictionary(self.number)

    @property
    def margin(self) -> float:
        """How far a marker lies from the edge of its square, in parts of the square."""
        if self.bits == 0:
            return 0.5
        return (self.square - (self.bits + 2) * self.cell) / 2.0 / self.square


def stated_board(
    columns: int,
    rows: int,
    square: float,
    marker: float = 0.0,
    dictionary: str = "",
    legacy: bool = False,
) -> Board:
    """A board that others made, of `columns` x `rows` squares of `square` mm.

    With `marker` mm and the name of OpenCV's dictionary its white squares hold the markers 0, 1,
    ... row by row; without, it is a plain checkerboard. `legacy` is how OpenCV drew boards before
    4.6. Raises `CalibrationError` for a dictionary or sizes that make no board.
    """
    if bool(dictionary) != (marker > 0.0):
        raise CalibrationError("the side of the markers and their dictionary belong together")
    name = dictionary.upper().removeprefix("DICT_")
    if not name:
        return Board(columns, rows, square, 0.0, 0, marked=False)
    bits = int(stated_dictionary(name).markerSize)
    return Board(columns, rows, square, marker / (bits + 2), bits, markers=name, legacy=legacy)


def screen_board(
    screen_size: tuple[int, int],
    rows: int = 9,
    hole: tuple[float, float, float, float] | None = None,
    plain: bool = False,
    shift: tuple[int, int] = (0, 0),
) -> Board:
    """The board projected on a screen of this size, in whole pixels, as wide as fits.

    `plain` has no markers, and an odd sum of columns and rows; `shift` moves the board by so many
    pixels right and down, dropping the squares that no longer fit.
    """
    width, height = screen_size
    # Even, so that the markers too lie in whole pixels in the middle of their squares.
    square = height // rows // 2 * 2
    cell = int(square * 0.72) // 8
    if cell < 3:
        raise CalibrationError(f"a screen of {width} x {height} pixels is too small for a board")
    if min(shift) < 0 or max(shift) >= square:
        raise CalibrationError(f"a shift is 0 to {square - 1} pixels, found {shift}")
    columns = width // square
    left, top = (width - columns * square) // 2 + shift[0], (height - rows * square) // 2 + shift[1]
    columns -= int(left + columns * square > width)
    rows -= int(top + rows * square > height)
    if plain and (columns + rows) % 2 == 0:
        columns -= 1
    origin = (float(left), float(top))
    bits = 0 if plain else 6
    return Board(columns, rows, float(square), float(cell), bits, origin, hole, screen=screen_size)


def printed_board(paper: str = "A4", square: float = 30.0, number: int = 0) -> Board:
    """The board printed on a landscape sheet, in mm, in the middle of it, 10 mm from its edges.

    Boards of different `number`, 0 to 3, may lie on the table together.
    """
    if paper not in PAPER:
        raise CalibrationError(f"paper {paper!r} is not known; choose from {', '.join(PAPER)}")
    width, height = PAPER[paper]
    columns, rows = int((width - 20.0) // square), int((height - 30.0) // square)
    origin = ((width - columns * square) / 2, (height - 10.0 - rows * square) / 2)
    return Board(columns, rows, square, square * 0.72 / 6, 4, origin, None, number)


def black_rectangles(board: Board) -> Array:
    """Left, top, right, bottom of every black rectangle on the screen or sheet, shape (n, 4)."""
    rectangles: list[tuple[float, float, float, float]] = []
    marker, side = 0, board.bits + 2
    dictionary = board.dictionary if board.bits else None
    inset = (board.square - side * board.cell) / 2
    first = int(_white_first(board))
    for row in range(board.rows):
        for column in range(board.columns):
            left = board.origin[0] + column * board.square
            top = board.origin[1] + row * board.square
            right, bottom = left + board.square, top + board.square
            if (row + column + first) % 2 == 0:
                if board.bits == 0 and board.marked and row == column == 0:
                    rim = round(board.square * (1.0 - MARK) / 2.0)
                    rectangles += [
                        (left, top, right, top + rim),
                        (left, bottom - rim, right, bottom),
                        (left, top + rim, left + rim, bottom - rim),
                        (right - rim, top + rim, right, bottom - rim),
                    ]
                    continue
                rectangles.append((left, top, right, bottom))
                continue
            if dictionary is None:
                continue
            cells = cv2.aruco.generateImageMarker(dictionary, marker, side)
            marker += 1
            for y, x in np.argwhere(cells == 0):
                a, b = left + inset + x * board.cell, top + inset + y * board.cell
                rectangles.append((a, b, a + board.cell, b + board.cell))
    return np.array(rectangles)


def _white_first(board: Board) -> bool:
    return board.legacy and board.rows % 2 == 0


def marker_squares(board: Board) -> Array:
    """Middles of the white squares, which hold the markers 0, 1, ..., in squares, (n, 2)."""
    y, x = np.mgrid[: board.rows, : board.columns]
    white = (x + y) % 2 == (0 if _white_first(board) else 1)
    return np.column_stack([x[white], y[white]]) + 0.5


def corner_points(board: Board) -> Array:
    """The inner corners by id, row by row, on the screen's pixel edges or the sheet, (n, 2)."""
    corners: Array = np.array(board.origin) + board.square * corner_squares(board)
    return corners


def corner_squares(board: Board) -> Array:
    """The inner corners by id counted in squares from the board's upper left corner, (n, 2)."""
    return grid_points(np.arange(1.0, board.columns), np.arange(1.0, board.rows))


def whole_corners(board: Board, reach: float = 0.45) -> npt.NDArray[np.bool_]:
    """Which inner corners the hole leaves whole, with `reach` squares around them, (n,)."""
    points = corner_points(board)
    if board.hole is None:
        return np.ones(len(points), np.bool_)
    left, top, right, bottom = board.hole
    near = reach * board.square
    x, y = points.T
    inside = (x > left - near) & (x < right + near) & (y > top - near) & (y < bottom + near)
    return np.asarray(~inside, dtype=np.bool_)


def corner_screen_points(board: Board) -> Array:
    """The inner corners of a projected board as screen points: pixel centres are whole numbers."""
    return corner_points(board) - 0.5


def paper_corners(board: Board) -> Array:
    """The inner corners of a printed board in mm with y up, as seen lying on the table, (n, 2)."""
    points = corner_points(board)
    points[:, 1] *= -1.0
    return points


def drawn_on_screen(board: Board, screen_size: tuple[int, int]) -> npt.NDArray[np.uint8]:
    """The projected board as a grey image of shape (height, width), black on white."""
    width, height = screen_size
    image = np.full((height, width), 255, np.uint8)
    for left, top, right, bottom in black_rectangles(board).round().astype(int):
        image[top:bottom, left:right] = 0
    if board.hole is not None:
        left, top, right, bottom = (round(edge) for edge in board.hole)
        image[max(top, 0) : max(bottom, 0), max(left, 0) : max(right, 0)] = 255
    return image
