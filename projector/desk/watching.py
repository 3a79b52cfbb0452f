"""A live camera, watched in a process of its own: what it sees, what is found, pictures taken."""

from __future__ import annotations

import multiprocessing
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from calibration.errors import CalibrationError
from projector.camera import BLACK, PATIENCE, Frames, camera_frames
from projector.desk.seeing import Boards, Seen, seen_by_lights, seen_in
from projector.errors import ProjectorError
from projector.files.writing import write_bytes
from projector.live_board import live_sight

__all__ = ["Live", "Missed", "Taken", "Watching"]

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


@dataclass(frozen=True, slots=True, eq=False)
class _Lit:
    """A grey picture (h, w) that is to be lit now."""

    image: npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class _Doing:
    """What is lit, and the part that is done; no words when it is over, `fault` when it failed."""

    words: str = ""
    part: float = 0.0
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Missed:
    """Why no picture could be taken; the camera is watched on."""

    fault: str


class _Shown:
    """A camera whose pictures are shown at the desk while they are used for something else."""

    def __init__(self, frames: Frames, told: Connection) -> None:
        self._frames, self._told, self._at = frames, told, 0.0

    def read(self) -> npt.NDArray[np.uint8] | None:
        image = self._frames.read()
        if image is not None and time.monotonic() - self._at > EVERY:
            self._told.send(Live(_reduced(image)))
            self._at = time.monotonic()
        return image

    def release(self) -> None:
        self._frames.release()


class _Lamp:
    """The projector's window, lit by the desk."""

    def __init__(self, told: Connection) -> None:
        self._told = told

    def light(self, image: npt.NDArray[np.uint8]) -> None:
        self._told.send(_Lit(image))

    def wait(self) -> None:
        """The window is kept alive by the desk."""


def _reduced(image: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    part = min(1.0, SHOWN_PX / image.shape[1])
    size = (round(part * image.shape[1]), round(part * image.shape[0]))
    return np.asarray(cv2.resize(image, size, interpolation=cv2.INTER_AREA), np.uint8)


def _taken(image: npt.NDArray[np.uint8], path: Path, boards: Boards) -> Taken:
    if float(image.mean()) < BLACK:
        raise ProjectorError("the picture is black; open the cover, or light the table")
    write_bytes(path, cv2.imencode(".png", image)[1].tobytes())
    return Taken(path, boards, seen_in(image, boards, None, path.name))


def _by_lights(frames: Frames, path: Path, boards: Boards, told: Connection) -> Taken:
    """White light, then boards and their inverses; the picture in white light is kept."""
    found = live_sight(
        _Shown(frames, told), _Lamp(told), boards.screen_size, (boards.sheet,),
        subject=path.name, told=lambda what, part: told.send(_Doing(what, part)),
    )  # fmt: skip
    write_bytes(path, cv2.imencode(".png", found.picture)[1].tobytes())
    return Taken(path, boards, seen_by_lights(found.sight, boards))


def _answered(
    asked: tuple[str, Path],
    image: npt.NDArray[np.uint8],
    frames: Frames,
    boards: Boards,
    told: Connection,
) -> None:
    """Take what was asked for; what fails is told, and the camera is watched on."""
    way, path = asked
    try:
        lights = way == "lights"
        told.send(_by_lights(frames, path, boards, told) if lights else _taken(image, path, boards))
        told.send(_Doing())
    except (CalibrationError, ProjectorError) as error:
        told.send(_Doing(fault=str(error)))


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
                        f"camera {source}: no picture for {PATIENCE:.0f} s; "
                        + (
                            "unplug it and plug it in again"
                            if source.isdecimal()
                            else "give another file"
                        )
                    )
                time.sleep(0.02)
                continue
            came_at = now
            if asked.poll():
                _answered(asked.recv(), image, frames, boards, told)
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
    """The camera that is watched, if one is: `live` is its latest picture.

    `lighting` is given the pictures (h, w) that are to be lit while one is taken by lights, and
    `doing` tells how far that is.
    """

    def __init__(self, lighting: Callable[[npt.NDArray[np.uint8]], None]) -> None:
        self.opening: Callable[[str], Frames] = camera_frames
        self.lighting = lighting
        self.live: Live | None = None
        self.doing: tuple[str, float] | None = None
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

    def take(self, path: Path, by_lights: bool = False) -> None:
        """Take a picture into a file, or several under changing light from one place.

        Raises `ProjectorError` when no camera is watched.
        """
        if self._ask is None:
            raise ProjectorError("no camera is watched; press Watch first")
        self._ask.send(("lights" if by_lights else "one", path))
        self.doing = ("taking a picture", 0.0)

    def poll(self) -> Taken | Missed | str | None:
        """A picture that was taken or why not, or why the camera is watched no longer."""
        while self._told is not None and self._told.poll():
            try:
                news = self._told.recv()
            except (EOFError, OSError):
                self.stop()
                return "the camera is gone; watch it again"
            if isinstance(news, Live):
                before = None if self.live is None or self.doing else self.live.seen
                self.live = news if news.seen else replace(news, seen=before)
            elif isinstance(news, _Lit):
                self.lighting(news.image)
            elif isinstance(news, _Doing):
                self.doing = (news.words, news.part) if news.words else None
                if news.fault:
                    return Missed(news.fault)
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
        self._told = self._ask = self.live = self.doing = None
