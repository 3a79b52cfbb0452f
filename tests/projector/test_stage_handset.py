"""A game controller as a handset: plugged in, worked, pulled out, as the window hears it."""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pygame
import pytest

from projector.cloth.layout import Placement
from projector.stage.applying import apply
from projector.stage.commands import Select
from projector.stage.displays import displays_open
from projector.stage.keys import key_lines
from projector.stage.session import Session
from projector.stage.window import StageWindow
from tests.projector.choir import choir_session, hall_map
from tests.projector.test_stage import session as square_session

SCREEN = (640, 360)
SOUTH, EAST, BACK, LEFT_STICK, RIGHT_STICK, RIGHT_SHOULDER, CROSS_RIGHT = 0, 1, 4, 7, 8, 10, 14


class Stage:
    """A stage window and its session, given events one by one."""

    def __init__(self) -> None:
        self.window = StageWindow(hall_map(SCREEN), fills=False)
        self.session: Session = choir_session()

    def hears(self, kind: int, **values: Any) -> None:
        for command in self.window.heard(pygame.event.Event(kind, values), self.session):
            self.session = apply(self.session, command)

    def waits(self, seconds: float) -> None:
        for _ in range(round(60 * seconds)):
            for command in self.window.turn(self.session, 1 / 60):
                self.session = apply(self.session, command)

    def press(self, button: int) -> None:
        self.hears(pygame.CONTROLLERBUTTONDOWN, button=button, instance_id=7)
        self.hears(pygame.CONTROLLERBUTTONUP, button=button, instance_id=7)

    def stick(self, axis: int, value: int) -> None:
        self.hears(pygame.CONTROLLERAXISMOTION, axis=axis, value=value, instance_id=7)

    @property
    def chosen(self) -> Placement:
        return self.session.layout.placements[self.session.selection or 0]

    @property
    def at(self) -> tuple[float, float, float]:
        motion = self.chosen.cloth_from_piece
        return motion.dx, motion.dy, motion.angle


@pytest.fixture
def stage() -> Iterator[Stage]:
    with displays_open():
        made = Stage()
        yield made
        made.window.close()


def test_a_stick_pushed_home_moves_a_piece_250_mm_a_second_and_one_undo_takes_it_back(
    stage: Stage,
) -> None:
    stage.press(EAST)  # the next piece, which is the first
    before = stage.at
    stage.stick(0, 32767)
    assert stage.window.busy
    stage.waits(1.0)
    stage.stick(0, 0)
    assert not stage.window.busy and stage.window.patience is not None
    assert stage.at[0] - before[0] == pytest.approx(250.0, rel=0.02)
    stage.press(LEFT_STICK)  # undo
    assert stage.at == before and not stage.session.past


def test_a_worn_stick_near_its_middle_moves_nothing(stage: Stage) -> None:
    stage.press(EAST)
    before = stage.at
    for axis in range(4):
        stage.stick(axis, 4500)  # 0.137 of its way
    stage.waits(1.0)
    assert stage.at == before and not stage.window.busy


def test_buttons_nudge_turn_page_and_tick(stage: Stage) -> None:
    stage.press(EAST)
    x, y, angle = stage.at
    stage.press(CROSS_RIGHT)
    assert stage.at == pytest.approx((x + 1.0, y, angle))
    stage.hears(pygame.CONTROLLERBUTTONDOWN, button=RIGHT_STICK, instance_id=7)
    stage.press(CROSS_RIGHT)
    stage.hears(pygame.CONTROLLERBUTTONUP, button=RIGHT_STICK, instance_id=7)
    assert stage.at == pytest.approx((x + 1.1, y, angle))
    lie = stage.session.table_from_cloth.dx
    stage.press(RIGHT_SHOULDER)
    assert stage.session.table_from_cloth.dx < lie - 1000.0
    stage.press(SOUTH)
    assert stage.chosen.cut
    stage.press(BACK)
    assert stage.session.lamp == "dark"


def test_the_right_stick_turns_a_loose_piece_45_degrees_a_second(stage: Stage) -> None:
    stage.session = square_session()
    before = stage.at[2]
    stage.stick(2, 32767)
    stage.waits(1.0)
    assert stage.at[2] - before == pytest.approx(-math.radians(45.0), rel=0.02)


def test_a_stick_without_a_chosen_piece_says_what_to_press(stage: Stage) -> None:
    stage.stick(0, 32767)
    stage.waits(0.1)
    assert "Button 2" in stage.session.said


def test_a_trigger_of_an_unknown_controller_that_rests_at_its_end_pushes_nothing(
    stage: Stage,
) -> None:
    stage.press(EAST)
    before = stage.at
    stage.hears(pygame.JOYAXISMOTION, instance_id=3, joy=0, axis=2, value=-1.0)
    stage.waits(0.5)
    assert stage.at == before and not stage.window.busy
    for value in (0.0, 0.5, 1.0):
        stage.hears(pygame.JOYAXISMOTION, instance_id=3, joy=0, axis=0, value=value)
    stage.waits(0.5)
    assert stage.at != before
    stage.hears(pygame.JOYBUTTONDOWN, instance_id=3, joy=0, button=0)
    assert stage.chosen.cut


def test_the_help_tells_of_the_handset() -> None:
    told = key_lines()
    assert "  1               tick as cut; put the cross" in told[told.index("handset buttons") :]


# --- a controller that the window library itself makes up ---------------------------------------


def library() -> ctypes.CDLL | None:
    """The window library's own code, which can make up controllers."""
    folder = Path(pygame.__file__).parent.parent
    found = sorted(folder.glob("pygame_ce.libs/libSDL2-2*.so*"))
    return ctypes.CDLL(str(found[0])) if found else None


@pytest.mark.skipif(library() is None, reason="the window library is not where a wheel puts it")
def test_a_controller_is_heard_once_plugged_in_and_let_go_when_pulled_out(stage: Stage) -> None:
    sdl = library()
    assert sdl is not None
    sdl.SDL_JoystickFromInstanceID.restype = ctypes.c_void_p
    sdl.SDL_JoystickSetVirtualAxis.argtypes = (ctypes.c_void_p, ctypes.c_int, ctypes.c_int16)
    sdl.SDL_JoystickSetVirtualButton.argtypes = (ctypes.c_void_p, ctypes.c_int, ctypes.c_uint8)

    def heard() -> None:
        for event in pygame.event.get():
            for command in stage.window.heard(event, stage.session):
                stage.session = apply(stage.session, command)

    index = sdl.SDL_JoystickAttachVirtual(1, 6, 15, 0)
    if index < 0:
        pytest.skip("this build of the window library makes up no controllers")
    heard()
    assert "handset is ready" in stage.session.said
    number = pygame.joystick.Joystick(index).get_instance_id()
    pad = sdl.SDL_JoystickFromInstanceID(number)
    stage.session = apply(stage.session, Select(0))
    before = stage.at
    sdl.SDL_JoystickSetVirtualAxis(pad, 0, 32767)
    sdl.SDL_JoystickSetVirtualButton(pad, CROSS_RIGHT, 1)
    heard()
    assert stage.at[0] == pytest.approx(before[0] + 1.0)  # once, though it is told in two ways
    stage.waits(0.2)
    assert stage.at[0] == pytest.approx(before[0] + 51.0, rel=0.05)
    sdl.SDL_JoystickDetachVirtual(index)
    heard()
    assert "handset is gone" in stage.session.said and not stage.window.busy
    there = stage.at
    stage.waits(0.5)
    assert stage.at == there
