"""The whole loop, fed with random events of every kind: no exception, nothing lost."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pygame

from projector.stage.commands import Command, Quit
from projector.stage.displays import displays_open
from projector.stage.loop import Window, run
from projector.stage.session import Session
from projector.stage.window import StageWindow
from tests.projector.choir import choir_session, hall_map

SCREEN = (960, 540)
KEYS = [
    *(getattr(pygame, f"K_{letter}") for letter in "atgfmlcszyxnkrvpowbdh1234567890"),
    pygame.K_TAB, pygame.K_RETURN, pygame.K_BACKSPACE, pygame.K_ESCAPE, pygame.K_PERIOD,
    pygame.K_LEFT, pygame.K_RIGHT, pygame.K_UP, pygame.K_DOWN,
    pygame.K_PAGEDOWN, pygame.K_PAGEUP,
]  # fmt: skip


def random_event(chance: np.random.Generator) -> pygame.Event:
    """Something that a hand, a handset or the window system does."""
    kind = chance.integers(0, 14)
    place = (int(chance.integers(SCREEN[0])), int(chance.integers(SCREEN[1])))
    button = int(chance.integers(1, 4))
    if kind < 4:
        mod = pygame.KMOD_SHIFT if chance.integers(2) else 0
        return pygame.Event(pygame.KEYDOWN, key=KEYS[chance.integers(len(KEYS))], mod=mod)
    if kind < 8:
        return pygame.Event(pygame.MOUSEMOTION, pos=place, rel=(0, 0), buttons=(1, 0, 0))
    if kind == 8:
        return pygame.Event(pygame.MOUSEBUTTONDOWN, pos=place, button=button)
    if kind == 9:
        return pygame.Event(pygame.MOUSEBUTTONUP, pos=place, button=button)
    if kind == 10:
        return pygame.Event(pygame.MOUSEWHEEL, x=0, y=int(chance.integers(-2, 3)))
    if kind == 11:
        value = int(chance.integers(-32768, 32768)) if chance.integers(3) else 0
        axis = int(chance.integers(6))
        return pygame.Event(pygame.CONTROLLERAXISMOTION, instance_id=1, axis=axis, value=value)
    if kind == 12:
        pressed = pygame.CONTROLLERBUTTONDOWN if chance.integers(2) else pygame.CONTROLLERBUTTONUP
        return pygame.Event(pressed, instance_id=1, button=int(chance.integers(15)))
    others = [
        pygame.WINDOWEXPOSED, pygame.WINDOWENTER, pygame.WINDOWLEAVE, pygame.WINDOWMOVED,
        pygame.WINDOWFOCUSLOST, pygame.WINDOWDISPLAYCHANGED, pygame.JOYDEVICEREMOVED,
    ]  # fmt: skip
    other = others[chance.integers(len(others))]
    return pygame.Event(other, instance_id=9, display_index=0, x=0, y=0)


@dataclass
class Player:
    """A window without a picture that posts the events; the loop serves it like any other."""

    left: int
    chance: np.random.Generator
    open: bool = True
    busy: bool = False
    patience: float | None = 0.001
    lays: int = 0
    seen: list[Session] = field(default_factory=list)

    def hears(self, event: pygame.Event) -> bool:
        return False

    def heard(self, event: pygame.Event, session: Session) -> tuple[Command, ...]:
        return ()

    def turn(self, session: Session, elapsed: float) -> tuple[Command, ...]:
        if not self.left:
            return (Quit(),)
        batch = min(self.left, int(self.chance.integers(1, 20)))
        for _ in range(batch):
            pygame.event.post(random_event(self.chance))
        self.left -= batch
        return ()

    def show(self, session: Session) -> None:
        if not self.seen or self.seen[-1].layout is not session.layout:
            self.lays += 1
        self.seen[:] = [session]

    def close(self) -> None:
        self.open = False


def soaked(count: int, seed: int = 0) -> tuple[Session, int]:
    """The session after so many random events, and how many different lays were shown."""
    with displays_open():
        pygame.event.clear()
        player = Player(count, np.random.default_rng(seed))
        windows: list[Window] = [StageWindow(hall_map(SCREEN), fills=False), player]
        end = run(choir_session(), windows)
    return end, player.lays


def test_two_thousand_random_events_do_no_harm() -> None:
    first = choir_session()
    end, lays = soaked(2000)
    assert lays > 20  # it did something
    names = {(placed.piece, placed.copy) for placed in first.layout.placements}
    assert {(placed.piece, placed.copy) for placed in end.layout.placements} == names
