"""Game controllers that are plugged in and pulled out, and what they do as plain inputs.

A controller whose layout is known is heard by that layout; any other by the numbers of its axes
and buttons, its first four axes being taken for two sticks.
"""

from __future__ import annotations

import pygame
from pygame._sdl2 import controller

from projector.stage.inputs import (
    ButtonPressed,
    ButtonReleased,
    CrossPressed,
    Input,
    StickMoved,
    input_of,
)

__all__ = ["Pads"]

AXES = 4
FULL = 32767.0
NEAR_REST = 0.3
"""An axis of unknown meaning is a stick's only once it has been this near to its middle: a
trigger rests at the end of its way and would push for ever."""

# Buttons of a known layout by our numbers: four under the thumb from the lowest to the right, the
# left and the top one, the two shoulders, the two in the middle, and the two sticks pressed in.
_BUTTONS = {
    pygame.CONTROLLER_BUTTON_A: 1,
    pygame.CONTROLLER_BUTTON_B: 2,
    pygame.CONTROLLER_BUTTON_X: 3,
    pygame.CONTROLLER_BUTTON_Y: 4,
    pygame.CONTROLLER_BUTTON_LEFTSHOULDER: 5,
    pygame.CONTROLLER_BUTTON_RIGHTSHOULDER: 6,
    pygame.CONTROLLER_BUTTON_BACK: 7,
    pygame.CONTROLLER_BUTTON_START: 8,
    pygame.CONTROLLER_BUTTON_LEFTSTICK: 9,
    pygame.CONTROLLER_BUTTON_RIGHTSTICK: 10,
}
_CROSS = {
    pygame.CONTROLLER_BUTTON_DPAD_UP: (0, 1),
    pygame.CONTROLLER_BUTTON_DPAD_DOWN: (0, -1),
    pygame.CONTROLLER_BUTTON_DPAD_LEFT: (-1, 0),
    pygame.CONTROLLER_BUTTON_DPAD_RIGHT: (1, 0),
}


class Pads:
    """The controllers that are plugged in."""

    def __init__(self) -> None:
        self._open: dict[int, object] = {}
        self._known: set[int] = set()
        self._sticks: set[tuple[int, int]] = set()

    def changed(self, event: pygame.Event) -> str:
        """Opens what has been plugged in and lets go of what has gone; says so in one line.

        Empty when no controller came or went.
        """
        if event.type == pygame.JOYDEVICEADDED:
            return self._plugged(event.device_index)
        if event.type == pygame.JOYDEVICEREMOVED:
            gone = event.instance_id
            if self._open.pop(gone, None) is None:
                return ""
            self._known.discard(gone)
            self._sticks = {stick for stick in self._sticks if stick[0] != gone}
            return "The handset is gone; mouse and keys go on"
        return ""

    def _plugged(self, index: int) -> str:
        if not controller.get_init():
            controller.init()
        try:
            pad: object
            if controller.is_controller(index):
                mapped = controller.Controller(index)
                pad, number = mapped, mapped.as_joystick().get_instance_id()
                self._known.add(number)
            else:
                stick = pygame.joystick.Joystick(index)
                pad, number = stick, stick.get_instance_id()
        except pygame.error:  # pulled out again already
            return ""
        known = number in self._open
        self._open[number] = pad
        return "" if known else "The handset is ready: H shows what it does"

    def input_of(self, event: pygame.Event) -> Input | None:
        """The plain value of an event of a controller or of anything else; None for none."""
        match event.type:
            case pygame.CONTROLLERAXISMOTION:
                place = max(-1.0, event.value / FULL)
                return StickMoved(event.axis, place) if event.axis < AXES else None
            case pygame.CONTROLLERBUTTONDOWN if event.button in _CROSS:
                return CrossPressed(*_CROSS[event.button])
            case pygame.CONTROLLERBUTTONDOWN if event.button in _BUTTONS:
                return ButtonPressed(_BUTTONS[event.button])
            case pygame.CONTROLLERBUTTONUP if event.button in _BUTTONS:
                return ButtonReleased(_BUTTONS[event.button])
            case (
                pygame.JOYAXISMOTION
                | pygame.JOYBUTTONDOWN
                | pygame.JOYBUTTONUP
                | pygame.JOYHATMOTION
            ) if event.instance_id in self._known:
                return None  # told by its layout as well
            case pygame.JOYAXISMOTION:
                stick = (event.instance_id, event.axis)
                if abs(event.value) < NEAR_REST:
                    self._sticks.add(stick)
                return input_of(event) if stick in self._sticks else None
        return input_of(event)
