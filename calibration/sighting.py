"""One photograph of a projected and a printed board becomes a `TableMap`.

The printed board lies on the table and is the metric truth; its sheet is the table's frame.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calibration.board import Board, corner_screen_points, paper_corners
from calibration.detection import Corners, found_corners
from calibration.errors import CalibrationError
from calibration.photograph import solve
from calibration.table_map import Array, TableMap

__all__ = ["Sighting", "sighted"]

WORST_RMS_PX = 3.0
"""Beyond this the two boards do not lie in one plane, or the photograph is of another screen."""


@dataclass(frozen=True, slots=True, eq=False)
class Sighting:
    """A map with what it was found from.

    `residuals_px` has shape (n, 2), photograph pixels, found less fitted: first the projected
    corners, then the printed ones. `rms_px` is over both coordinates. Small residuals do not show
    a projector's own lens, a bowed table or a printer's scale; none of these is in them.
    """

    table_map: TableMap
    projected: Corners
    printed: Corners
    residuals_px: Array
    rms_px: float


def sighted(
    photograph: npt.NDArray[np.uint8],
    screen: Board,
    screen_size: tuple[int, int],
    printed: Board,
    print_scale: float = 1.0,
    subject: str = "photograph",
) -> Sighting:
    """Find both boards and fit table, photograph and lens together (see `photograph.solve`).

    `print_scale` is the measured over the printed length of the scale bar.

    Raises `CalibrationError` when a board is missing, or the residuals exceed `WORST_RMS_PX`.
    """
    if not 0.9 <= print_scale <= 1.1:
        raise CalibrationError(f"print scale {print_scale:g}: wanted 0.9 to 1.1; measure the bar")
    lit = found_corners(photograph, screen, f"{subject}, projected board")
    paper = found_corners(photograph, printed, f"{subject}, printed board")
    height, width = photograph.shape[:2]
    try:
        found = solve(
            corner_screen_points(screen)[lit.ids],
            lit.points_px,
            paper_corners(printed)[paper.ids] * print_scale,
            paper.points_px,
            (width, height),
            screen_size,
            WORST_RMS_PX,
        )
    except CalibrationError as error:
        raise CalibrationError(f"{subject}: {error}") from error
    residuals = np.vstack([found.screen_residuals_px, found.board_residuals_px])
    rms = float(np.sqrt((residuals**2).mean()))
    return Sighting(found.table_map, lit, paper, residuals, rms)
