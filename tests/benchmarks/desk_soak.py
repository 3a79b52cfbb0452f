"""Random events on the desk through the program's own loop: no exception, no growth of memory.

Run with `python -m tests.benchmarks.desk_soak [EVENTS]`; 20,000 events take some minutes. Prints
the memory after a tenth and at the end, in MB, and what was reached.
"""

from __future__ import annotations

import ctypes
import functools
import gc
import os
import random
import sys
import tempfile
from contextlib import suppress
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

os.environ["SDL_VIDEODRIVER"] = "dummy"

import pygame

from projector.desk.controls import Button
from projector.desk.errands import Errands
from projector.desk.sessions import empty_session
from projector.desk.view import PLACES, View, Wish
from projector.desk.window import DeskWindow
from projector.settings import Settings
from projector.stage.applying import apply
from projector.stage.commands import Command, Quit
from projector.stage.displays import displays_open
from projector.stage.loop import run
from projector.stage.session import Session

KEYS = (
    pygame.K_TAB, pygame.K_LEFT, pygame.K_RIGHT, pygame.K_UP, pygame.K_DOWN, pygame.K_SPACE,
    pygame.K_RETURN, pygame.K_t, pygame.K_m, pygame.K_g, pygame.K_l, pygame.K_c, pygame.K_DELETE,
    pygame.K_PAGEDOWN, pygame.K_PAGEUP, pygame.K_ESCAPE, pygame.K_z, pygame.K_y, pygame.K_n,
    pygame.K_5, pygame.K_F1, pygame.K_F2, pygame.K_F3, pygame.K_F4, pygame.K_F5,
)  # fmt: skip
# What would leave the folder, start a process, or cover the desk, is not pressed here.
SPARED = ("open:", "recent:", "folder:", "example", "new", "camera:", "search:begin", "stage",
          "marks:light", "check", "job:copy", "who:add", "write:", "trace_find")  # fmt: skip


def memory() -> float:
    """What the program has in memory now, MB."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def held_by_caches() -> float:
    """What remembered drafts, texts and outlines take, MB: they are bounded, and emptied here."""
    full = memory()
    for known in gc.get_objects():
        if isinstance(known, functools._lru_cache_wrapper):
            known.cache_clear()
    gc.collect()
    with suppress(OSError, AttributeError):  # only this system's C library can be asked for it
        ctypes.CDLL(None).malloc_trim(0)
    return full - memory()


class Player:
    """A window that is none: it makes a few random events a turn."""

    open, busy, patience = True, False, 0.0005

    def __init__(self, desk: DeskWindow, events: int, seed: int) -> None:
        self.desk, self.left, self.total = desk, events, events
        self.chance = random.Random(seed)
        self.memory: list[float] = []
        self.reached: set[str] = set()
        self.at = (10, 10)

    def hears(self, event: pygame.Event) -> bool:
        return False

    def heard(self, event: pygame.Event, session: Session) -> tuple[Command, ...]:
        return ()

    def turn(self, session: Session, elapsed: float) -> tuple[Command, ...]:
        if self.left % max(1, self.total // 10) < 4:
            self.memory.append(memory())
        if self.left <= 0:
            return (Quit(),)
        for _ in range(4):
            self.left -= 1
            self.post()
        return ()

    def post(self) -> None:
        chance, desk = self.chance, self.desk
        kind = chance.random()
        values: dict[str, object]
        if kind < 0.25:
            mod = chance.choice((0, 0, 0, pygame.KMOD_SHIFT, pygame.KMOD_CTRL))
            code = chance.choice(KEYS)
            event, values = pygame.KEYDOWN, {"key": code, "mod": mod, "unicode": "", "scancode": 0}
        elif kind < 0.6:
            items = [item for item in desk._items if hasattr(item, "key")]
            if not items:  # the window was just made anew in other colours
                return
            item = chance.choice(items)
            if isinstance(item, Button) and item.key.startswith(SPARED):
                return
            self.reached.add(f"{desk.view.place} {item.key.partition(':')[0]}")
            area = item.area
            self.at = (
                area.x + chance.randrange(area.width),
                area.y + chance.randrange(area.height),
            )
            event, values = pygame.MOUSEMOTION, {"rel": (1, 1), "buttons": (0, 0, 0)}
        elif kind < 0.78:
            event, values = pygame.MOUSEBUTTONDOWN, {"button": 1, "clicks": 1}
        elif kind < 0.97:
            event, values = pygame.MOUSEBUTTONUP, {"button": 1, "clicks": 1}
        else:
            event, values = pygame.MOUSEWHEEL, {"x": 0, "y": chance.choice((-1, 1))}
        if event in (pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
            values |= {"pos": self.at, "touch": False}
        pygame.event.post(pygame.event.Event(event, window=desk._window, **values))

    def show(self, session: Session) -> None:
        return None

    def close(self) -> None:
        self.open = False


def main() -> None:
    """Play, and print the figures."""
    events = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    with tempfile.TemporaryDirectory() as folder, displays_open():
        os.environ["SHEARLIGHT_SETTINGS"] = f"{folder}/settings.yaml"
        job = Path(folder) / "choir.yaml"
        job.write_bytes(files("projector.demonstration").joinpath("choir.yaml").read_bytes())
        errands = Errands(Settings(), [])
        session = empty_session()
        view, commands = errands.done(Wish("open", job), View(), session)
        for command in commands:
            session = apply(session, command)
        desk = DeskWindow(errands, view=replace(view, place=PLACES[1]))
        player = Player(desk, events, 5)
        errands.windows += [desk, player]
        end = run(session, errands.windows, errands.keep)
        fault = errands.close(end)
    told = ", ".join(f"{size:.0f}" for size in player.memory)
    print(f"{events} events, {len(player.reached)} kinds of control, {len(end.past)} changes kept")
    print(f"memory by tenths: {told} MB; fault: {fault or 'none'}")
    print(f"of it remembered on purpose, within bounds: {held_by_caches():.0f} MB")


if __name__ == "__main__":
    main()
