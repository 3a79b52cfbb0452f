"""A still camera and the projector together: boards lit one after the other, each seen alone.

White light shows the printed sheets by themselves. Each projected board is lit and then its
inverse, so that cloth, prints and the sheets under it cancel; no white field for a sheet is
needed. Several boards, each shifted by a part of a square, give several times the corners.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import Board, corner_screen_points, drawn_on_screen, screen_board
from calibration.detection import found_corners
from calibration.errors import CalibrationError
from calibration.evidence import PhotoSight
from calibration.light_pairs import board_alone
from calibration.sighting import Printed, references_seen
from projector.camera import BLACK, PATIENCE, Frames
from projector.errors import ProjectorError

__all__ = ["Lamp", "LiveSight", "live_sight", "shifted_boards"]

Picture = npt.NDArray[np.uint8]

AVERAGED = 4
"""Pictures averaged for one, which halves the noise."""
STILL, CHANGED = 1.5, 4.0
"""Mean differences of two reduced pictures, of 255 levels: below the first nothing moves, above
the second the light has changed. A webcam's noise is below 0.5 once reduced; a board's inverse
differs by tens."""
STILL_PICTURES = 3
REDUCED_PX = 160


class Lamp(Protocol):
    """What lights the table: the projector's window, or a rig."""

    def light(self, image: Picture) -> None:
        """Show this grey picture, (h, w), of the screen's size, from now on."""

    def wait(self) -> None:
        """Called between two pictures of the camera, so that a window stays alive."""


@dataclass(frozen=True, slots=True, eq=False)
class LiveSight:
    """What a still camera saw: corners and sheets, and the picture under white light, BGR."""

    sight: PhotoSight
    picture: Picture


def shifted_boards(screen_size: tuple[int, int], plain: bool = False) -> tuple[Board, ...]:
    """Three boards whose corners lie between each other's, in rows and columns of their own."""
    third = round(screen_board(screen_size, plain=plain).square / 3)
    shifts = ((0, 0), (third, 2 * third), (2 * third, third))
    return tuple(screen_board(screen_size, plain=plain, shift=shift) for shift in shifts)


def live_sight(
    frames: Frames,
    lamp: Lamp,
    screen_size: tuple[int, int],
    printed: Sequence[Printed],
    plain: bool = False,
    subject: str = "camera",
    told: Callable[[str, float], None] = lambda what, part: None,
) -> LiveSight:
    """Light white, then each board and its inverse, and read them all from one place.

    A sheet that is not seen is left out: another place may show it. `told` hears what is lit and
    the part that is done.

    Raises
    ------
    ProjectorError
        The camera gives no picture, a black one, or one that does not change with the light.
    CalibrationError
        No board is found, or something moved.
    """
    boards = shifted_boards(screen_size, plain)
    width, height = screen_size
    told("white light", 0.0)
    lamp.light(np.full((height, width), 255, np.uint8))
    white = _settled(frames, lamp, None, subject)
    if float(white.mean()) < BLACK:
        raise ProjectorError(f"{subject}: the picture is black; open the cover, aim at the light")
    before, screen_px, photo_px = white, [], []
    fault: CalibrationError | None = None
    for number, board in enumerate(boards):
        lit, pair = drawn_on_screen(board, screen_size), []
        for half, image in enumerate((lit, 255 - lit)):
            told(
                f"board {number + 1} of {len(boards)}",
                (2 * number + half + 1) / (2 * len(boards) + 1),
            )
            lamp.light(image)
            before = _settled(frames, lamp, before, subject)
            pair.append(before)
        try:
            found = found_corners(board_alone(pair[0], pair[1], subject=subject), board, subject)
        except CalibrationError as error:
            fault = error
            continue
        screen_px.append(corner_screen_points(board)[found.ids])
        photo_px.append(found.points_px)
    if fault is not None and not screen_px:
        raise fault
    seen = PhotoSight(
        np.concatenate(screen_px),
        np.concatenate(photo_px),
        (white.shape[1], white.shape[0]),
        references_seen(white, printed, subject)[0],
        None,
        subject,
    )
    return LiveSight(seen, white)


def _settled(frames: Frames, lamp: Lamp, before: Picture | None, subject: str) -> Picture:
    """The mean of some pictures, once the light has changed from `before` and then stands still.

    A camera hands out its pictures late, by as many as it buffers, and its exposure takes a while.
    """
    old = None if before is None else _reduced(before)
    last: Picture | None = None
    still = 0
    kept: list[npt.NDArray[np.float32]] = []
    for picture in _pictures(frames, lamp, old is not None, subject):
        small = _reduced(picture)
        if old is not None and _apart(small, old) < CHANGED:
            continue
        old = None
        still = still + 1 if last is not None and _apart(small, last) < STILL else 0
        last = small
        if still < STILL_PICTURES:
            kept.clear()
            continue
        kept.append(picture.astype(np.float32))
        if len(kept) == AVERAGED:
            break
    return np.asarray(np.mean(kept, axis=0) + 0.5, np.uint8)


def _pictures(frames: Frames, lamp: Lamp, changing: bool, subject: str) -> Iterator[Picture]:
    """Pictures as they come, for as long as patience lasts."""
    began, came = time.monotonic(), False
    while time.monotonic() - began < PATIENCE:
        lamp.wait()
        picture = frames.read()
        if picture is None:
            time.sleep(0.02)
            continue
        came = True
        yield picture
    if not came:
        raise ProjectorError(
            f"{subject}: no picture for {PATIENCE:.0f} s; unplug it and plug it in again"
        )
    raise ProjectorError(
        f"{subject}: the picture did not {'follow the light' if changing else 'come to rest'} "
        f"within {PATIENCE:.0f} s; aim the camera at the lit table, hold it still, and check that "
        "the display is the projector's"
    )


def _reduced(picture: Picture) -> Picture:
    height = max(1, round(picture.shape[0] * REDUCED_PX / picture.shape[1]))
    small = cv2.resize(picture, (REDUCED_PX, height), interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8)


def _apart(one: Picture, other: Picture) -> float:
    return float(np.mean(cv2.absdiff(one, other)))
