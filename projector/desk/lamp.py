"""The projector as a lamp for calibrating with a live camera, without a desk beside it."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pygame

from projector.desk.projected import ProjectedWindow
from projector.desk.sessions import empty_session
from projector.errors import ProjectorError

__all__ = ["ProjectedLamp"]


class ProjectedLamp:
    """A full-screen window that shows one grey picture after the other.

    Raises `ProjectorError` without the display, and while waiting when the window is closed.
    """

    def __init__(self, display: int) -> None:
        self._window = ProjectedWindow(display)
        self._session = empty_session()
        self.size = self._window.size

    def light(self, image: npt.NDArray[np.uint8]) -> None:
        """Show this picture, (h, w), from now on."""
        self._window.light(image)
        self.wait()

    def wait(self) -> None:
        """Draw again what was covered; stop when the worker closes the window."""
        for event in pygame.event.get():
            if self._window.hears(event) and self._window.heard(event, self._session):
                raise ProjectorError("calibrate: the window was closed; nothing is changed")
        self._window.show(self._session)

    def close(self) -> None:
        """Close the window."""
        self._window.close()
