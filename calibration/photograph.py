"""TableMap from one photograph that shows the projected and the printed board."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from calibration.errors import CalibrationError
from calibration.homography import fitted, mapped
from calibration.table_map import Array, TableMap

__all__ = ["Photographed", "solve"]

LENS_PRIOR = 0.2
"""Standard deviation of the radial term at the photograph's corner; phones correct most of it."""
CORNER_NOISE_PX = 0.05
FEWEST = 8
LENS_STARTS = (0.0, -0.1, 0.1)
WORST_RMS_PX = 1.0
"""Beyond this the corners are not of one plane seen by one lens."""


@dataclass(frozen=True, slots=True, eq=False)
class Photographed:
    """A map with what it was found from.

    `screen_residuals_px` and `board_residuals_px` are (n, 2), found minus fitted, in the
    photograph. A small residual is no promise of a small error beyond the printed board.
    """

    table_map: TableMap
    screen_residuals_px: Array
    board_residuals_px: Array
    rms_px: float
    lens: float


def solve(
    screen_px: Array,
    screen_seen_px: Array,
    board: Array,
    board_seen_px: Array,
    photo_size: tuple[int, int],
    screen_size: tuple[int, int],
    worst_rms_px: float = WORST_RMS_PX,
) -> Photographed:
    """The map from screen to table, with the camera's first radial lens term.

    Both planes are the table's, so that each is seen through a homography followed by one lens:
    ``seen = c + (u - c) (1 + k |u - c|^2 / R^2)``, `c` the middle of the photograph and `R` half
    its diagonal. Both homographies and `k` are found together, by least squares with a Huber
    loss in the photograph, `k` with a prior of 0 +- 0.2.

    Parameters
    ----------
    screen_px, screen_seen_px
        Projected corners on the screen and where the photograph shows them, (n, 2).
    board, board_seen_px
        Printed corners in table mm (y away from the worker) and in the photograph, (m, 2).
    worst_rms_px
        Residuals above this are refused.

    Raises
    ------
    CalibrationError
        Too few corners, or corners that do not fit a plane.

    Notes
    -----
    Not covered: a lens centre off the middle, the projector's own lens, a bowed table, a printed
    board that is raised or scaled by the printer.
    """
    for name, found in (("projected", screen_seen_px), ("printed", board_seen_px)):
        if len(found) < FEWEST:
            raise CalibrationError(
                f"the photograph shows {len(found)} corners of the {name} board, wanted {FEWEST} "
                "or more; move closer or clear the table"
            )
    middle = (np.array(photo_size, dtype=np.float64) - 1.0) / 2.0
    radius = float(np.hypot(*photo_size)) / 2.0
    screen_seen = (np.asarray(screen_seen_px) - middle) / radius
    board_seen = (np.asarray(board_seen_px) - middle) / radius
    # Points are scaled to about one, so that the solver's steps are alike in all parameters.
    screen_scale, shift = float(max(screen_size)), np.asarray(board).mean(axis=0)
    board_scale = float(np.abs(board - shift).max()) or 1.0
    on_screen, on_board = np.asarray(screen_px) / screen_scale, (board - shift) / board_scale
    start = np.concatenate(
        [
            fitted(on_screen, screen_seen).ravel()[:8],
            fitted(on_board, board_seen).ravel()[:8],
            [0.0],
        ]
    )
    noise = CORNER_NOISE_PX / radius

    def misfits(values: Array) -> Array:
        lens = values[16]
        out = [
            (seen - _bent(mapped(_matrix(part), points), lens)).ravel() / noise
            for part, points, seen in (
                (values[:8], on_screen, screen_seen),
                (values[8:16], on_board, board_seen),
            )
        ]
        return np.concatenate([*out, [lens / LENS_PRIOR]])

    # From far off the robust loss is nearly flat and stops early; plain squares lead up to it,
    # and the lens is begun from both sides.
    results = []
    for lens in LENS_STARTS:
        start[16] = lens
        near = least_squares(misfits, start, x_scale="jac", max_nfev=100)
        results.append(
            least_squares(misfits, near.x, loss="huber", f_scale=2.0, x_scale="jac", max_nfev=100)
        )
    result = min(results, key=lambda found: float(found.cost))
    photo_from_screen = _matrix(result.x[:8]) @ np.diag([1 / screen_scale, 1 / screen_scale, 1.0])
    photo_from_board = _matrix(result.x[8:16])
    table_from_board = np.array(
        [[board_scale, 0.0, shift[0]], [0.0, board_scale, shift[1]], [0.0, 0.0, 1.0]]
    )
    matrix = table_from_board @ np.linalg.inv(photo_from_board) @ photo_from_screen
    left = misfits(result.x)[:-1].reshape(-1, 2) * CORNER_NOISE_PX
    rms = float(np.sqrt((left**2).sum(axis=1).mean()))
    if rms > worst_rms_px:
        raise CalibrationError(
            f"the corners miss one flat table by {rms:.1f} px rms, wanted {worst_rms_px:g} or "
            "less; lay the printed board flat on the table and take another photograph"
        )
    count = len(screen_seen)
    return Photographed(
        TableMap(matrix, screen_size),
        left[:count],
        left[count:],
        rms,
        float(result.x[16]),
    )


def _matrix(values: Array) -> Array:
    return np.append(values, 1.0).reshape(3, 3)


def _bent(points: Array, lens: float) -> Array:
    out: Array = points * (1.0 + lens * (points**2).sum(axis=1, keepdims=True))
    return out
