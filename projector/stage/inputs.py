"""What the worker's hand does, as plain values, made from the events of the window system."""

from __future__ import annotations

from dataclasses import dataclass

import pygame

__all__ = [
    "Closed",
    "Input",
    "KeyPressed",
    "PointerMoved",
    "PointerPressed",
    "PointerReleased",
    "input_of",
]


@dataclass(frozen=True, slots=True)
class KeyPressed:
    """A key goes down. `key` is its name in lower case: "a", "page down", "left"."""

    key: str
    shift: bool = False
    control: bool = False
    alt: bool = False


@dataclass(frozen=True, slots=True)
class PointerPressed:
    """A button of the mouse goes down at a place, screen pixels: 1 left, 2 middle, 3 right."""

    x_px: float
    y_px: float
    button: int = 1


@dataclass(frozen=True, slots=True)
class PointerMoved:
    """The pointer is at a new place, screen pixels."""

    x_px: float
    y_px: float


@dataclass(frozen=True, slots=True)
class PointerReleased:
    """A button of the mouse comes up."""

    x_px: float
    y_px: float
    button: int = 1


@dataclass(frozen=True, slots=True)
class Closed:
    """The window's close button, or the system asks the program to end."""


Input = KeyPressed | PointerPressed | PointerMoved | PointerReleased | Closed


def input_of(event: pygame.Event) -> Input | None:
    """The plain value of an event; None for one that no control listens to."""
    kind = event.type
    if kind == pygame.KEYDOWN:
        held = event.mod
        return KeyPressed(
            pygame.key.name(event.key),
            bool(held & pygame.KMOD_SHIFT),
            bool(held & pygame.KMOD_CTRL),
            bool(held & pygame.KMOD_ALT),
        )
    if kind == pygame.MOUSEMOTION:
        return PointerMoved(*event.pos)
    if kind == pygame.MOUSEBUTTONDOWN and event.button <= 3:
        return PointerPressed(event.pos[0], event.pos[1], event.button)
    if kind == pygame.MOUSEBUTTONUP and event.button <= 3:
        return PointerReleased(event.pos[0], event.pos[1], event.button)
    if kind in (pygame.QUIT, pygame.WINDOWCLOSE):
        return Closed()
    return None
