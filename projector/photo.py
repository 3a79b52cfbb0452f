"""Photographs read from files, turned upright as the camera noted."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt

from projector.errors import ProjectorError

__all__ = ["read_photo"]


def read_photo(path: Path) -> npt.NDArray[np.uint8]:
    """A photograph as (h, w, 3) BGR; raises `ProjectorError` when it is not a readable image."""
    try:
        data = np.frombuffer(path.read_bytes(), np.uint8)
    except OSError as error:
        raise ProjectorError(f"{path}: cannot be read ({error.strerror or error})") from error
    if path.suffix.lower() in (".heic", ".heif"):
        raise ProjectorError(f"{path}: HEIC is not read; set the phone to take JPEG, or convert it")
    try:
        image = cv2.imdecode(data, cv2.IMREAD_COLOR) if len(data) else None
    except cv2.error:
        image = None
    if image is None:
        raise ProjectorError(f"{path}: not a photograph; wanted a JPEG, PNG or TIFF file")
    return np.asarray(image, dtype=np.uint8)
