"""What lies on the rig's table: cloth, printed boards, plain sheets, a hand; how much light each
gives back.

Table frame: mm, y away from the worker. A drawing's rows run down its sheet, so that a sheet that
is not turned lies with its upper edge away from the worker.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import PAPER, Board, black_rectangles, paper_corners
from calibration.errors import CalibrationError
from calibration.homography import Array, mapped
from calibration.light import Light

__all__ = [
    "INK",
    "WHITE_PAPER",
    "Cloth",
    "Sheet",
    "board_sheet",
    "part_near",
    "plain_cloth",
    "plain_sheet",
    "seen_cloth",
    "seen_sheet",
    "sheet_points",
    "table_from_sheet",
]

WHITE_PAPER, INK = 0.85, 0.06
"""Parts of the light that office paper and laser toner give back; common values, no source."""

SHEET_PIXELS_A_MM = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A flat sheet on the table.

    Parameters
    ----------
    drawing
        Part of the light given back, shape (rows, columns) in 0..1.
    pixels_a_mm
        Of the drawing; its middle is the middle of the sheet.
    middle
        Where the middle of the sheet lies, table mm.
    angle
        Turn of the sheet, radians, counter-clockwise.
    scale
        What the printer made of a millimetre: 1.002 prints 0.2 % too large.
    height
        How far the sheet lies above the table, mm.
    """

    drawing: Light
    pixels_a_mm: float
    middle: tuple[float, float]
    angle: float = 0.0
    scale: float = 1.0
    height: float = 0.0

    def __post_init__(self) -> None:
        drawing = np.array(self.drawing, dtype=np.float32)
        if drawing.ndim != 2 or min(drawing.shape) < 2:
            raise CalibrationError(f"a sheet's drawing has rows and columns, found {drawing.shape}")
        drawing.setflags(write=False)
        object.__setattr__(self, "drawing", drawing)


@dataclass(frozen=True, slots=True, eq=False)
class Cloth:
    """Cloth that covers the table: a print repeated along and across, or one even grey.

    `print_` has shape (rows, columns) or (rows, columns, 3, BGR) in 0..1; its first row lies
    along y = 0 of the table and rows follow in +y.
    """

    print_: Light
    pixels_a_mm: float = 1.0


def plain_cloth(reflectance: float) -> Cloth:
    """Cloth of one grey that gives back this part of the light (0.8 white, 0.04 black)."""
    return Cloth(np.full((4, 4), reflectance, np.float32))


def board_sheet(
    board: Board,
    paper: str,
    middle: tuple[float, float],
    angle: float = 0.0,
    scale: float = 1.0,
    height: float = 0.0,
) -> Sheet:
    """A printed board on its sheet, every edge covered by exact parts of the drawing's pixels."""
    width, depth = PAPER[paper]
    cover = np.zeros((_pixels(depth), _pixels(width)))
    for left, top, right, bottom in black_rectangles(board) * SHEET_PIXELS_A_MM:
        across, down = _covered(left, right, cover.shape[1]), _covered(top, bottom, cover.shape[0])
        cover[down[0]][:, across[0]] += np.outer(down[1], across[1])
    drawing = WHITE_PAPER + (INK - WHITE_PAPER) * np.clip(cover, 0.0, 1.0)
    return Sheet(drawing.astype(np.float32), SHEET_PIXELS_A_MM, middle, angle, scale, height)


def plain_sheet(
    size: tuple[float, float], middle: tuple[float, float], angle: float = 0.0, height: float = 0.0
) -> Sheet:
    """White paper of this width and depth, mm."""
    shape = (_pixels(size[1]), _pixels(size[0]))
    if abs(shape[1] / SHEET_PIXELS_A_MM - size[0]) > 1e-9 or (
        abs(shape[0] / SHEET_PIXELS_A_MM - size[1]) > 1e-9
    ):
        raise CalibrationError("a plain sheet has sides of whole quarter millimetres")
    return Sheet(
        np.full(shape, WHITE_PAPER, np.float32), SHEET_PIXELS_A_MM, middle, angle, 1.0, height
    )


