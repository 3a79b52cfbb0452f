"""One photograph of a projected and a printed board becomes a `TableMap`.

The printed board lies on the table and is the metric truth; its sheet is the table's frame.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
from scipy.optimize import least_squares

from calibration.board import Board, corner_screen_points, paper_corners
from calibration.detection import Corners, found_corners
from calibration.errors import CalibrationError
from calibration.table_map import Array, TableMap

__all__ = ["Sighting", "sighted"]

WORST_RMS_PX = 3.0
"""Beyond this the two boards do not lie in one plane, or the photograph is of another screen."""

LENS_PRIOR = 0.1
"""Standard deviation of the lens term k1, radius in half diagonals; phones keep within it."""


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
    """Find both boards and fit table, photograph and lens together by robust least squares.

    Seventeen unknowns: two homographies (photograph from table, table from screen) and one radial
    term k1 about the photograph's middle, with a prior of `LENS_PRIOR`; Huber loss at 0.5 px.
    `print_scale` is the measured over the printed length of the scale bar.

    Raises `CalibrationError` when a board is missing, or the residuals exceed `WORST_RMS_PX`.
    """
    if not 0.9 <= print_scale <= 1.1:
        raise CalibrationError(f"print scale {print_scale:g}: wanted 0.9 to 1.1; measure the bar")
    lit = found_corners(photograph, screen, f"{subject}, projected board")
    paper = found_corners(photograph, printed, f"{subject}, printed board")
    on_screen = corner_screen_points(screen)[lit.ids]
    on_table = paper_corners(printed)[paper.ids] * print_scale
    seen = np.concatenate([lit.points_px, paper.points_px])
    middle = (np.array(photograph.shape[1::-1], dtype=np.float64) - 1) / 2
    reach = float(np.linalg.norm(middle))
    flat = (seen - middle) / reach
    # Well-scaled units: the screen and the table about their own middles.
    from_screen = _unit(corner_screen_points(screen))
    from_table = _unit(on_table)
    screen_unit, table_unit = _mapped(from_screen, on_screen), _mapped(from_table, on_table)

    view = _fitted(table_unit, flat[len(lit.ids) :])
    table_from_photo = np.asarray(np.linalg.inv(view), dtype=np.float64)
    table = _fitted(screen_unit, _mapped(table_from_photo, flat[: len(lit.ids)]))

    def fitted(unknowns: Array) -> Array:
        photo_from_table = np.append(unknowns[:8], 1.0).reshape(3, 3)
        table_from_screen = np.append(unknowns[8:16], 1.0).reshape(3, 3)
        lit_unit = _mapped(table_from_screen, screen_unit)
        straight = _mapped(photo_from_table, np.concatenate([lit_unit, table_unit]))
        bent = straight * (1 + unknowns[16] * (straight**2).sum(axis=1, keepdims=True))
        out: Array = bent * reach + middle
        return out

    def misfit(unknowns: Array) -> Array:
        return np.append((fitted(unknowns) - seen).ravel(), unknowns[16] / LENS_PRIOR)

    start = np.concatenate([view.ravel()[:8], table.ravel()[:8], [0.0]])
    # From far off the robust loss is nearly flat and stops early; plain squares lead up to it.
    near = least_squares(misfit, start, x_scale="jac", max_nfev=100)
    found = least_squares(misfit, near.x, loss="huber", f_scale=0.5, x_scale="jac")
    residuals = seen - fitted(found.x)
    rms = float(np.sqrt((residuals**2).mean()))
    if not rms <= WORST_RMS_PX:
        raise CalibrationError(
            f"{subject}: corners miss their fit by {rms:.1f} px, wanted {WORST_RMS_PX:g} at most; "
            "lay the sheet flat on the table and photograph this very screen"
        )
    matrix = np.append(found.x[8:16], 1.0).reshape(3, 3)
    table_from_screen = np.linalg.inv(from_table) @ matrix @ from_screen
    return Sighting(TableMap(table_from_screen, screen_size), lit, paper, residuals, rms)


def _unit(points: Array) -> Array:
    """The similarity that brings points (n, 2) to their middle and to a spread of one."""
    centre, spread = points.mean(axis=0), float(points.std())
    return np.array(
        [[1 / spread, 0, -centre[0] / spread], [0, 1 / spread, -centre[1] / spread], [0, 0, 1.0]]
    )


def _mapped(matrix: Array, points: Array) -> Array:
    rows = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    out: Array = rows[:, :2] / rows[:, 2:]
    return out


def _fitted(source: Array, target: Array) -> Array:
    matrix, _ = cv2.findHomography(source, target)
    if matrix is None:
        raise CalibrationError("the corners found do not span a plane; show more of the board")
    return np.asarray(matrix, dtype=np.float64)
