"""Draws a picture into an array of pixels, anti-aliased, to a sixteenth of a pixel."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from projector.stage.picture import Picture

__all__ = ["drawn"]

_PART = 4
_FAR = 30_000.0


def drawn(picture: Picture) -> npt.NDArray[Any]:
    """The picture as uint8, shape (height, width, 3), red, green, blue."""
    width, height = picture.screen_size
    image = np.zeros((height, width, 3), np.uint8)
    for stroke in picture.strokes:
        if np.abs(stroke.points).max() > _FAR:
            continue
        points = np.round(stroke.points * 2**_PART).astype(np.int32)[:, None, :]
        thickness = max(1, round(stroke.width_px))
        cv2.polylines(image, [points], stroke.closed, stroke.colour, thickness, cv2.LINE_AA, _PART)
    for writing in picture.writings:
        if not (0 <= writing.x_px < width and 0 <= writing.y_px < height):
            continue
        scale = writing.height_px / 22.0
        (wide, high), _ = cv2.getTextSize(writing.text, cv2.FONT_HERSHEY_SIMPLEX, scale, 1)
        corner = (round(writing.x_px - wide / 2), round(writing.y_px + high / 2))
        cv2.putText(
            image, writing.text, corner, cv2.FONT_HERSHEY_SIMPLEX, scale, writing.colour, 1,
            cv2.LINE_AA,
        )  # fmt: skip
    return image
