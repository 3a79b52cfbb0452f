"""Clicked corners of a ruled rectangle, drawn to where the middles of its lines cross."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calibration.detection import grey_of
from calibration.errors import CalibrationError
from calibration.homography import Array
from calibration.light import linear, sampled

__all__ = ["RuledCorners", "ruled_corners"]

REACH_PX = 9
"""How far a profile across a line reaches to both sides."""
ARM_PX = (10.0, 60.0)
"""From where to where along a ruled line it is looked at, from its corner."""
LEAST_STEP = 0.03
"""Least step of light between a line and what it is ruled on, parts of full scale."""
CLICK_SD_PX, FOUND_SD_PX, FARTHEST_PX = 1.0, 0.15, 6.0
"""Of a click, of a corner that was refined, and how far refining may move a click."""


@dataclass(frozen=True, slots=True, eq=False)
class RuledCorners:
    """Corners (4, 2), pixels, and how sure they are, `sd_px`, each way; `refined` (4,)."""

    points_px: Array
    sd_px: float
    refined: npt.NDArray[np.bool_]


def ruled_corners(
    photograph: npt.NDArray[np.uint8], clicks_px: Array, subject: str
) -> RuledCorners:
    """Refine four clicks (4, 2), pixels, on a photograph (h, w) or (h, w, 3), BGR.

    The corners are clicked in turn, counter-clockwise as seen from above. Every one is drawn to
    the crossing of the two lines that leave it for its neighbours, lighter or darker than the mat;
    where no line is seen within a few pixels the click stays as it is.

    Raises `CalibrationError` for clicks outside the photograph or in another order.
    """
    clicks = np.array(clicks_px, dtype=np.float64)
    if clicks.shape != (4, 2) or not np.isfinite(clicks).all():
        raise CalibrationError(f"{subject}: found {len(clicks)} clicks, wanted 4 corners")
    grey = grey_of(photograph, subject)
    height, width = grey.shape
    if (clicks < 0).any() or (clicks >= [width, height]).any():
        raise CalibrationError(f"{subject}: a click lies outside the photograph")
    way = np.roll(clicks, -1, axis=0) - clicks
    after = np.roll(way, -1, axis=0)
    if not (way[:, 0] * after[:, 1] - way[:, 1] * after[:, 0] < 0.0).all():
        raise CalibrationError(
            f"{subject}: the clicks do not go round counter-clockwise; click the four corners in "
            "turn: near left, near right, far right, far left"
        )
    light = linear(grey)
    found = np.array(
        [_crossing(light, clicks[k], clicks[(k + 1) % 4], clicks[k - 1]) for k in range(4)]
    )
    near = np.hypot(*(found - clicks).T) < FARTHEST_PX
    points = np.where(near[:, None], found, clicks)
    return RuledCorners(points, FOUND_SD_PX if near.all() else CLICK_SD_PX, near)


def _crossing(light: npt.NDArray[np.float32], corner: Array, one: Array, other: Array) -> Array:
    """Where the middles of the two ruled lines from a corner cross; not a number for none."""
    at = corner
    for _ in range(3):
        lines = [_ruled(light, at, end) for end in (one, other)]
        if lines[0] is None or lines[1] is None:
            return np.full(2, np.nan)
        (p, u), (q, v) = lines[0], lines[1]
        t = np.linalg.solve(np.column_stack([u, -v]), q - p)[0]
        at = p + t * u
    return at


def _ruled(light: npt.NDArray[np.float32], corner: Array, end: Array) -> tuple[Array, Array] | None:
    """A point and the direction of the line that runs from near a corner towards another."""
    way = (end - corner) / np.hypot(*(end - corner))
    across = np.array([-way[1], way[0]])
    along = np.arange(ARM_PX[0], ARM_PX[1])
    steps = np.arange(-REACH_PX, REACH_PX + 0.01, 0.5)
    places = corner + along[:, None, None] * way + steps[None, :, None] * across
    profile = sampled(light, places)
    away = np.abs(profile - np.median(profile, axis=1, keepdims=True))
    peak = away.max(axis=1, keepdims=True)
    if float(np.median(peak)) < LEAST_STEP:
        return None
    weight = np.clip(away - 0.4 * peak, 0.0, None)
    middle = (weight @ steps) / np.maximum(weight.sum(axis=1), 1e-12)
    kept = np.ones(len(along), bool)
    slope, start = 0.0, 0.0
    for _ in range(4):
        slope, start = np.polyfit(along[kept], middle[kept], 1)
        left = np.abs(middle - slope * along - start)
        kept = left < max(3.0 * float(np.median(left[kept])), 0.2)
    return corner + start * across, way + slope * across
