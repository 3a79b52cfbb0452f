"""The picture of lit marks to measure between: crosses with letters, white on black."""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt

__all__ = ["LETTERS", "marks_image", "marks_png"]

LETTERS = "ABCDEFGHI"


def marks_png(screen_size: tuple[int, int], marks_px: dict[str, tuple[float, float]]) -> bytes:
    """A PNG of `marks_image`."""
    return bytes(cv2.imencode(".png", marks_image(screen_size, marks_px))[1])


def marks_image(
    screen_size: tuple[int, int], marks_px: dict[str, tuple[float, float]]
) -> npt.NDArray[np.uint8]:
    """The whole screen (height, width): at each mark (whole pixels) a cross one pixel wide."""
    width, height = screen_size
    image = np.zeros((height, width), np.uint8)
    arm = max(12, height // 30)
    for letter, place in marks_px.items():
        x, y = (round(value) for value in place)
        image[max(y - arm, 0) : y + arm + 1, x] = 255
        image[y, max(x - arm, 0) : x + arm + 1] = 255
        size = height / 540.0
        inward_x = x + arm // 2 if x < width / 2 else x - arm - int(14 * size)
        inward_y = y + arm + int(22 * size) if y < height / 2 else y - arm
        cv2.putText(
            image, letter, (inward_x, inward_y), cv2.FONT_HERSHEY_SIMPLEX, size, 255, 2, cv2.LINE_AA
        )
    return image
