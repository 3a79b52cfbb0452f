"""The pictures of the rehearsal."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from calibration.table_map import Array
from projector.errors import ProjectorError

Image = npt.NDArray[Any]

__all__ = ["Image", "png", "reduced", "with_corners"]

_PART = 4  # bits of a pixel that OpenCV draws with: 1/16


def with_corners(photo: Image, corners: Array, colour: tuple[int, int, int]) -> Image:
    """The photograph with a ring round every corner that was found."""
    image = np.ascontiguousarray(photo).copy()
    radius, width = (max(photo.shape[:2]) // 400 << _PART), max(photo.shape[:2]) // 1200
    for x, y in np.round(corners * 2**_PART).astype(int):
        cv2.circle(image, (int(x), int(y)), radius, colour, width, cv2.LINE_AA, _PART)
    return image


def reduced(photo: Image, width: int = 2000) -> Image:
    """The photograph at no more than this width, for looking at."""
    if photo.shape[1] <= width:
        return photo
    size = (width, round(photo.shape[0] * width / photo.shape[1]))
    smaller: Image = cv2.resize(photo, size, interpolation=cv2.INTER_AREA)
    return smaller


def png(image: Image) -> bytes:
    """A picture, uint8 (rows, columns, 3) in red, green, blue, as PNG bytes."""
    made, content = cv2.imencode(".png", image[:, :, ::-1])
    if not made:
        raise ProjectorError("a picture could not be written as PNG")
    return bytes(content)
