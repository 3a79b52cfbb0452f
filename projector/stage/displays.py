"""The displays that are connected, and which of them is likely to be the projector."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from projector.errors import ProjectorError

__all__ = ["Display", "displays", "displays_now", "displays_open"]

UNSEEN = ("offscreen", "dummy")


@dataclass(frozen=True, slots=True)
class Display:
    """A display as the system has it: its socket's name, empty where it has none, the pixel of all
    displays together where it begins, and its width and height in pixels."""

    name: str
    place: tuple[int, int]
    size: tuple[int, int]


def displays_now() -> tuple[Display, ...]:
    """The displays as they are at this moment; empty where the system has to be believed.

    The window library keeps the sizes it found when it began, on X11 even after the projector has
    been set to another one; there the X server is asked afresh.
    """
    import pygame

    if not pygame.display.get_init() or pygame.display.get_driver() != "x11":
        return ()
    from screeninfo import Enumerator, ScreenInfoError, get_monitors

    for way in (Enumerator.Xrandr, Enumerator.Xinerama):
        try:
            found = get_monitors(way)
        except (ScreenInfoError, OSError):
            continue
        return tuple(Display(m.name or "", (m.x, m.y), (m.width, m.height)) for m in found)
    return ()


def displays() -> tuple[tuple[int, int], ...]:
    """Width and height in pixels of each display, in the system's order; empty without any."""
    import pygame

    try:
        _begin()
    except ProjectorError:
        return ()
    try:
        return tuple((width, height) for width, height in pygame.display.get_desktop_sizes())
    finally:
        pygame.display.quit()


def _begin() -> None:
    """Begin the window library. Raises `ProjectorError` where it has no display to show."""
    import pygame

    mend = "connect a screen, or start this from the desktop"
    try:
        pygame.display.init()
    except pygame.error as error:
        raise ProjectorError(f"no display is found ({error}); {mend}") from error
    # Without any display the library draws where nobody looks, unless that was asked for.
    if pygame.display.get_driver() in UNSEEN and "SDL_VIDEODRIVER" not in os.environ:
        pygame.display.quit()
        raise ProjectorError(f"no display is found; {mend}")


@contextmanager
def displays_open() -> Iterator[None]:
    """Windows can be opened inside; everything is closed at the end.

    Raises `ProjectorError` where there is no display at all.
    """
    # The handset is heard whichever window has the keyboard.
    os.environ.setdefault("SDL_JOYSTICK_ALLOW_BACKGROUND_EVENTS", "1")
    # A click that takes one to the other window counts there, too.
    os.environ.setdefault("SDL_MOUSE_FOCUS_CLICKTHROUGH", "1")
    import pygame

    _begin()
    pygame.font.init()
    pygame.joystick.init()
    try:
        yield
    finally:
        pygame.joystick.quit()
        pygame.display.quit()
