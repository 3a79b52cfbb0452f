"""From the pixels of one photograph to millimetres on the table, for tracing what lies there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize_scalar

from calibration.homography import fitted, mapped
from projector.errors import ProjectorError

__all__ = ["PhotoPlane", "plane_of_points", "plane_of_scale"]

Array = npt.NDArray[np.float64]

WORST_RMS = 1.5
"""Beyond this, mm, the known points are not on one flat table."""
FEWEST = 8


@dataclass(frozen=True, slots=True, eq=False)
class PhotoPlane:
    """table = H(undistorted pixel), with one radial term about the middle of the photograph.

    `rms` is how far, in mm, the known points miss their places; it says nothing about what lies
    far outside them.
    """

    table_from_photo: Array
    middle_px: Array
    radius_px: float
    lens: float = 0.0
    rms: float = 0.0

    def __call__(self, points_px: npt.ArrayLike) -> Array:
        """Points (n, 2), pixels, on the table: (n, 2), mm, y up."""
        rows = np.atleast_2d(np.asarray(points_px, dtype=np.float64))
        return mapped(self.table_from_photo, _straight(rows, self))

    def seen(self, points: npt.ArrayLike) -> Array:
        """Where points (n, 2) of the table, mm, lie in the photograph: (n, 2), pixels."""
        rows = np.atleast_2d(np.asarray(points, dtype=np.float64))
        back = np.asarray(np.linalg.inv(self.table_from_photo), dtype=np.float64)
        straight = mapped(back, rows)
        out = straight
        for _ in range(20):  # the lens bends by a few hundredths, what each step leaves of the rest
            out = out + straight - _straight(out, self)
        return out


def _straight(points: Array, plane: PhotoPlane) -> Array:
    aside = (points - plane.middle_px) / plane.radius_px
    out: Array = plane.middle_px + plane.radius_px * aside * (
        1.0 + plane.lens * (aside**2).sum(axis=1, keepdims=True)
    )
    return out


def plane_of_scale(photo_size: tuple[int, int], millimetres_a_px: float) -> PhotoPlane:
    """A scan or a photograph taken straight from above; y is turned up."""
    if not 0.005 <= millimetres_a_px <= 5.0:
        raise ProjectorError(f"{millimetres_a_px:g} mm a pixel is not from 0.005 to 5")
    height = photo_size[1]
    matrix = np.diag([millimetres_a_px, -millimetres_a_px, 1.0])
    matrix[1, 2] = millimetres_a_px * (height - 1.0)
    return PhotoPlane(matrix, np.zeros(2), 1.0)


def plane_of_points(
    photo_px: npt.ArrayLike, table: npt.ArrayLike, photo_size: tuple[int, int]
) -> PhotoPlane:
    """The map through known points of the table, lens and homography together.

    Raises `ProjectorError` for fewer than 8 points or points that miss one flat table.
    """
    seen, wanted = np.asarray(photo_px, np.float64), np.asarray(table, np.float64)
    if len(seen) < FEWEST:
        raise ProjectorError(f"{len(seen)} known points in the photograph, wanted {FEWEST}")
    middle = (np.array(photo_size, np.float64) - 1.0) / 2.0
    radius = float(np.hypot(*photo_size)) / 2.0

    def plane(lens: float) -> PhotoPlane:
        bare = PhotoPlane(np.eye(3), middle, radius, lens)
        matrix = fitted(_straight(seen, bare), wanted)
        missed = mapped(matrix, _straight(seen, bare)) - wanted
        rms = float(np.sqrt((missed**2).sum(axis=1).mean()))
        return PhotoPlane(matrix, middle, radius, lens, rms)

    best = minimize_scalar(lambda lens: plane(lens).rms, bounds=(-0.3, 0.3), method="bounded")
    found = plane(float(best.x))
    if found.rms > WORST_RMS:
        raise ProjectorError(
            f"the known points miss one flat table by {found.rms:.1f} mm rms, wanted "
            f"{WORST_RMS:g} or less; take the photograph again"
        )
    return found
