"""From a slider's move to the picture on the desk, and what the desk uses while nothing happens.

Run with `python -m tests.benchmarks.desk_response`; takes about half a minute. Software drawing
under SDL's null driver. Prints medians and 99th centiles in ms, and the part of a core.
"""

from __future__ import annotations

import os
import tempfile
import threading
import time
from importlib.resources import files
from pathlib import Path

os.environ["SDL_VIDEODRIVER"] = "dummy"

import numpy as np
import pygame

from projector.desk.errands import Errands
from projector.desk.sessions import empty_session
from projector.desk.view import View, Wish
from projector.desk.window import DeskWindow
from projector.settings import Settings
from projector.stage.applying import apply
from projector.stage.displays import displays_open
from projector.stage.loop import run, settled

MOVES = 150
IDLE = 10.0


def moved(size: tuple[int, int], job: Path) -> np.ndarray:
    """Milliseconds of each move of the lift's slider, by the clock and of the processor: (n, 2)."""
    errands = Errands(Settings(), [])
    session = empty_session()
    _, commands = errands.done(Wish("open", job), View(), session)
    for command in commands:
        session = apply(session, command)
    desk = DeskWindow(errands, size, view=View(place="draft", group="sleeve"))
    desk.show(session)
    knob = desk._widgets._made["slide:style.lift"][1].sliding_button.rect
    at = (knob.centerx, knob.centery)

    def post(kind: int, place: tuple[int, int]) -> None:
        values = {"buttons": (1, 0, 0), "rel": (1, 0)} if kind == pygame.MOUSEMOTION else {
            "button": 1, "clicks": 1,
        }  # fmt: skip
        event = pygame.event.Event(kind, pos=place, window=desk._window, touch=False, **values)
        desk.heard(event, session)

    post(pygame.MOUSEMOTION, at)
    post(pygame.MOUSEBUTTONDOWN, at)
    for _ in range(20):  # the widgets draw themselves in the first turns after a page is opened
        desk.turn(session, 0.016)
        desk.show(session)
    settled()
    times = []
    reach = 40
    for step in range(MOVES):
        began, busy = time.perf_counter(), time.process_time()
        x = at[0] + round(reach * np.sin(step / 9.0) + 0.5 * (step % 2))
        post(pygame.MOUSEMOTION, (x, at[1]))
        desk.turn(session, 0.016)
        desk.show(session)
        wall, own = time.perf_counter() - began, time.process_time() - busy
        times.append((1000 * wall, 1000 * own))
    desk.close()
    errands.close(session)
    return np.array(times)


def idle(job: Path) -> float:
    """Part of one core that the open desk uses while nothing happens."""
    errands = Errands(Settings(), [])
    session = empty_session()
    view, commands = errands.done(Wish("open", job), View(), session)
    for command in commands:
        session = apply(session, command)
    errands.windows.append(DeskWindow(errands, view=view))
    used: list[float] = []

    def watch() -> None:
        time.sleep(3.0)
        before = time.process_time()
        time.sleep(IDLE)
        used.append((time.process_time() - before) / IDLE)
        pygame.event.post(pygame.event.Event(pygame.QUIT))

    threading.Thread(target=watch, daemon=True).start()
    run(session, errands.windows, errands.keep)
    errands.close(session)
    return used[0]


def main() -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory() as folder, displays_open():
        os.environ["SHEARLIGHT_SETTINGS"] = f"{folder}/settings.yaml"
        job = Path(folder) / "choir.yaml"
        job.write_bytes(files("projector.demonstration").joinpath("choir.yaml").read_bytes())
        for size in ((1280, 800), (1920, 1080), (3840, 2160)):
            times = moved(size, job)
            for what, column in (("wall clock", times[:, 0]), ("own processor", times[:, 1])):
                median, high = np.percentile(column, [50, 99])
                print(
                    f"{size[0]} x {size[1]}: slider to picture, {what}: median {median:.1f} ms, "
                    f"p99 {high:.1f} ms"
                )
        print(f"idle: {100 * idle(job):.2f} % of a core")


if __name__ == "__main__":
    main()
