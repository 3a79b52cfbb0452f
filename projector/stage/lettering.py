"""Letters as grey masks, from a font that comes with the window library."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt
import pygame

__all__ = ["SIZES_PX", "Mask", "mask", "text_width"]

Mask = npt.NDArray[np.uint8]
SIZES_PX = (12, 18, 27, 40, 60, 90)
"""Heights of capital letters in which masks are made; others are scaled down from the next."""


@lru_cache(maxsize=len(SIZES_PX))
def _font(capital_px: int) -> Any:
    if not pygame.font.get_init():
        pygame.font.init()
    measured = pygame.font.Font(None, 100).metrics("H")[0]
    capital = 70 if measured is None else measured[3]
    return pygame.font.Font(None, max(6, round(100 * capital_px / capital)))


@lru_cache(maxsize=512)
def mask(text: str, capital_px: int, grown_px: int = 0) -> tuple[Mask, float]:
    """How much of each pixel the text covers, 0 to 255, and the row of the capitals' middle.

    `grown_px` widens the letters on all sides; for the edge behind them. The text lies in the
    middle of the mask's width.
    """
    font = _font(capital_px)
    # Letters in white on black: the brightness is the coverage.
    shown = font.render(text, True, (255, 255, 255), (0, 0, 0))
    grey = pygame.surfarray.array3d(shown)[:, :, 0].T
    border = grown_px + 2
    grey = np.pad(grey, border)
    if grown_px:
        ball = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * grown_px + 1,) * 2)
        grey = cv2.dilate(grey, ball)
    middle = border + font.get_ascent() - capital_px / 2
    return np.ascontiguousarray(grey, np.uint8), float(middle)


@lru_cache(maxsize=2048)
def text_width(text: str) -> float:
    """How wide a line of text is, in heights of a capital."""
    size = SIZES_PX[-2]
    return float(_font(size).size(text)[0]) / size
