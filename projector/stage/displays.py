"""The displays that are connected, and which of them is likely to be the projector."""

from __future__ import annotations

import os

__all__ = ["displays"]


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
