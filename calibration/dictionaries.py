"""Which markers the boards hold: those of a screen, of a printed sheet, of boards others made.

All are OpenCV's predefined markers, so that any detector that knows them reads our boards.
"""

from __future__ import annotations

import zlib

import cv2
import numpy as np
import numpy.typing as npt

from calibration.errors import CalibrationError

__all__ = [
    "IN_ORDER",
    "MARKERS",
    "STATED",
    "printed_dictionary",
    "projected_order",
    "screen_dictionary",
    "stated_dictionary",
]

MARKERS = 80
"""So many markers belong to each printed board, and to no other."""
IN_ORDER = (1920, 1080)
"""The screen whose board has OpenCV's own order of markers."""
STATED = {
    name.removeprefix("DICT_"): int(getattr(cv2.aruco, name))
    for name in dir(cv2.aruco)
    if name.startswith("DICT_")
}


def projected_order(screen_size: tuple[int, int]) -> npt.NDArray[np.int64]:
    """The numbers in 6X6_250 of the markers 0, 1, ... of a screen's board, (250,).

    Each size has an order of its own: boards of 1280 x 720 and 1920 x 1080 are the same but for
    it, and a photograph of the one would make a map of the other.
    """
    count = 250
    if screen_size == IN_ORDER:
        return np.arange(count)
    words = [f"{number} of {screen_size[0]}x{screen_size[1]}".encode() for number in range(count)]
    return np.array(sorted(range(count), key=lambda number: zlib.crc32(words[number])))


def screen_dictionary(screen_size: tuple[int, int]) -> cv2.aruco.Dictionary:
    """The markers of the board projected on a screen of this size."""
    whole = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_6X6_250)
    codes = whole.bytesList[projected_order(screen_size)].copy()
    return cv2.aruco.Dictionary(codes, whole.markerSize, whole.maxCorrectionBits)


def printed_dictionary(number: int) -> cv2.aruco.Dictionary:
    """The markers of a printed board, from 0: they differ in three cells or more, so that one
    wrong cell can be mended."""
    whole = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_1000)
    first = number * MARKERS
    return cv2.aruco.Dictionary(whole.bytesList[first : first + MARKERS].copy(), 4, 1)


def stated_dictionary(name: str) -> cv2.aruco.Dictionary:
    """OpenCV's dictionary of this name without "DICT_"; `CalibrationError` for another."""
    if name not in STATED:
        raise CalibrationError(
            f"markers {name!r} are not known; choose from {', '.join(sorted(STATED))}"
        )
    return cv2.aruco.getPredefinedDictionary(STATED[name])
