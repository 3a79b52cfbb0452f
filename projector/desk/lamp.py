"""The projector as a lamp for calibrating, without a desk beside it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import numpy.typing as npt
import pygame

from projector.desk.projected import ProjectedWindow
from projector.desk.sessions import empty_session
from projector.errors import ProjectorError
from projector.stage.displays import displays_open

__all__ = ["ProjectedLamp", "lamp_open"]

LOOK = 50
"""Milliseconds between two looks at what the worker does."""


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
        if self._closed():
            fault = self._window.fault or "the window was closed"
            raise ProjectorError(f"calibrate: {fault}; nothing is changed")

    def stay(self) -> None:
        """Show the picture until the worker closes the window."""
        while not self._closed():
            pygame.time.wait(LOOK)

    def _closed(self) -> bool:
        for event in pygame.event.get():
            if event.type == pygame.QUIT:  # Ctrl+C in the terminal comes as this, too
                return True
            if self._window.hears(event) and self._window.heard(event, self._session):
                return True
        self._window.show(self._session)
        return False

    def close(self) -> None:
        """Close the window."""
        self._window.close()


@contextmanager
def lamp_open(display: int) -> Iterator[ProjectedLamp]:
    """A lamp on this display; dark again at the end."""
    with displays_open():
        lamp = ProjectedLamp(display)
        try:
            yield lamp
        finally:
            lamp.close()
