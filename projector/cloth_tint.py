"""What of a picture is no shade of the table's own colour: printed cloth of several colours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calibration.light import Light
from projector.shading import followed, surface

__all__ = ["Tint", "tint_of", "tinted"]

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

LEAST = 0.03
"""Light by which a colour has to differ from a shade of the table's to be another one; 1 is white.
"""


@dataclass(frozen=True, slots=True, eq=False)
class Tint:
    """The table's light in three colours, followed across the picture, and what differs from it.

    A shadow on the table keeps its colour and is none of it; `half` is where an edge lies.
    """

    table: tuple[Array, Array, Array]
    half: float


def tint_of(light: Light, inside: Mask, outside: Mask) -> Tint:
    """The tint of what lies inside, on the table outside; light (h, w, 3), linear."""
    blue, green, red = (followed(light[:, :, k], outside, 0.004) for k in range(3))
    table = (blue, green, red)
    height, width = light.shape[:2]
    rows, columns = np.mgrid[0:height, 0:width].astype(np.float32)
    x, y = (columns[0] + 0.5) / width - 0.5, (rows[:, 0] + 0.5) / height - 0.5
    aside = _aside(light, table, x, y)
    noise = float(np.median(aside[outside]))
    return Tint(table, max(LEAST, 6.0 * noise, 0.3 * float(np.median(aside[inside]))))


def tinted(light: Light, tint: Tint, x: Light, y: Light) -> Light:
    """0 for the table and its shadows, 0.5 at an edge, at most 1."""
    part = np.minimum(0.5 * _aside(light, tint.table, x, y) / np.float32(tint.half), 1.0)
    return np.asarray(part, dtype=np.float32)


def _aside(light: Light, table: tuple[Array, Array, Array], x: Light, y: Light) -> Light:
    """Distance of each pixel's light from the nearest shade of the table's colour."""
    own = [surface(solved, x, y) for solved in table]
    along = sum(light[:, :, k] * own[k] for k in range(3))
    shade = along / np.maximum(sum(each * each for each in own), np.float32(1e-6))
    apart = sum((light[:, :, k] - shade * own[k]) ** 2 for k in range(3))
    return np.asarray(np.sqrt(apart), dtype=np.float32)
