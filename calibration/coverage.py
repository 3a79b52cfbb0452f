"""How well the sheets surround an estimate, and whether it must be called weak."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from calibration.estimate import Estimate
from calibration.evidence import PhotoSight
from calibration.homography import Array
from calibration.places import laid_points
from calibration.table_map import lit_outline
from calibration.uncertainty import metre_error

__all__ = ["ROUGH_NOISE", "covered", "is_weak"]

FEW_PHOTOS = 3
MANY_SHEETS = 4
LITTLE_COVERED = 0.3
WORST_METRE = 1.0
ROUGH_NOISE = 1.5
"""Residuals over those of corners, beyond which something was not as the estimate takes it."""


def covered(found: Estimate, photos: Sequence[PhotoSight]) -> float:
    """The part of the lit area that the hull of all sheets covers, 0 to 1."""
    points = []
    for photo in photos:
        for reference in photo.references:
            own = reference.plane * reference.scale
            points.append(laid_points(own, *found.sheets[reference.name]))
    outline = lit_outline(found.table_map)
    try:
        return min(1.0, float(ConvexHull(np.vstack(points)).volume) / _area(outline))
    except QhullError:
        return 0.0


def _area(outline: Array) -> float:
    after = np.roll(outline, -1, axis=0)
    return abs(float((outline[:, 0] * after[:, 1] - after[:, 0] * outline[:, 1]).sum())) / 2.0


def is_weak(found: Estimate, photos: Sequence[PhotoSight]) -> bool:
    """Whether the map must be called weak, whatever its residuals.

    One or two photographs are, unless four sheets or more surround the area; so is any map whose
    metre is not right to `WORST_METRE` mm, or whose residuals are twice `ROUGH_NOISE`.
    """
    surrounded = len(found.sheets) >= MANY_SHEETS and covered(found, photos) >= LITTLE_COVERED
    few = len(photos) < FEW_PHOTOS and not surrounded
    rough = found.noise_ratio > 2.0 * ROUGH_NOISE
    return few or rough or metre_error(found.table_map) > WORST_METRE