def _pixels(length: float) -> int:
    return round(length * SHEET_PIXELS_A_MM)


def _covered(start: float, end: float, count: int) -> tuple[slice, Array]:
    first, last = max(int(np.floor(start)), 0), min(int(np.ceil(end)), count)
    edges = np.arange(first, last + 1, dtype=np.float64)
    return slice(first, last), np.diff(np.clip(edges, start, end))


def table_from_sheet(sheet: Sheet) -> Array:
    """The map (3, 3) from a sheet's own mm (origin upper left, y up, so that y <= 0) to table."""
    rows, columns = sheet.drawing.shape
    cos, sin = sheet.scale * np.cos(sheet.angle), sheet.scale * np.sin(sheet.angle)
    turn = np.array([[cos, -sin], [sin, cos]])
    own = np.array([columns, -rows]) / 2.0 / sheet.pixels_a_mm
    shift = np.array(sheet.middle) - turn @ own
    return np.array([[*turn[0], shift[0]], [*turn[1], shift[1]], [0.0, 0.0, 1.0]])


def sheet_points(sheet: Sheet, board: Board) -> Array:
    """Where the inner corners of a board on the sheet truly lie, table mm, (n, 2)."""
    return mapped(table_from_sheet(sheet), paper_corners(board))


def part_near(sheet: Sheet, x: Light, y: Light) -> tuple[slice, slice] | None:
    """The rows and columns of table places `x`, `y` (h, w) among which the sheet lies, or None."""
    rows, columns = sheet.drawing.shape
    reach = sheet.scale * float(np.hypot(rows, columns)) / 2.0 / sheet.pixels_a_mm + 20.0
    close = np.hypot(x[::8, ::8] - sheet.middle[0], y[::8, ::8] - sheet.middle[1]) < reach
    if not close.any():
        return None
    across, down = np.flatnonzero(close.any(axis=0)), np.flatnonzero(close.any(axis=1))
    return (
        slice(max(int(down[0]) - 1, 0) * 8, (int(down[-1]) + 2) * 8),
        slice(max(int(across[0]) - 1, 0) * 8, (int(across[-1]) + 2) * 8),
    )


def seen_sheet(sheet: Sheet, x: Light, y: Light) -> tuple[Light, npt.NDArray[np.bool_]]:
    """The part of the light given back at table places `x`, `y` (h, w); where the sheet is."""
    rows, columns = sheet.drawing.shape
    px = sheet.pixels_a_mm
    sheet_from_table = np.linalg.inv(table_from_sheet(sheet))
    (a, b, c), (d, e, f) = (sheet_from_table[:2] * [[px], [-px]]).astype(np.float32)
    across, down = a * x + b * y + c, d * x + e * y + f
    there = (across > 0) & (across < columns) & (down > 0) & (down < rows)
    # A point p of the sheet lies in pixel coordinate p - 1/2 of its drawing.
    half = np.float32(0.5)
    light = cv2.remap(
        sheet.drawing, across - half, down - half, cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )  # fmt: skip
    return np.asarray(light, dtype=np.float32), there


def seen_cloth(cloth: Cloth, x: Light, y: Light) -> Light:
    """Light given back by the cloth at table places, shape of `x` (with colours if it has any)."""
    if float(np.ptp(cloth.print_)) == 0.0:
        return np.full(x.shape, cloth.print_.flat[0], np.float32)
    px = np.float32(cloth.pixels_a_mm)
    rows, columns = cloth.print_.shape[:2]
    across, down = np.mod(x * px, columns), np.mod(y * px, rows)
    light = cv2.remap(cloth.print_, across, down, cv2.INTER_LINEAR, borderMode=cv2.BORDER_WRAP)
    return np.asarray(light, dtype=np.float32)
