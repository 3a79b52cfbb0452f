"""Frames from a live camera, a video file or numbered pictures."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

import cv2
import numpy as np
import numpy.typing as npt

from projector.errors import ProjectorError
from projector.photo import Photo
from projector.settings import LAST_DEVICE

__all__ = ["BLACK", "PATIENCE", "Frames", "camera_frames", "frames"]

WARM_UP = 12
"""Frames a live camera needs to settle its exposure; common practice, no source."""
PATIENCE = 10.0
"""Seconds without a picture after which a camera is told to have stopped."""
BLACK = 6.0
"""Mean level, of 255, under which a frame shows nothing."""


class Frames(Protocol):
    """Where pictures come from: a camera, a video, or a rig."""

    def read(self) -> npt.NDArray[np.uint8] | None:
        """The next picture, (h, w, 3), BGR; None when there is none yet."""

    def release(self) -> None:
        """Let go of it."""


class _Capture:
    """A camera by its number, or a video or numbered pictures, which begin anew at their end."""

    def __init__(self, source: str) -> None:
        self._source, self._live = source, source.isdecimal()
        self._capture = _opened(source)

    def read(self) -> npt.NDArray[np.uint8] | None:
        came, image = self._capture.read()
        if not came and not self._live:
            self._capture.release()  # one picture alone cannot be wound back
            self._capture = _opened(self._source)
            came, image = self._capture.read()
        if not self._live:
            time.sleep(0.04)
        return np.asarray(image, np.uint8) if came else None

    def release(self) -> None:
        self._capture.release()


def camera_frames(source: str) -> Frames:
    """The camera of this number, from 0, a video file, or numbered pictures ("frames/%04d.png").

    Raises `ProjectorError` when it does not open.
    """
    return _Capture(source)


def _opened(source: str) -> cv2.VideoCapture:
    # What is missing is told in our words.
    cv2.utils.logging.setLogLevel(cv2.utils.logging.LOG_LEVEL_SILENT)
    os.environ.setdefault("OPENCV_FFMPEG_LOGLEVEL", "-8")
    live = source.isdecimal()
    numbered = "%" in source and Path(source).parent.is_dir()
    if int(source) > LAST_DEVICE if live else not numbered and not Path(source).is_file():
        raise ProjectorError(
            f"camera {source:.60}: wanted a number, from 0 to {LAST_DEVICE}, a video file, or "
            "numbered pictures such as frames/%04d.png"
        )
    capture = cv2.VideoCapture(int(source) if live else _own_path(source))
    if not capture.isOpened():
        capture.release()
        if not live:
            raise ProjectorError(
                f"camera {source}: no video or pictures that can be read; wanted a video file, or "
                "numbered pictures such as frames/%04d.png"
            )
        raise ProjectorError(
            f"camera {source}: it does not open; plug it in, close other programs that use it, "
            "or give the number of another one"
        )
    return capture


def _own_path(source: str) -> str:
    """From the root, so that no name of a file is taken for an address to fetch it from."""
    return str(Path(source).absolute())


def frames(
    source: str, count: int, ready: Callable[[int], None] = lambda number: None
) -> tuple[Photo, ...]:
    """Take `count` frames from a camera (its number), or spread over a video or numbered pictures.

    `ready` is called before each frame of a live camera, and may wait until it has been moved.

    Raises `ProjectorError` when there is no such camera or file, when no frame comes within
    10 seconds, and for frames that are black.
    """
    capture = _opened(source)
    try:
        if source.isdecimal():
            return tuple(_live(capture, source, number, ready) for number in range(1, count + 1))
        return _spread(capture, source, count)
    finally:
        capture.release()


def _live(
    capture: cv2.VideoCapture, source: str, number: int, ready: Callable[[int], None]
) -> Photo:
    ready(number)
    began = time.monotonic()
    taken, frame = 0, None
    while taken < WARM_UP:
        seen, now = capture.read()
        if seen:
            taken, frame = taken + 1, now
        elif time.monotonic() - began > PATIENCE:
            raise ProjectorError(
                f"camera {source}: no picture for {PATIENCE:.0f} s; unplug it and plug it in again"
            )
        else:
            time.sleep(0.05)
    return _checked(frame, f"camera {source}, frame {number}")


def _spread(capture: cv2.VideoCapture, source: str, count: int) -> tuple[Photo, ...]:
    total = int(capture.get(cv2.CAP_PROP_FRAME_COUNT))
    wanted = np.unique(((np.arange(count) + 0.5) * max(total, 1) / count).astype(int))
    photos, place = [], 0
    for number in wanted.tolist():
        frame = None
        while place <= number:
            seen, frame = capture.read()
            if not seen:
                raise ProjectorError(f"{source}: the video ends or breaks at frame {place}")
            place += 1
        photos.append(_checked(frame, f"{source}, frame {number + 1}"))
    return tuple(photos)


def _checked(frame: npt.NDArray[np.uint8] | None, name: str) -> Photo:
    if frame is None or frame.size == 0:
        raise ProjectorError(f"{name}: the picture is empty; try again")
    if float(frame.mean()) < BLACK:
        raise ProjectorError(f"{name}: the picture is black; open the cover, or light the table")
    return Photo(name, np.asarray(frame, dtype=np.uint8))
