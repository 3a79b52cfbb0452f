"""Photographs read from files, as the sensor took them, with the focal length they tell."""

from __future__ import annotations

import io
import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from projector.errors import ProjectorError
from projector.files.reading import read_bytes

__all__ = ["Photo", "on_sensor", "read_photo"]

Image.MAX_IMAGE_PIXELS = None  # its own bound warns of sound photographs; ours is below
_ALONE = threading.RLock()
LARGEST_BYTES = 200_000_000
FOCAL_35MM = 41989
"""EXIF tag FocalLengthIn35mmFilm (Exif 2.3, table 6): of a film 36 mm wide."""
MOST_PIXELS = 220_000_000
"""The largest sensors of phones have 200 million."""
LONGEST_SIDE = 30_000
"""Longer ones the library of pictures cannot warp."""
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
    told, orientation = _noted(path, content)
    way = cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION
    try:
        with _quiet():
            image = cv2.imdecode(np.frombuffer(content, np.uint8), way) if content else None
    except cv2.error:
        image = None
    if image is None:
        raise ProjectorError(f"{path}: not a photograph; wanted a JPEG, PNG or TIFF file")
    focal = _focal(told, image.shape)
    return Photo(str(path), np.asarray(image, dtype=np.uint8), focal, orientation)


@contextmanager
def _quiet() -> Iterator[None]:
    """Nothing that the libraries of pictures print of a spoilt file: one line of ours tells it."""
    with _ALONE:  # two at once would put back each other's silence
        try:
            kept = os.dup(2)
        except OSError:  # there is no such output, and nothing to keep quiet
            yield
            return
        silence = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silence, 2)
        os.close(silence)
        try:
            yield
        finally:
            os.dup2(kept, 2)
            os.close(kept)


def _noted(path: Path, content: bytes) -> tuple[object, int]:
    """Focal length and orientation, from what stands before the picture itself.

    Raises `ProjectorError` where there are far too many pixels: a small file may unfold into
    gigabytes. Where nothing can be known beforehand the library's own bound holds, which the
    command line sets.
    """
    width, height = 0, 0
    try:
        with _quiet(), Image.open(io.BytesIO(content)) as picture:
            width, height = picture.size
            noted = picture.getexif()
            turned = noted.get(ORIENTATION)
            focal = noted.get_ifd(0x8769).get(FOCAL_35MM)
    except Exception:  # spoilt notes end in many ways; without them it is still a picture
        focal, turned = None, 1
    if width * height > MOST_PIXELS or max(width, height) > LONGEST_SIDE:
        raise ProjectorError(
            f"{path}: {width} x {height} pixels are more than a photograph has; wanted at most "
            f"{MOST_PIXELS / 1e6:.0f} million, and {LONGEST_SIDE} on a side"
        )
    return focal, turned if turned in (1, 3, 6, 8) else 1


def _focal(told: object, shape: tuple[int, ...]) -> float | None:
    if not isinstance(told, int | float) or not 8.0 <= float(told) <= 400.0:
        return None
    return float(told) / FILM_DIAGONAL * float(np.hypot(shape[0], shape[1]))
