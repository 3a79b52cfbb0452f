"""The pictures of the rehearsal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from calibration.table_map import Array
from projector.errors import ProjectorError

Image = npt.NDArray[Any]

__all__ = ["Image", "png", "with_corners", "with_lines"]

_PART = 4  # bits of a pixel that OpenCV draws with: 1/16


def with_lines(size: tuple[int, int], lines: Sequence[Array], thickness: int = 2) -> Image:
    """White polylines (n, 2), pixels, on a black screen; shape (height, width, 3), 0 to 1."""
    image = np.zeros((size[1], size[0], 3), np.uint8)
    for line in lines:
        points = np.round(line * 2**_PART).astype(np.int32)[:, None, :]
        cv2.polylines(image, [points], False, (255, 255, 255), thickness, cv2.LINE_AA, _PART)
    return image.astype(np.float64) / 255.0


def with_corners(photo: Image, corners: Array, colour: tuple[int, int, int]) -> Image:
    """The photograph with a ring round every corner that was found."""
    image = np.ascontiguousarray(photo).copy()
    for x, y in np.round(corners * 2**_PART).astype(int):
        cv2.circle(image, (int(x), int(y)), 14 << _PART, colour, 4, cv2.LINE_AA, _PART)
    return image


def png(image: Image) -> bytes:
    """A picture, uint8 (rows, columns, 3) in red, green, blue, as PNG bytes."""
    made, content = cv2.imencode(".png", image[:, :, ::-1])
    if not made:
        raise ProjectorError("a picture could not be written as PNG")
    return bytes(content)
