"""Where lit lines lie in a picture of the table, to a part of a pixel.

Used to judge a calibration from outside: the picture's own geometry (table to picture) is given,
the map that lit the lines is not known here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.ndimage import map_coordinates

from projector.errors import ProjectorError

__all__ = ["Array", "Offsets", "Sample", "offsets", "samples_along"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Sample:
    """Places on lines that should be lit: `points` (n, 2), mm on the table, and the unit
    `normals` (n, 2) across the line, along which the light is looked for."""

    points: Array
    normals: Array


@dataclass(frozen=True, slots=True, eq=False)
class Offsets:
    """How far the light lies from where it should, mm along the normal, shape (n,).

    NaN where no single bright line was seen across the place: hidden, crossed, off the picture.
    """

    sample: Sample
    across: Array


def samples_along(line: npt.ArrayLike, spacing: float, clear: float = 0.0) -> Sample:
    """Places every `spacing` mm along a polyline (n, 2), mm, none within `clear` mm of a corner
    that turns by more than 0.2 rad or of an end.
    """
    corners = np.asarray(line, dtype=np.float64)
    steps = np.diff(corners, axis=0)
    sizes = np.hypot(steps[:, 0], steps[:, 1])
    steps, sizes = steps[sizes > 1e-9], sizes[sizes > 1e-9]
    if not len(sizes):
        return Sample(np.empty((0, 2)), np.empty((0, 2)))
    starts = np.concatenate([[0.0], np.cumsum(sizes)])
    turns = np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))
    sharp = np.concatenate([[0.0], starts[1:-1][np.abs(turns) > 0.2], [starts[-1]]])
    along = np.arange(spacing / 2, starts[-1], spacing)
    if not len(along):
        along = np.array([starts[-1] / 2])
    along = along[np.abs(along[:, None] - sharp[None, :]).min(axis=1) >= clear]
    segment = np.clip(np.searchsorted(starts, along, side="right") - 1, 0, len(sizes) - 1)
    unit = steps[segment] / sizes[segment, None]
    first = corners[0] + np.concatenate([np.zeros((1, 2)), np.cumsum(steps, axis=0)])[segment]
    points = first + unit * (along - starts[segment])[:, None]
    return Sample(points, np.column_stack([-unit[:, 1], unit[:, 0]]))


def offsets(
    brightness: Array,
    picture_from_table: Callable[[Array], Array],
    sample: Sample,
    reach: float = 4.0,
    least_contrast: float = 0.08,
) -> Offsets:
    """Look across each place for the light and weigh it.

    Parameters
    ----------
    brightness
        Picture, shape (rows, columns), proportional to light (not gamma coded).
    picture_from_table
        The true map from table points (n, 2), mm, to picture pixels (n, 2).
    reach
        How far to each side is looked, mm; other lines must stay outside it.
    least_contrast
        Least height of the peak over its surroundings, as a part of the picture's brightest.

    The offset is the centroid of what exceeds half the peak's height, found again about itself
    until it rests: free of bias for a symmetric line, whatever its width.
    """
    if brightness.ndim != 2:
        raise ProjectorError(f"a brightness picture has 2 axes, found {brightness.ndim}")
    if not len(sample.points):
        return Offsets(sample, np.empty(0))
    t = np.linspace(-reach, reach, 81)
    places = sample.points[:, None, :] + sample.normals[:, None, :] * t[None, :, None]
    pixels = picture_from_table(places.reshape(-1, 2))
    profile = map_coordinates(
        brightness, [pixels[:, 1], pixels[:, 0]], order=1, mode="constant", cval=np.nan
    ).reshape(len(sample.points), len(t))
    blind = np.asarray(np.isnan(profile).any(axis=1))
    profile = np.where(blind[:, None], 0.0, profile)
    floor = np.minimum(np.median(profile[:, :12], axis=1), np.median(profile[:, -12:], axis=1))
    peak = profile.max(axis=1) - floor
    scale = float(np.percentile(brightness, 99.9))
    blind |= peak < least_contrast * max(scale, 1e-12)
    excess = np.clip(profile - floor[:, None] - peak[:, None] / 2, 0.0, None)
    middle = t[profile.argmax(axis=1)]
    width = reach / 2
    for _ in range(6):
        near = np.abs(t[None, :] - middle[:, None]) <= width
        weight = np.where(near, excess, 0.0)
        total = weight.sum(axis=1)
        middle = (weight @ t) / np.where(total > 0.0, total, 1.0)
    # A second line in reach, or one that leaves it, is no measurement.
    outside = np.where(np.abs(t[None, :] - middle[:, None]) > width, excess, 0.0).max(axis=1)
    blind |= (outside > 0.25 * peak) | (np.abs(middle) > reach - width / 2)
    return Offsets(sample, np.where(blind, np.nan, middle))
