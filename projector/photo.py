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

__all__ = ["Photo", "read_photo"]

LARGEST_BYTES = 200_000_000
FOCAL_35MM = 41989
"""EXIF tag FocalLengthIn35mmFilm (Exif 2.3, table 6): of a film 36 mm wide."""
FILM_DIAGONAL = 43.2666
"""Of a film of 36 x 24 mm; phones of 4:3 are compared by the diagonal."""


@dataclass(frozen=True, slots=True, eq=False)
class Photo:
    """A photograph: `image` (h, w, 3), BGR, not turned upright; `focal_px` where it is told."""

    name: str
    image: npt.NDArray[np.uint8]
    focal_px: float | None = None


def read_photo(path: Path) -> Photo:
    """A photograph from a file; raises `ProjectorError` when it is not a readable image.

    A note in the file that it is to be shown turned is not followed: the lens belongs to the
    sensor, and coded boards are found any way round.
    """
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise ProjectorError(
                f"{path}: {size / 1e6:.0f} MB are more than a photograph's; wanted a JPEG, PNG or "
                "TIFF file"
            )
        content = path.read_bytes()
    except OSError as error:
        raise ProjectorError(f"{path}: cannot be read ({error.strerror or error})") from error
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
    return Photo(str(path), np.asarray(image, dtype=np.uint8), _focal(content, image.shape))


def _focal(content: bytes, shape: tuple[int, ...]) -> float | None:
    try:
        with Image.open(io.BytesIO(content)) as picture:
            told = picture.getexif().get_ifd(0x8769).get(FOCAL_35MM)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return None
    if not isinstance(told, int | float) or not 8.0 <= float(told) <= 400.0:
        return None
    return float(told) / FILM_DIAGONAL * float(np.hypot(shape[0], shape[1]))
