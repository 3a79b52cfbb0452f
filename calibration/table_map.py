"""TableMap: where on the table a projector pixel falls, and back.

Frames: screen (projector pixels, y down, origin at the centre of the first pixel) and table
(millimetres, y away from the worker). Points are arrays of shape (n, 2).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from calibration.errors import CalibrationError

__all__ = ["Array", "TableMap", "lit_outline", "screen_points", "table_points"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class TableMap:
    """The map found by a calibration.

    Parameters
    ----------
    table_from_screen
        Homography, shape (3, 3), scaled so that its last entry is 1.
    screen_size
        Width and height of the projector's screen in pixels; the map holds for no other.

    Raises
    ------
    CalibrationError
        When the matrix is not finite or not invertible, or when its horizon crosses the screen.
    """

    table_from_screen: Array
    screen_size: tuple[int, int]
    screen_from_table: Array = field(init=False)

    def __post_init__(self) -> None:
        matrix = np.array(self.table_from_screen, dtype=np.float64)
        if matrix.shape != (3, 3) or not np.isfinite(matrix).all():
            raise CalibrationError(f"a homography is 3 x 3 finite numbers, found {matrix.shape}")
        if abs(matrix[2, 2]) < 1e-12:
            raise CalibrationError("the homography sends the first pixel to infinity")
        matrix /= matrix[2, 2]
        width, height = self.screen_size
        depth = _homogeneous(screen_corners((width, height))) @ matrix[2]
        if depth.min() <= 0.0:
            raise CalibrationError("the horizon of the map crosses the screen")
        if np.linalg.cond(matrix / np.abs(matrix).max()) > 1e12:
            raise CalibrationError("the homography cannot be inverted")
        inverse = np.linalg.inv(matrix)
        for name, value in (("table_from_screen", matrix), ("screen_from_table", inverse)):
            value.setflags(write=False)
            object.__setattr__(self, name, value)


def screen_corners(screen_size: tuple[int, int]) -> Array:
    """Outer corners of the screen's first and last pixels, shape (4, 2), pixels, in turn."""
    width, height = screen_size
    left, top, right, bottom = -0.5, -0.5, width - 0.5, height - 0.5
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]])


def _homogeneous(points: npt.ArrayLike) -> Array:
    rows = np.atleast_2d(np.asarray(points, dtype=np.float64))
    return np.column_stack([rows, np.ones(len(rows))])


def table_points(table_map: TableMap, screen_px: npt.ArrayLike) -> Array:
    """Where screen points (n, 2), pixels, fall on the table: (n, 2), mm."""
    mapped = _homogeneous(screen_px) @ table_map.table_from_screen.T
    if (mapped[:, 2] <= 0.0).any():
        raise CalibrationError("a screen point lies beyond the horizon of the map")
    return mapped[:, :2] / mapped[:, 2:]


def screen_points(table_map: TableMap, table: npt.ArrayLike) -> Array:
    """The screen points (n, 2), pixels, that light the table points (n, 2), mm.

    Points off the screen are returned too; `CalibrationError` when one lies beyond the horizon.
    """
    mapped = _homogeneous(table) @ table_map.screen_from_table.T
    # The inverse may carry either sign; on the lit side the third coordinate has the sign
    # it has at the middle of the screen.
    if (mapped[:, 2] <= 0.0).any():
        raise CalibrationError("a table point lies beyond the horizon of the map")
    return mapped[:, :2] / mapped[:, 2:]


def lit_outline(table_map: TableMap) -> Array:
    """The four corners of the lit area on the table, shape (4, 2), mm, in the screen's order."""
    return table_points(table_map, screen_corners(table_map.screen_size))
