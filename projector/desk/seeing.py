"""What one picture of the table shows of the lit board and of the printed sheet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calibration.board import Board, corner_points, printed_board, screen_board, whole_corners
from calibration.detection import found_corners
from calibration.errors import CalibrationError
from calibration.evidence import PhotoSight
from calibration.sighting import Printed, photo_sight
from projector.live_board import shifted_boards
from projector.printed_bars import AS_DRAWN, PrintedBars, printed_as

__all__ = ["Boards", "Seen", "seen_by_lights", "seen_in", "seen_words", "sheet_hole", "unreadable"]

HOLE = (0.34, 0.28, 0.66, 0.72)
"""The white field in the lit board, for the printed sheet: left, top, right, bottom, parts."""
NONE = np.zeros((0, 2))


def sheet_hole(screen_size: tuple[int, int]) -> tuple[float, float, float, float]:
    """The white field for the printed sheet, in pixels of the screen."""
    width, height = screen_size
    left, top, right, bottom = HOLE
    return round(left * width), round(top * height), round(right * width), round(bottom * height)


@dataclass(frozen=True, slots=True)
class Boards:
    """What is lit and what lies in its light: the screen, the sheet, its bars as measured."""

    screen_size: tuple[int, int]
    paper: str = "A4"
    bars: PrintedBars = AS_DRAWN

    @property
    def lit(self) -> Board:
        """The board as it is projected."""
        return screen_board(self.screen_size, hole=sheet_hole(self.screen_size))

    @property
    def sheet(self) -> Printed:
        """The printed sheet at the size that its bars tell."""
        return printed_as(self.paper, printed_board(self.paper), self.bars)


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """Parameters
    ----------
    size_px
        Of the picture.
    lit_px, sheet_px
        Corners found of the lit board (n, 2) and of the sheet (m, 2), pixels.
    lit_of, sheet_of
        How many there are to find.
    sight
        For the calibration; None where the lit board is not found.
    fault
        Why not, and the mend; empty when all is well.
    """

    size_px: tuple[int, int]
    lit_px: npt.NDArray[np.float64]
    lit_of: int
    sheet_px: npt.NDArray[np.float64]
    sheet_of: int
    sight: PhotoSight | None = None
    fault: str = ""


def seen_in(
    image: npt.NDArray[np.uint8], boards: Boards, focal_px: float | None, subject: str
) -> Seen:
    """Look for both boards in a picture, (h, w, 3), BGR. What is not found becomes the fault."""
    height, width = image.shape[:2]
    screen, sheet = boards.lit, boards.sheet
    lit_of = int(whole_corners(screen).sum())
    sheet_of = len(corner_points(sheet.board))
    try:
        sight = photo_sight(image, screen, (sheet,), focal_px, subject, alone=False)
    except CalibrationError as error:
        sheet_px = _printed(image, sheet)
        return Seen((width, height), NONE, lit_of, sheet_px, sheet_of, None, str(error))
    sheet_px = sight.references[0].photo_px if sight.references else NONE
    fault = "" if sight.references else f"{subject}: the {boards.paper} sheet is not found"
    return Seen((width, height), sight.photo_px, lit_of, sheet_px, sheet_of, sight, fault)


def seen_by_lights(sight: PhotoSight, boards: Boards) -> Seen:
    """What several pictures from one place showed, each board lit alone."""
    of = sum(len(corner_points(board)) for board in shifted_boards(boards.screen_size))
    sheet = sight.references[0].photo_px if sight.references else NONE
    fault = "" if sight.references else f"{sight.subject}: the {boards.paper} sheet is not found"
    sheet_of = len(corner_points(boards.sheet.board))
    return Seen(sight.photo_size, sight.photo_px, of, sheet, sheet_of, sight, fault)


def unreadable(fault: str) -> Seen:
    """Of a photograph that cannot be looked at."""
    return Seen((1, 1), NONE, 0, NONE, 0, None, fault)


def _printed(image: npt.NDArray[np.uint8], sheet: Printed) -> npt.NDArray[np.float64]:
    try:
        return found_corners(image, sheet.board, "sheet").points_px
    except CalibrationError:
        return NONE


def seen_words(seen: Seen) -> str:
    """How much was found, in a line."""
    lit, sheet = len(seen.lit_px), len(seen.sheet_px)
    return f"Lit board {lit} of {seen.lit_of} corners, sheet {sheet} of {seen.sheet_of}"
