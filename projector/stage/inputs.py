"""What the worker's hand does, as plain values, made from the events of the window system."""

from __future__ import annotations

from dataclasses import dataclass

import pygame

__all__ = [
    "ButtonPressed", "ButtonReleased", "Closed", "CrossPressed", "Input", "KeyPressed",
    "PointerMoved", "PointerPressed", "PointerReleased", "StickMoved", "Wheeled", "input_of",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class KeyPressed:
    """A key goes down. `key` is its name in lower case: "a", "page down", "left"."""

    key: str
    shift: bool = False


@dataclass(frozen=True, slots=True)
class PointerPressed:
    """A button of the mouse goes down at a place, screen pixels: 1 left, 2 middle, 3 right."""

    x_px: float
    y_px: float
    button: int = 1


@dataclass(frozen=True, slots=True)
class PointerMoved:
    """The pointer is at a new place, screen pixels; `control` tells whether that key is held."""

    x_px: float
    y_px: float
    control: bool = False


@dataclass(frozen=True, slots=True)
class PointerReleased:
    """A button of the mouse comes up."""


@dataclass(frozen=True, slots=True)
class Wheeled:
    """The wheel turns by so many notches, away from the hand positive."""

    notches: int
    shift: bool = False


@dataclass(frozen=True, slots=True)
class ButtonPressed:
    """A button of the handset goes down; counted from 1."""

    button: int


@dataclass(frozen=True, slots=True)
class ButtonReleased:
    """A button of the handset comes up."""

    button: int


@dataclass(frozen=True, slots=True)
class CrossPressed:
    """The cross of the handset is pressed: -1, 0 or 1 to the right and away."""

    right: int
    away: int


@dataclass(frozen=True, slots=True)
class StickMoved:
    """An axis of the handset's sticks is at a place from -1 to 1: axes 0 and 1 are the left
    stick's right and near, 2 and 3 the right stick's."""

    axis: int
    place: float


@dataclass(frozen=True, slots=True)
class Closed:
    """The window's close button, or the system asks the program to end."""


Input = (
    KeyPressed | PointerPressed | PointerMoved | PointerReleased | Wheeled
    | ButtonPressed | ButtonReleased | CrossPressed | StickMoved | Closed
)  # fmt: skip


def input_of(event: pygame.Event) -> Input | None:
    """The plain value of an event; None for one that no control listens to."""
    kind = event.type
    if kind == pygame.KEYDOWN:
        return KeyPressed(pygame.key.name(event.key), bool(event.mod & pygame.KMOD_SHIFT))
    if kind == pygame.MOUSEMOTION:
        control = bool(pygame.key.get_mods() & pygame.KMOD_CTRL)
        return PointerMoved(event.pos[0], event.pos[1], control)
    if kind == pygame.MOUSEBUTTONDOWN and event.button <= 3:
        return PointerPressed(event.pos[0], event.pos[1], event.button)
    if kind == pygame.MOUSEBUTTONUP and event.button <= 3:
        return PointerReleased()
    if kind == pygame.MOUSEWHEEL:
        return Wheeled(event.y, bool(pygame.key.get_mods() & pygame.KMOD_SHIFT))
    if kind == pygame.JOYBUTTONDOWN:
        return ButtonPressed(event.button + 1)
    if kind == pygame.JOYBUTTONUP:
        return ButtonReleased(event.button + 1)
    if kind == pygame.JOYHATMOTION:
        return CrossPressed(event.value[0], event.value[1])
    if kind == pygame.JOYAXISMOTION:
        return StickMoved(event.axis, event.value)
    if kind in (pygame.QUIT, pygame.WINDOWCLOSE):
        return Closed()
    return None
