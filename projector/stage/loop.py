"""One loop for any number of windows over one session: events -> commands -> session -> windows.

How a further window is added
-----------------------------
Write a class with what `Window` below asks for: it makes its own `pygame.Window`, turns the
events it is given into commands, and draws the session it is shown. It keeps no session of its
own and runs no loop. Then hand it over together with the stage::

    with displays_open():
        windows: list[Window] = [DeskWindow(...), StageWindow(table_map, display=1)]
        session = run(session, windows, keep)

The list may grow while the loop runs: a window that opens another one appends it to the list it
was given. A window that is closed is dropped; the loop ends with the last one, or when any
window gives the command `Quit`.

What only one window knows (where its scroll bar stands) stays in the window. What both must know
goes into the session through a command. A new lay or another draft comes in by `Replace`, which
can be undone; another job by `Open`, which cannot.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Callable
from typing import Protocol

import pygame

from projector.stage.applying import apply
from projector.stage.commands import CloseWindow, Command, Quit
from projector.stage.session import Session

__all__ = ["Window", "run", "settled"]

_PATIENCE = 3600.0
STILL = 1.0
"""After so many seconds in which nothing happened the loop naps between looks for events."""
NAP = 0.01
"""Seconds of a nap: a first movement is still seen within one frame of 60 a second."""


class Window(Protocol):
    """What the loop asks of a window."""

    @property
    def open(self) -> bool:
        """False once it has been closed."""

    @property
    def busy(self) -> bool:
        """True while a gesture is under way: nothing is kept before it has ended."""

    @property
    def patience(self) -> float | None:
        """Seconds after which the window wants a turn though nothing happens; None for never."""

    def hears(self, event: pygame.Event) -> bool:
        """Whether an event is this window's. Events of no window go to every window."""

    def heard(self, event: pygame.Event, session: Session) -> tuple[Command, ...]:
        """What an event commands."""

    def turn(self, session: Session, elapsed: float) -> tuple[Command, ...]:
        """Called once a turn, after the events: what time or finished work commands.

        `elapsed` are the seconds since the turn before.
        """

    def show(self, session: Session) -> None:
        """Draw the session; does nothing when nothing that it shows has changed."""

    def close(self) -> None:
        """Close it; called once."""


def run(
    session: Session,
    windows: list[Window],
    keep: Callable[[Session], None] = lambda session: None,
) -> Session:
    """Run the windows until the last is closed; returns the session as it was left.

    `keep` hears the session after every finished gesture that changed the layout, the job or the
    place of the cloth, and at the end. Nothing is drawn, and no time is used, while nothing
    happens.
    """
    settled()
    kept = (session.layout, session.job, session.table_from_cloth)
    before = stirred = time.monotonic()
    try:
        while windows:
            for window in tuple(windows):
                window.show(session)
            waits = [window.patience for window in windows if window.patience is not None]
            happenings = awaited(min(waits, default=_PATIENCE), time.monotonic() - stirred)
            now = time.monotonic()
            if happenings:
                stirred = now
            ended = False
            for happened in happenings:
                for window in [w for w in windows if w.open and w.hears(happened)]:
                    session, ends = _applied(session, window, window.heard(happened, session))
                    ended |= ends
            for window in [w for w in windows if w.open]:
                session, ends = _applied(session, window, window.turn(session, now - before))
                ended |= ends
            before = now
            windows[:] = [window for window in windows if window.open]
            busy = any(window.busy for window in windows) and not ended
            if not busy and (session.layout, session.job, session.table_from_cloth) != kept:
                keep(session)
                kept = (session.layout, session.job, session.table_from_cloth)
            if ended:
                break
    finally:
        for window in windows:
            window.close()
        gc.unfreeze()
    return session


def settled() -> None:
    """Let the collector of memory leave alone what is there before the first frame.

    Looking through all of it, libraries included, takes as long as some frames, and finds nothing.
    """
    gc.collect()
    gc.freeze()


def awaited(patience: float, still: float) -> list[pygame.Event]:
    """The next events, or none after `patience` seconds; `still` is for how long there was none.

    The window library's own wait looks a thousand times a second, which an idle table pays for
    in warmth; after a while without any event, a hundred looks a second do.
    """
    if still < STILL:
        event = pygame.event.wait(max(1, round(1000 * min(patience, STILL))))
        first = [] if event.type == pygame.NOEVENT else [event]
        return [*first, *pygame.event.get()]
    end = time.monotonic() + patience
    while True:
        events = pygame.event.get()
        left = end - time.monotonic()
        if events or left <= 0.0:
            return events
        time.sleep(min(NAP, left))


def _applied(
    session: Session, window: Window, commands: tuple[Command, ...]
) -> tuple[Session, bool]:
    ended = False
    for command in commands:
        if isinstance(command, CloseWindow):
            window.close()
        elif isinstance(command, Quit):
            ended = True
        else:
            session = apply(session, command)
    return session, ended
