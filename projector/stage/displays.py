"""The displays that are connected, and which of them is likely to be the projector."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

from projector.errors import ProjectorError

__all__ = ["displays", "displays_open"]


def displays() -> tuple[tuple[int, int], ...]:
    """Width and height in pixels of each display, in the system's order; empty without any."""
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    import pygame

    try:
        pygame.display.init()
    except pygame.error:
        return ()
    try:
        return tuple((width, height) for width, height in pygame.display.get_desktop_sizes())
    finally:
        pygame.display.quit()


@contextmanager
def displays_open() -> Iterator[None]:
    """Windows can be opened inside; everything is closed at the end.

    Raises `ProjectorError` where there is no display at all.
    """
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    # The handset is heard whichever window has the keyboard.
    os.environ.setdefault("SDL_JOYSTICK_ALLOW_BACKGROUND_EVENTS", "1")
    import pygame

    try:
        pygame.display.init()
    except pygame.error as error:
        raise ProjectorError(
            f"no display is found ({error}); connect a screen, or start this from the desktop"
        ) from error
    pygame.font.init()
    pygame.joystick.init()
    try:
        yield
    finally:
        pygame.joystick.quit()
        pygame.display.quit()
