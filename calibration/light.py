"""The light that a picture's levels stand for (sRGB), and the picture between its pixels."""

from __future__ import annotations

from typing import TypeVar

import cv2
import numpy as np
import numpy.typing as npt

from calibration.homography import Array

__all__ = ["Light", "coded", "linear", "reduced", "sampled", "whole_points"]

Light = npt.NDArray[np.float32]
Picture = TypeVar("Picture", npt.NDArray[np.uint8], npt.NDArray[np.float32])

_TONES = 4096
_STEPS = np.linspace(0.0, 1.0, _TONES + 1)
_CODED = np.where(_STEPS <= 0.0031308, 12.92 * _STEPS, 1.055 * _STEPS ** (1 / 2.4) - 0.055) * 255.0
_LEVELS = np.arange(256) / 255.0
_LINEAR = np.where(_LEVELS <= 0.04045, _LEVELS / 12.92, ((_LEVELS + 0.055) / 1.055) ** 2.4).astype(
    np.float32
)


def coded(signal: Light) -> npt.NDArray[np.uint8]:
    """A linear signal 0..1 as the levels of IEC 61966-2-1 (sRGB)."""
    # The table is read between its steps, and the fraction decided by rounding as a camera does.
    place = np.clip(signal, 0.0, 1.0) * np.float32(_TONES)
    below = np.minimum(place.astype(np.int32), _TONES - 1)
    table = _CODED.astype(np.float32)
    level = table[below] + (place - below) * (table[below + 1] - table[below])
    return np.asarray(np.rint(level), dtype=np.uint8)


def linear(photograph: npt.NDArray[np.uint8]) -> Light:
    """The light 0..1 of sRGB levels (IEC 61966-2-1), any shape."""
    return np.asarray(_LINEAR[photograph], dtype=np.float32)


def sampled(picture: Picture, places: Array) -> Array:
    """The picture (h, w) between its pixels at places (k, m, 2), as (k, m); its rim goes on."""
    rows = cv2.remap(
        picture, places[..., 0].astype(np.float32), places[..., 1].astype(np.float32),
        cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE,
    )  # fmt: skip
    return np.asarray(rows, dtype=np.float64)


def reduced(picture: npt.NDArray[np.uint8], side: int) -> tuple[npt.NDArray[np.uint8], float]:
    """The picture with no side longer than `side` pixels, and its scale, at most 1."""
    scale = min(1.0, side / max(picture.shape))
    if scale == 1.0:
        return picture, scale
    small = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8), scale


def whole_points(points_px: Array, scale: float) -> Array:
    """Points of a resized picture, pixels, in the picture that it was made of.

    Pixel centres are whole numbers, so that resizing shifts them by parts of a pixel.
    """
    out: Array = (points_px + 0.5) / scale - 0.5
    return out
