"""Playing the desk under the null driver: posted events through the program's own loop."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pygame

from projector.desk.errands import Errands
from projector.desk.sessions import empty_session
from projector.desk.view import View, Wish
from projector.desk.window import DeskWindow
from projector.settings import Settings
from projector.stage.applying import apply
from projector.stage.commands import Command, Quit
from projector.stage.loop import run
from projector.stage.session import Session

SIZES = [(1280, 720), (1280, 800), (1920, 1080), (2560, 1440), (3840, 2160)]
Step = Callable[[DeskWindow, Session], "Sequence[Step] | None"]
"""What is done in one turn of the loop; the steps it returns come next."""


@dataclass
class Player:
    """A window that is none: it plays one step a turn, then ends the program."""

    desk: DeskWindow
    steps: list[Step]
    open: bool = True
    busy: bool = False
    patience: float | None = 0.001
    seen: list[Session] = field(default_factory=list)

    def hears(self, event: pygame.Event) -> bool:
        return False

    def heard(self, event: pygame.Event, session: Session) -> tuple[Command, ...]:
        return ()

    def turn(self, session: Session, elapsed: float) -> tuple[Command, ...]:
        self.seen.append(session)
        if self.desk.errands._laying._rest is not None:  # a worker waits for it, too
            return ()
        if not self.steps:
            return (Quit(),)
        self.steps[:0] = self.steps.pop(0)(self.desk, session) or ()
        return ()

    def show(self, session: Session) -> None:
        return None

    def close(self) -> None:
        self.open = False


def desk_with(job: Path | None, size: tuple[int, int] = (1280, 800)) -> tuple[DeskWindow, Session]:
    errands = Errands(Settings(), [])
    session, view = empty_session(), View()
    if job is not None:
        view, commands = errands.done(Wish("open", job), view, session)
        for command in commands:
            session = apply(session, command)
    return DeskWindow(errands, size, view=view), session


def play(desk: DeskWindow, session: Session, *steps: Step) -> Session:
    windows = desk.errands.windows
    windows += [desk, Player(desk, list(steps))]  # type: ignore[list-item]
    session = run(session, windows, desk.errands.keep)
    assert desk.errands.close(session) == ""
    return session


def middle(desk: DeskWindow, key: str) -> tuple[int, int]:
    area = next(item.area for item in desk._items if getattr(item, "key", None) == key)
    return area.x + area.width // 2, area.y + area.height // 2


def post(desk: DeskWindow, kind: int, **values: object) -> None:
    pygame.event.post(pygame.event.Event(kind, window=desk._window, **values))


def mouse(kind: int, at: tuple[int, int]) -> Step:
    def step(desk: DeskWindow, session: Session) -> None:
        if kind == pygame.MOUSEMOTION:
            post(desk, kind, pos=at, rel=(0, 0), buttons=(1, 0, 0), touch=False)
        else:
            post(desk, kind, pos=at, button=1, touch=False, clicks=1)

    return step


def click(key: str) -> tuple[Step, ...]:
    def at(kind: int) -> Step:
        return lambda desk, session: mouse(kind, middle(desk, key))(desk, session)

    return (
        at(pygame.MOUSEMOTION), at(pygame.MOUSEBUTTONDOWN), at(pygame.MOUSEBUTTONUP), wait,
    )  # fmt: skip


def wait(desk: DeskWindow, session: Session) -> None:
    return None


def until(so: Callable[[DeskWindow, Session], bool]) -> Step:
    """Wait until something is so, a minute at most; then the desk's message is what is told."""
    deadline: list[float] = []

    def step(desk: DeskWindow, session: Session) -> Sequence[Step]:
        deadline[:] = deadline or [time.monotonic() + 60.0]
        if so(desk, session):
            return ()
        assert time.monotonic() < deadline[0], desk.view.message
        time.sleep(0.02)
        return (step,)

    return step


def key(code: int, mod: int = 0) -> Step:
    return lambda desk, session: post(desk, pygame.KEYDOWN, key=code, mod=mod, unicode="",
                                      scancode=0)  # fmt: skip


def slide(name: str, by_px: int) -> tuple[Step, ...]:
    """Hold a slider's knob, move it, let go."""

    def knob(desk: DeskWindow) -> tuple[int, int]:
        rect = desk._widgets._made[name][1].sliding_button.rect
        return int(rect.centerx), int(rect.centery)

    at: list[tuple[int, int]] = []

    def down(desk: DeskWindow, session: Session) -> None:
        at.append(knob(desk))
        mouse(pygame.MOUSEMOTION, at[0])(desk, session)
        mouse(pygame.MOUSEBUTTONDOWN, at[0])(desk, session)

    def move(desk: DeskWindow, session: Session) -> None:
        mouse(pygame.MOUSEMOTION, (at[0][0] + by_px, at[0][1]))(desk, session)

    def up(desk: DeskWindow, session: Session) -> None:
        mouse(pygame.MOUSEBUTTONUP, (at[0][0] + by_px, at[0][1]))(desk, session)

    return down, wait, move, wait, up, wait


def typed(name: str, text: str) -> tuple[Step, ...]:
    def write(desk: DeskWindow, session: Session) -> None:
        desk._widgets.take(name)
        desk._widgets._made[name][1].set_text(text)

    return write, wait, key(pygame.K_RETURN), wait
