"""A live camera, watched in a process of its own: what it sees, what is found, pictures taken."""

from __future__ import annotations

import multiprocessing
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from projector.camera import BLACK, PATIENCE, Frames, camera_frames
from projector.desk.seeing import Boards, Seen, seen_in
from projector.errors import ProjectorError
from projector.files.writing import write_bytes

__all__ = ["Live", "Taken", "Watching"]

SHOWN_PX = 960
"""Width to which the live picture is reduced before it goes to the desk."""
EVERY = 0.15
"""Seconds between two live pictures."""
LOOKS = 0.8
"""Seconds between two searches for corners, so that the picture itself stays lively."""


@dataclass(frozen=True, slots=True, eq=False)
class Live:
    """What the camera sees now, reduced, (h, w, 3), BGR, and what was found a moment ago."""

    image: npt.NDArray[np.uint8]
    seen: Seen | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """A picture that was taken, in its file, and what it shows."""

    path: Path
    boards: Boards
    seen: Seen


def _reduced(image: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    part = min(1.0, SHOWN_PX / image.shape[1])
    size = (round(part * image.shape[1]), round(part * image.shape[0]))
    return np.asarray(cv2.resize(image, size, interpolation=cv2.INTER_AREA), np.uint8)


def _taken(image: npt.NDArray[np.uint8], path: Path, boards: Boards) -> Taken:
    if float(image.mean()) < BLACK:
        raise ProjectorError("the picture is black; open the cover, or light the table")
    write_bytes(path, cv2.imencode(".png", image)[1].tobytes())
    return Taken(path, boards, seen_in(image, boards, None, path.name))


def _watched(
    opening: Callable[[str], Frames],
    source: str,
    boards: Boards,
    told: Connection,
    asked: Connection,
) -> None:
    frames: Frames | None = None
    try:
        frames = opening(source)
        came_at, shown_at, looked_at = time.monotonic(), 0.0, 0.0
        seen: Seen | None = None
        while True:
            image = frames.read()
            now = time.monotonic()
            if image is None:
                if now - came_at > PATIENCE:
                    raise ProjectorError(
                        f"camera {source}: no picture for {PATIENCE:.0f} s; unplug it and plug it "
                        "in again"
                    )
                time.sleep(0.02)
                continue
            came_at = now
            if asked.poll():
                told.send(_taken(image, asked.recv(), boards))
            elif now - looked_at > LOOKS:
                seen = seen_in(image, boards, None, "camera")
                looked_at = time.monotonic()
            if now - shown_at > EVERY:
                told.send(Live(_reduced(image), seen))
                shown_at = now
    except (EOFError, BrokenPipeError, ConnectionResetError):
        pass  # the desk has closed
    except (ProjectorError, OSError) as error:
        told.send(str(error))
    finally:
        if frames is not None:
            frames.release()
        told.close()


class Watching:
    """The camera that is watched, if one is: `live` is its latest picture."""

    def __init__(self, opening: Callable[[str], Frames] = camera_frames) -> None:
        self.opening = opening
        self.live: Live | None = None
        self._process: Any = None
        self._told: Connection | None = None
        self._ask: Connection | None = None

    @property
    def under_way(self) -> bool:
        """Whether a camera is watched."""
        return self._told is not None

    def begin(self, source: str, boards: Boards) -> None:
        """Watch a camera; pictures come after a second or two."""
        self.stop()
        context = multiprocessing.get_context("spawn")
        self._told, told = context.Pipe(duplex=False)
        asked, self._ask = context.Pipe(duplex=False)
        given = (self.opening, source, boards, told, asked)
        self._process = context.Process(target=_watched, args=given, daemon=True)
        self._process.start()
        told.close()
        asked.close()

    def take(self, path: Path) -> None:
        """Take a picture into a file. Raises `ProjectorError` when no camera is watched."""
        if self._ask is None:
            raise ProjectorError("no camera is watched; press Watch first")
        self._ask.send(path)

    def poll(self) -> Taken | str | None:
        """A picture that was taken, or why the camera is watched no longer; usually nothing."""
        while self._told is not None and self._told.poll():
            try:
                news = self._told.recv()
            except (EOFError, OSError):
                self.stop()
                return "the camera is gone; watch it again"
            if isinstance(news, Live):
                self.live = news
            elif isinstance(news, str):
                self.stop()
                return news
            else:
                taken: Taken = news
                return taken
        return None

    def stop(self) -> None:
        """Let go of the camera."""
        if self._told is not None and self._ask is not None:
            self._told.close()
            self._ask.close()
            self._process.terminate()
            self._process.join(2.0)
        self._told = self._ask = self.live = None
