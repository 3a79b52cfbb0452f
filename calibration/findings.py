"""What a careful worker should be told about an estimate: how weak it is, and why."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from calibration.estimate import Estimate
from calibration.evidence import PhotoSight
from calibration.homography import Array
from calibration.table_map import lit_outline
from calibration.uncertainty import metre_error, shares

__all__ = ["covered", "findings", "is_weak"]

FEW_PHOTOS = 3
MANY_SHEETS = 4
LITTLE_COVERED = 0.3
WORST_METRE = 1.0
NOISY = 1.5
"""Square of the noise ratio from which the model, or a board, is not what it should be."""


def covered(found: Estimate, photos: Sequence[PhotoSight]) -> float:
    """The part of the lit area that the hull of all sheets covers, 0 to 1."""
    points = []
    for photo in photos:
        for reference in photo.references:
            x, y, angle = found.sheets[reference.name]
            c, s = np.cos(angle), np.sin(angle)
            turn = np.array([[c, s], [-s, c]])
            points.append(reference.plane * reference.scale @ turn + [x, y])
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
    metre is not right to `WORST_METRE` mm.
    """
    surrounded = len(found.sheets) >= MANY_SHEETS and covered(found, photos) >= LITTLE_COVERED
    few = len(photos) < FEW_PHOTOS and not surrounded
    return few or metre_error(found.table_map) > WORST_METRE


def findings(found: Estimate, photos: Sequence[PhotoSight]) -> tuple[str, ...]:
    """What to tell, one line each, with numbers and advice; first how right a metre is."""
    lines = [f"1 m is right to +- {metre_error(found.table_map):.2f} mm (95 %)"]
    worst = shares(found.table_map)[0]
    lines.append(f"most of that is {worst.name}: {worst.error:.2f} mm by itself")
    if is_weak(found, photos):
        lines.append(
            f"a weak map, from {len(photos)} photograph{'s' * (len(photos) > 1)} and "
            f"{len(found.sheets)} sheet{'s' * (len(found.sheets) > 1)}: take 3 to 6 photographs "
            "from all sides, some turned by a quarter, with 2 to 4 sheets far apart"
        )
    part = covered(found, photos)
    if part < LITTLE_COVERED:
        lines.append(
            f"the sheets cover {100 * part:.0f} % of the lit area, wanted "
            f"{100 * LITTLE_COVERED:.0f} % or more: spread them"
        )
    if found.noise_ratio**2 > NOISY:
        lines.append(
            f"the corners miss by {found.noise_ratio:.1f} times their usual noise "
            f"({found.rms_px:.2f} px rms): blur, glare, a curled sheet, or something moved"
        )
    for missed in found.missed:
        count = int(missed.left_out.sum())
        if count:
            lines.append(
                f"{missed.subject}: {count} of {len(missed.left_out)} corners of the "
                f"{missed.board} board were left out as mistakes"
            )
    if found.table_map.bow is not None:
        b1, b2, b3 = found.table_map.bow.coefficients
        lines.append(
            f"the table is bowed ({b1:+.1f}, {b2:+.1f}, {b3:+.1f} mm at a metre across, aslant "
            "and along); this is in the map"
        )
    return tuple(lines)
