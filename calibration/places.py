"""Points in order: grids, the corners of a rectangle, a sheet laid on the table."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from calibration.homography import Array

__all__ = ["grid_points", "laid_points", "rectangle_corners"]


def grid_points(across: npt.ArrayLike, down: npt.ArrayLike) -> Array:
    """Every pair of the two rows of numbers, the first one running faster: (n, 2)."""
    return np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)


def rectangle_corners(left: float, top: float, right: float, bottom: float) -> Array:
    """The corners (4, 2) in turn: left top, right top, right bottom, left bottom."""
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]])


def laid_points(sheet: Array, x: float, y: float, angle: float) -> Array:
    """Points (n, 2) of a sheet that is turned by `angle`, counter-clockwise, then shifted."""
    c, s = np.cos(angle), np.sin(angle)
    out: Array = sheet @ np.array([[c, s], [-s, c]]) + [x, y]
    return out
