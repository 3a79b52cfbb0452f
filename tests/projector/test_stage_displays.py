"""Displays that come, go and change places: no piece is lit through a map of another screen."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pygame
import pytest

from projector.desk.lamp import lamp_open
from projector.desk.projected import ProjectedWindow
from projector.stage.applying import apply
from projector.stage.commands import CloseWindow
from projector.stage.displays import Display, displays_open
from projector.stage.loop import STILL, awaited
from projector.stage.screens import Screens, seen_size, trouble_with
from projector.stage.session import Session
from projector.stage.window import StageWindow
from tests.projector.choir import choir_session, hall_map


@pytest.fixture
def lit(monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    with displays_open():
        size = pygame.display.get_desktop_sizes()[0]
        yield Lit(size, monkeypatch)


class Lit:
    """A stage that fills its display, and displays that a test changes."""

    def __init__(self, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch) -> None:
        self.size = size
        self.sizes = [size, size]
        monkeypatch.setattr(pygame.display, "get_desktop_sizes", lambda: list(self.sizes))
        self.window = StageWindow(hall_map(size), 0)
        self.session: Session = choir_session()
        self.window.show(self.session)
        self.look()

    def happens(self, kind: int, **values: Any) -> None:
        for command in self.window.heard(pygame.event.Event(kind, values), self.session):
            self.session = apply(self.session, command)
        self.window.show(self.session)

    def look(self) -> None:
        for command in self.window.turn(self.session, 2.0):
            self.session = apply(self.session, command)
        self.window.show(self.session)

    def press(self, key: int) -> None:
        self.happens(pygame.KEYDOWN, key=key, mod=0)


def test_a_projector_pulled_out_keeps_the_work_and_plugged_in_again_it_goes_on(lit: Lit) -> None:
    before = lit.session.layout
    assert lit.session.trouble == ""
    lit.sizes = []
    lit.look()
    assert "not connected" in lit.session.trouble and "kept" in lit.session.trouble
    lit.press(pygame.K_TAB)
    lit.press(pygame.K_c)
    assert lit.session.layout is before  # nothing is worked blindly
    lit.sizes = [lit.size, lit.size]
    lit.look()
    assert lit.session.trouble == ""


def test_the_window_goes_back_once_to_a_projector_that_is_plugged_in_again(
    lit: Lit, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The system has moved the window to the worker's own screen meanwhile.
    window, both = lit.window._window, lit.sizes
    calls: list[object] = []

    class Moved:
        size = property(lambda self: window.size)
        position = property(lambda self: (0, 0), lambda self, place: calls.append(place))
        get_surface, flip = window.get_surface, window.flip

        def set_windowed(self) -> None:
            calls.append("windowed")

        def set_fullscreen(self, desktop: bool) -> None:
            calls.append("full screen")

    monkeypatch.setattr(lit.window, "_window", Moved())
    lit.look()
    assert calls == []
    lit.sizes = []
    lit.look()
    lit.sizes = both
    lit.look()
    lit.look()
    place = pygame.WINDOWPOS_CENTERED | 0
    assert calls == ["windowed", (place, place), "full screen"] and lit.session.trouble == ""


def test_another_resolution_is_told_at_once_when_the_window_hears_of_it(lit: Lit) -> None:
    lit.sizes = [(800, 600), lit.size]
    lit.happens(pygame.WINDOWSIZECHANGED, x=800, y=600)
    assert "800 x 600" in lit.session.trouble


def test_equal_displays_that_changed_places_are_told(lit: Lit) -> None:
    # The sizes say nothing: the window tells that it lies on the other display now.
    lit.happens(pygame.WINDOWDISPLAYCHANGED, display_index=1)
    assert "moved to display 1" in lit.session.trouble
    lit.press(pygame.K_RETURN)  # pieces are not lit by a key: it still lies on the wrong one
    assert lit.session.trouble
    lit.happens(pygame.WINDOWDISPLAYCHANGED, display_index=0)
    assert lit.session.trouble == ""


def test_a_display_that_begins_elsewhere_is_told_until_the_worker_has_looked() -> None:
    size = (1920, 1080)
    begun = Screens((size, size), 1, size, None, (1920, 0))
    swapped = Screens((size, size), 1, size, None, (0, 0))
    assert "changed places" in trouble_with(begun, swapped, size)
    assert trouble_with(swapped, swapped, size) == ""
    assert trouble_with(Screens((size, size), 1, size), swapped, size) == ""  # not known before


def test_a_display_is_known_again_by_its_socket_where_the_system_can_be_asked() -> None:
    size = (1920, 1080)
    left, right = Display("HDMI-1", (0, 0), size), Display("HDMI-2", (1920, 0), size)
    begun = Screens((size, size), 1, size, None, (1920, 0), (left, right))
    assert trouble_with(begun, begun, size) == ""
    # The two sockets change places: sizes, window and its place are all as before.
    swapped = (replace(left, place=(1920, 0)), replace(right, place=(0, 0)))
    assert "changed places" in trouble_with(begun, replace(begun, asked=swapped), size)
    assert "not connected" in trouble_with(begun, replace(begun, asked=(left,)), size)
    smaller = replace(begun, asked=(left, replace(right, size=(1280, 720))))
    assert "1280 x 720" in trouble_with(begun, smaller, size)
    assert seen_size(begun, smaller) == (1280, 720)
    assert trouble_with(begun, replace(begun, asked=(right, left)), size) == ""  # order is nothing


def test_a_lit_board_closes_when_its_projector_is_unplugged(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    connected = [Display("P", (0, 0), (1280, 720))]
    monkeypatch.setattr("projector.desk.projected.displays_now", lambda: tuple(connected))
    with displays_open():
        window = ProjectedWindow(0)
        moved = pygame.event.Event(pygame.WINDOWMOVED)
        assert window.heard(moved, choir_session()) == () and not window.fault
        connected.clear()
        assert window.heard(moved, choir_session()) == (CloseWindow(),)
        assert "unplugged" in window.fault
        window.close()


def test_an_idle_loop_still_hears_within_a_frame(monkeypatch: pytest.MonkeyPatch) -> None:
    naps: list[float] = []

    def nap(seconds: float) -> None:
        naps.append(seconds)
        if len(naps) == 3:
            pygame.event.post(pygame.event.Event(pygame.USEREVENT))

    monkeypatch.setattr("projector.stage.loop.time.sleep", nap)
    with displays_open():
        pygame.event.clear()
        heard = awaited(2.0, STILL + 1.0)
    assert any(event.type == pygame.USEREVENT for event in heard)
    assert len(naps) == 3 and max(naps) < 1 / 60


@pytest.mark.skipif(sys.platform != "linux", reason="other systems always have a display")
def test_without_any_display_nothing_is_lit_where_nobody_looks(tmp_path: Path) -> None:
    hidden = ("SDL_VIDEODRIVER", "DISPLAY", "WAYLAND_DISPLAY")
    world = {name: value for name, value in os.environ.items() if name not in hidden}
    told = subprocess.run(
        [sys.executable, "-m", "projector", "tape", str(tmp_path / "new.yaml"), "--display", "0"],
        env=world,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert told.returncode == 2
    assert "no display is found" in told.stderr and "start this from the desktop" in told.stderr


def test_a_lit_board_is_darkened_from_the_terminal_too() -> None:
    with lamp_open(0) as lamp:
        pygame.event.post(pygame.event.Event(pygame.QUIT))  # what Ctrl+C comes as
        lamp.stay()
