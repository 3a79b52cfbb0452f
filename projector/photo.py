"""Photographs read from files, as the sensor took them, with the focal length they tell."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from projector.errors import ProjectorError
from projector.files.reading import read_bytes

__all__ = ["Photo", "on_sensor", "read_photo"]

LARGEST_BYTES = 200_000_000
FOCAL_35MM = 41989
"""EXIF tag FocalLengthIn35mmFilm (Exif 2.3, table 6): of a film 36 mm wide."""
ORIENTATION = 0x0112
FILM_DIAGONAL = 43.2666
"""Of a film of 36 x 24 mm; phones of 4:3 are compared by the diagonal."""


@dataclass(frozen=True, slots=True, eq=False)
class Photo:
    """A photograph: `image` (h, w, 3), BGR, not turned upright; `focal_px` where it is told.

    `orientation` is how it is to be shown, as Exif 2.3 numbers it: 1 as it is, 3 turned by a half,
    6 and 8 by a quarter to the right and left.
    """

    name: str
    image: npt.NDArray[np.uint8]
    focal_px: float | None = None
    orientation: int = 1


def on_sensor(photo: Photo, shown_px: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Points (n, 2) clicked on the photograph as viewers show it, turned upright, in `image`."""
    height, width = photo.image.shape[:2]
    x, y = shown_px.T
    turned = {
        3: (width - 1 - x, height - 1 - y),
        6: (y, height - 1 - x),
        8: (width - 1 - y, x),
    }.get(photo.orientation, (x, y))
    return np.column_stack(turned)


def read_photo(path: Path) -> Photo:
    """A photograph from a file; raises `ProjectorError` when it is not a readable image.

    A note in the file that it is to be shown turned is not followed: the lens belongs to the
    sensor, and coded boards are found any way round.
    """
    content = read_bytes(path, LARGEST_BYTES, "photograph")
    if path.suffix.lower() in (".heic", ".heif"):
        raise ProjectorError(f"{path}: HEIC is not read; set the phone to take JPEG, or convert it")
    data = np.frombuffer(content, np.uint8)
    way = cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION
    try:
        image = cv2.imdecode(data, way) if len(data) else None
    except cv2.error:
        image = None
    if image is None:
        raise ProjectorError(f"{path}: not a photograph; wanted a JPEG, PNG or TIFF file")
    told, orientation = _noted(content)
    focal = _focal(told, image.shape)
    return Photo(str(path), np.asarray(image, dtype=np.uint8), focal, orientation)


def _noted(content: bytes) -> tuple[object, int]:
    try:
        with Image.open(io.BytesIO(content)) as picture:
            noted = picture.getexif()
            turned = noted.get(ORIENTATION)
            focal = noted.get_ifd(0x8769).get(FOCAL_35MM)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return None, 1
    return focal, turned if turned in (1, 3, 6, 8) else 1


def _focal(told: object, shape: tuple[int, ...]) -> float | None:
    if not isinstance(told, int | float) or not 8.0 <= float(told) <= 400.0:
        return None
    return float(told) / FILM_DIAGONAL * float(np.hypot(shape[0], shape[1]))
