"""A brightness that changes slowly across a picture."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from calibration.light import Light

__all__ = ["followed", "places", "surface"]

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]


def places(first: int, last: int, size: int) -> Light:
    """Where rows or columns lie in a picture of `size`, from -0.5 to 0.5."""
    return np.asarray((np.arange(first, last) + 0.5) / size - 0.5, dtype=np.float32)


def surface(solved: Array, x: Light, y: Light) -> Light:
    """A quadratic over columns x and rows y."""
    a, b, c, d, e, f = (np.float32(value) for value in solved)
    across, down = x[None, :], y[:, None]
    out: npt.NDArray[Any] = (
        a + b * across + c * down + d * across**2 + e * across * down + f * down**2
    )
    return np.asarray(out, dtype=np.float32)


def followed(along: Light, where: Mask, floor: float) -> Array:
    """A brightness that changes slowly across the picture: a quadratic through a mask's pixels.

    `floor` is by how much a pixel may miss it at least and still count.
    """
    rows, columns = np.nonzero(where)
    step = max(1, len(rows) // 40_000)
    rows, columns = rows[::step], columns[::step]
    values = along[rows, columns].astype(np.float64)
    x, y = (columns + 0.5) / along.shape[1] - 0.5, (rows + 0.5) / along.shape[0] - 0.5
    design = np.column_stack([np.ones_like(x), x, y, x * x, x * y, y * y])
    keep = np.ones(len(values), bool)
    solved: npt.NDArray[Any] = np.zeros(6)
    for _ in range(4):  # marks written on the paper, and dirt, are left out in turn
        solved = np.linalg.lstsq(design[keep], values[keep], rcond=None)[0]
        left = np.abs(design @ solved - values)
        keep = left <= max(3.0 * float(np.median(left)) * 1.4826, floor)
        if keep.sum() < 60:
            break
    return solved
