"""Where a board lies in a photograph: a smooth map from its squares, from the corners found."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from calibration.homography import Array, fitted, mapped

__all__ = ["photo_from_squares"]

CORNERS_FOR_BEND = 20
"""With fewer corners than this a lens's bend is not told from their errors."""


def photo_from_squares(squares: Array, points_px: Array) -> Callable[[Array], Array]:
    """The map that sends corners counted in squares (n, 2) to the photograph (n, 2), pixels.

    A homography, and for what it misses (a lens) a cubic in both directions, fitted robustly by
    weights that fall off with the miss. Good within about a square of the corners it was made of.
    """
    weights = np.ones(len(squares))
    matrix = fitted(squares, points_px)
    middle, spread = squares.mean(axis=0), max(float(np.ptp(squares, axis=0).max()) / 2.0, 1.0)

    def powers(places: Array) -> Array:
        x, y = ((places - middle) / spread).T
        one = np.ones_like(x)
        return np.stack([one, x, y, x * x, x * y, y * y, x**3, x * x * y, x * y * y, y**3], axis=-1)

    bend = np.zeros((10, 2))
    if len(squares) >= CORNERS_FOR_BEND:
        missed = points_px - mapped(matrix, squares)
        terms = powers(squares)
        steady = np.vstack([terms, 1e-3 * np.eye(10)])
        for _ in range(6):
            rows = np.concatenate([weights, np.ones(10)])[:, None]
            bend = np.linalg.lstsq(
                steady * rows, np.vstack([missed, np.zeros((10, 2))]) * rows, rcond=None
            )[0]
            left = np.hypot(*(missed - terms @ bend).T)
            scale = max(2.0 * float(np.median(left)), 0.05)
            weights = 1.0 / np.sqrt(1.0 + (left / scale) ** 2)

    def place(corners: Array) -> Array:
        out: Array = mapped(matrix, corners) + powers(corners) @ bend
        return out

    return place
