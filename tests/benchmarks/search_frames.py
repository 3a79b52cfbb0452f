"""Gaps between frames while a search runs: `python -m tests.benchmarks.search_frames`.

The desk with a plain first lay on it and the stage beside it run in their own loop under SDL's
null driver, while the search for a shorter lay works in its processes and every better lay is
drawn.
A pointer moves over both windows by turns a hundred times a second, and every few seconds the
cloth slides under the light. A frame is one turn of the loop: what was heard, drawn and flipped;
the gap is from the end of one frame to the end of the next, of which up to 10 ms is waiting for
the pointer. Told by the clock and by the time the processor of the interface itself was busy
(what the clock would show with a core to itself), before the search and during it. Prints
medians, 99th centiles and the worst; nothing here passes or fails.
"""

from __future__ import annotations

import argparse
import math
import os
import tempfile
import time
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

import numpy as np
import pygame

from calibration.table_map import TableMap
from drafting.plane import Motion
from projector.cloth.autolayout import arrange
from projector.cloth.yardage import used_length
from projector.desk.errands import Errands
from projector.desk.sessions import empty_session
from projector.desk.view import View, Wish
from projector.desk.window import DeskWindow
from projector.files.job import write_job
from projector.job import Job, layout_of, pieces_of, with_layout
from projector.settings import Settings
from projector.stage.applying import apply
from projector.stage.commands import Command, Quit
from projector.stage.displays import displays_open
from projector.stage.loop import Window, run
from projector.stage.session import Session
from projector.stage.window import StageWindow
from tests.benchmarks.stage_frames import SCREEN, thirty_pieces
from tests.projector.choir import choir_job

QUIET = 3.0
"""Seconds before the search begins."""


class Probe:
    """A window that shows nothing: it moves the pointer and notes when each frame has ended."""

    open, busy, patience = True, False, 0.01

    def __init__(self, desk: DeskWindow, stage: StageWindow, seconds: float) -> None:
        self.desk, self.stage, self.seconds = desk, stage, seconds
        self.frames: list[tuple[float, float, bool]] = []
        self.lengths: list[float] = []
        self.begun = time.perf_counter()
        self.searching, self.back, self.slides = False, False, 0.0

    def hears(self, event: pygame.Event) -> bool:
        return False

    def heard(self, event: pygame.Event, session: Session) -> tuple[Command, ...]:
        return ()

    def turn(self, session: Session, elapsed: float) -> tuple[Command, ...]:
        now = time.perf_counter() - self.begun
        number = len(self.frames)
        if now > QUIET + self.seconds:
            return (Quit(),)
        commands: tuple[Command, ...] = ()
        if now > QUIET and not self.searching:
            self.searching = True
            wish = Wish("search begin")
            self.desk.view, commands = self.desk.errands.done(wish, self.desk.view, session)
        window = (self.desk, self.stage)[number // 50 % 2]._window
        turn = number / 40.0
        place = (round(640 + 300 * math.sin(turn)), round(420 + 200 * math.cos(turn)))
        values = {"pos": place, "rel": (1, 0), "buttons": (0, 0, 0), "touch": False}
        pygame.event.post(pygame.event.Event(pygame.MOUSEMOTION, values, window=window))
        if now > self.slides + 3.0:
            self.slides, self.back = now, not self.back
            key = pygame.K_PAGEDOWN if self.back else pygame.K_PAGEUP
            pressed = {"key": key, "mod": 0, "unicode": "", "scancode": 0}
            pygame.event.post(
                pygame.event.Event(pygame.KEYDOWN, pressed, window=self.stage._window)
            )
        return commands

    def show(self, session: Session) -> None:
        self.frames.append((time.perf_counter(), time.process_time(), self.searching))
        length = used_length(session.layout) if session.layout.placements else math.inf
        if not self.lengths or length != self.lengths[-1]:
            self.lengths.append(length)

    def close(self) -> None:
        pass


def watched(job: Job, seconds: float) -> Probe:
    """The probe after a search of so many seconds on the first cloth of a job."""
    with tempfile.TemporaryDirectory() as folder, displays_open():
        os.environ["SHEARLIGHT_SETTINGS"] = f"{folder}/settings.yaml"
        path = Path(folder) / "job.yaml"
        write_job(path, with_layout(job, arrange(layout_of(job, pieces_of(job)), budget=0)))
        windows: list[Window] = []
        errands = Errands(Settings(), windows)
        session = empty_session()
        view, commands = errands.done(Wish("open", path), View(), session)
        for command in commands:
            session = apply(session, command)
        session = replace(session, table_from_cloth=Motion(0.0, 40.0, 60.0))
        near = np.array([[0.82, 0.01, 0.0], [-0.01, -0.82, 890.0], [2e-6, -4e-6, 1.0]])
        desk = DeskWindow(errands, view=replace(view, place="cloth"))
        stage = StageWindow(TableMap(near, SCREEN), fills=False)
        probe = Probe(desk, stage, seconds)
        windows += [desk, stage, probe]
        run(session, windows, errands.keep)
        errands.close(session)
    return probe


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--seconds", type=float, default=30.0)
    given = words.parse_args()
    choir = choir_job()
    faced = replace(choir, style=replace(choir.style, neck_facing=60.0))
    flat = replace(faced, cloths=(replace(faced.cloths[0], folded=False, width=1600.0),))
    for name, job in (
        ("three sizes with facings, flat", flat),
        ("fifteen wearers, folded", thirty_pieces()),
    ):
        told(name, watched(job, given.seconds))


def told(name: str, probe: Probe) -> None:
    """Print what one search showed."""
    found = " > ".join(f"{length / 1000:.2f}" for length in probe.lengths[-4:])
    print(f"{name}: {len(probe.lengths)} lays shown, the last {found} m")
    times = np.array([frame[:2] for frame in probe.frames])
    gaps = 1000.0 * np.diff(times, axis=0)
    during = np.array([frame[2] for frame in probe.frames[1:]])
    for what, some in (("before the search", ~during), ("during the search", during)):
        for clock, column in (("gap", 0), ("busy", 1)):
            values = gaps[some, column]
            median, high = np.percentile(values, [50, 99])
            print(
                f"  {what}, {clock}: median {median:.1f} ms, p99 {high:.1f} ms, "
                f"worst {values.max():.1f} ms over {len(values)} frames"
            )


if __name__ == "__main__":
    main()
