"""Whether a map that was read from a file can be that of a table at all."""

from __future__ import annotations

import numpy as np

from calibration.errors import CalibrationError
from calibration.table_map import TableMap, screen_corners, screen_points, table_points
from calibration.uncertainty import metre_error

__all__ = ["checked"]

FARTHEST = 100_000.0
"""mm; no cutting table is 100 m long."""
LARGEST_SCREEN = 32_768
ROUNDING = 1e-6
"""A covariance written with all its digits is symmetric and has no negative part beyond this."""


def checked(table_map: TableMap) -> TableMap:
    """The same map.

    Raises `CalibrationError` when the lit area is not finite or farther than 100 m, when the way
    back does not come back, when a covariance is none, or when no error follows from it.
    """
    if max(table_map.screen_size) > LARGEST_SCREEN:
        raise CalibrationError(
            f"screen_size: found {table_map.screen_size}, wanted at most {LARGEST_SCREEN} pixels"
        )
    corners = screen_corners(table_map.screen_size)
    with np.errstate(all="ignore"):
        try:
            lit = table_points(table_map, corners)
            if not (np.abs(lit) <= FARTHEST).all():
                raise CalibrationError("the lit area does not lie within 100 m; calibrate again")
            back = screen_points(table_map, lit)
            if not (np.abs(back - corners) <= 0.5).all():
                raise CalibrationError("the map does not lead back to the screen; calibrate again")
            _covariances_checked(table_map)
            sure = metre_error(table_map) if table_map.terms else 0.0
        except np.linalg.LinAlgError as error:
            raise CalibrationError(f"the map cannot be worked with ({error})") from error
    if not np.isfinite(sure):
        raise CalibrationError("no error follows from the covariance; calibrate again")
    return table_map


def _covariances_checked(table_map: TableMap) -> None:
    for term in table_map.terms:
        value, size = term.covariance, float(np.abs(term.covariance).max(initial=0.0))
        if not size:
            continue
        even = value / size
        if np.abs(even - even.T).max() > ROUNDING or np.linalg.eigvalsh(even)[0] < -ROUNDING:
            raise CalibrationError(
                f"covariance of {term.name}: wanted symmetric, with no variance below 0 any way"
            )
