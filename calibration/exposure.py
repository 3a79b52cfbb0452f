"""Whether a camera could still tell light from dark where it mattered."""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt

from calibration.homography import Array

__all__ = ["LIMIT", "MOST_AT_LIMIT", "NOTHING_SEEN", "part_at_limit"]

LIMIT = 254
"""Level, of 255, from which on a camera tells no more difference."""
MOST_AT_LIMIT = 0.25
"""Part of a field at the limit beyond which its edges are not to be trusted."""

NOTHING_SEEN = 0.5
"""Part of a field at the limit beyond which a board in it cannot be seen for brightness."""


def part_at_limit(photograph: npt.NDArray[np.uint8], around_px: Array) -> float:
    """Which part of the convex field around points (n, 2), pixels, is as bright as can be told.

    A pixel counts when its brightest channel is at the limit. 0 for a field of no size.
    """
    field = np.zeros(photograph.shape[:2], np.uint8)
    hull = cv2.convexHull(np.asarray(around_px, np.float32).reshape(-1, 1, 2))
    cv2.fillConvexPoly(field, np.rint(hull).astype(np.int32), 1)
    brightest = photograph if photograph.ndim == 2 else photograph.max(axis=2)
    inside = brightest[field > 0]
    return float((inside >= LIMIT).mean()) if inside.size else 0.0
