"""A plain picture on the projector while the table is calibrated: board, marks, crosshairs."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
import numpy.typing as npt
import pygame

from projector.errors import ProjectorError
from projector.stage.commands import CloseWindow, Command
from projector.stage.displays import displays_now
from projector.stage.session import Session

__all__ = ["ProjectedWindow", "crosshairs", "marks"]

_PART = 4
_CLOSING = (pygame.K_ESCAPE, pygame.K_q)
_MOVED = (
    pygame.WINDOWDISPLAYCHANGED, pygame.WINDOWMOVED, pygame.WINDOWRESIZED,
    pygame.WINDOWSIZECHANGED,
)  # fmt: skip
Image = npt.NDArray[np.uint8]


def crosshairs(
    screen_size: tuple[int, int], places: Sequence[tuple[float, float]], chosen: int
) -> Image:
    """Crosshairs at screen points, to a sixteenth of a pixel; the chosen one large and bright."""
    width, height = screen_size
    image = np.zeros((height, width, 3), np.uint8)
    for index, (x, y) in enumerate(places):
        bright = (255, 255, 255) if index == chosen else (70, 110, 110)
        reach = (height if index == chosen else height / 3) / 12
        for dx, dy in ((reach, 0.0), (0.0, reach)):
            ends = [_fixed(x - dx, y - dy), _fixed(x + dx, y + dy)]
            cv2.line(image, ends[0], ends[1], bright, 1, cv2.LINE_AA, _PART)
        if index == chosen:
            cv2.circle(
                image, _fixed(x, y), round(reach / 3 * 2**_PART), bright, 1, cv2.LINE_AA, _PART
            )
    return image


def marks(
    screen_size: tuple[int, int], places: Sequence[tuple[float, float]], pair: tuple[int, int]
) -> Image:
    """Numbered crosses at screen points; those of the pair to be measured now are bright."""
    width, height = screen_size
    image = np.zeros((height, width, 3), np.uint8)
    for index, (x, y) in enumerate(places):
        colour = (255, 220, 90) if index in pair else (80, 90, 95)
        reach = height / 30
        for dx, dy in ((reach, 0.0), (0.0, reach)):
            ends = [_fixed(x - dx, y - dy), _fixed(x + dx, y + dy)]
            cv2.line(image, ends[0], ends[1], colour, 1, cv2.LINE_AA, _PART)
        shift = reach if x < width / 2 else -1.6 * reach
        place = (round(x + shift), round(y + (1.4 if y < height / 2 else -0.5) * reach))
        cv2.putText(image, str(index + 1), place, cv2.FONT_HERSHEY_SIMPLEX, height / 900, colour,
                    max(1, height // 540), cv2.LINE_AA)  # fmt: skip
    return image


def _fixed(x: float, y: float) -> tuple[int, int]:
    return round(x * 2**_PART), round(y * 2**_PART)


class ProjectedWindow:
    """One picture, full screen on the projector. Raises `ProjectorError` without the display.

    It closes itself when that display is unplugged; `fault` tells so.
    """

    patience: float | None = None
    busy = False

    def __init__(self, display: int) -> None:
        sizes = pygame.display.get_desktop_sizes()
        if not 0 <= display < len(sizes):
            raise ProjectorError(f"display {display} is not connected; there are {len(sizes)}")
        place = pygame.WINDOWPOS_CENTERED | display
        self._window = pygame.Window(
            "Shearlight calibration", sizes[display], position=(place, place)
        )
        self._window.set_fullscreen(desktop=True)
        self.size: tuple[int, int] = (sizes[display][0], sizes[display][1])
        self._display = display
        self._asked = displays_now()[display : display + 1]
        self.fault = ""
        self._image: Image | None = None
        self._dirty = False
        self.open = True

    def light(self, image: Image) -> None:
        """Show this picture, (height, width) or (height, width, 3), from now on."""
        self._image = image if image.ndim == 3 else np.repeat(image[:, :, None], 3, axis=2)
        self._dirty = True

    def hears(self, event: pygame.Event) -> bool:
        """Whether an event is this window's."""
        return getattr(event, "window", None) is self._window

    def passes(self, event: pygame.Event) -> bool:
        """Whether a key pressed here is the desk's: the system gives the keys to the newest window,
        while the worker looks at the table."""
        keys = (pygame.KEYDOWN, pygame.KEYUP, pygame.TEXTINPUT)
        return (
            event.type in keys and self.hears(event) and getattr(event, "key", None) not in _CLOSING
        )

    def heard(self, event: pygame.Event, session: Session) -> tuple[Command, ...]:
        """It can be closed; everything else is told at the desk."""
        if event.type == pygame.WINDOWCLOSE or (
            event.type == pygame.KEYDOWN and event.key in _CLOSING
        ):
            return (CloseWindow(),)
        if event.type in _MOVED and self._gone():
            self.fault = (
                f"the projector (display {self._display}) was unplugged or set otherwise; "
                "connect it and light again"
            )
            return (CloseWindow(),)
        if event.type in (pygame.WINDOWEXPOSED, pygame.WINDOWSIZECHANGED):
            self._dirty = True
        return ()

    def _gone(self) -> bool:
        """Whether the display is not there any more as it was; the system then moves the window."""
        if self._asked:
            return self._asked[0] not in displays_now()
        sizes = pygame.display.get_desktop_sizes()
        return sizes[self._display : self._display + 1] != [self.size]

    def turn(self, session: Session, elapsed: float) -> tuple[Command, ...]:
        """Nothing happens by itself."""
        return ()

    def show(self, session: Session) -> None:
        """Draw the picture when there is a new one."""
        if not self._dirty or self._image is None:
            return
        surface = self._window.get_surface()
        surface.fill((0, 0, 0))
        picture = pygame.surfarray.make_surface(self._image.swapaxes(0, 1))
        surface.blit(picture, (0, 0))
        self._window.flip()
        self._dirty = False

    def close(self) -> None:
        """Close the window."""
        if self.open:
            self.open = False
            self._window.destroy()
