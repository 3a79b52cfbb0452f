"""Sessions of the lit stage, killed at random moments; run as a program of its own.

`python -m tests.stage_sessions FOLDER TIMES SEED`: each session lights the same job, a hand moves
pieces, turns them and ticks them as cut, and every gesture that was kept is told through a pipe.
After each kill the job is opened again: it must hold every gesture that was told, and at most the
one under way besides. Prints one line; a loss ends in an AssertionError.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import threading
import time
from pathlib import Path

import pygame

import projector.stage.window  # noqa: F401  (loaded before the sessions are forked)
from projector.commands.light import light
from projector.files.holding import fingerprint_of
from projector.files.job import job_text, read_job, write_job
from projector.files.journal import journal_path
from projector.files.opening import OpenJob
from projector.files.table import write_record
from projector.job import Job, layout_of, pieces_of, with_layout
from projector.stage.displays import displays
from tests.projector.choir import choir_job, hall_map

KEYS = (pygame.K_TAB, pygame.K_RIGHT, pygame.K_RIGHT, pygame.K_t, pygame.K_c, pygame.K_c)
LONGEST = 0.3


def made(folder: Path) -> tuple[Path, Path]:
    """The job with a plain lay, and the record of a table, for the null driver's display."""
    from calibration.record import Record
    from projector.cloth.autolayout import arrange

    job = choir_job()
    layout = arrange(layout_of(job, pieces_of(job)), budget=0)
    write_job(folder / "choir.yaml", with_layout(job, layout))
    write_record(folder / "table.yaml", Record(hall_map(displays()[0]), "camera"))
    return folder / "choir.yaml", folder / "table.yaml"


def session(job: Path, table: Path, told: int, seed: int) -> None:
    """Light the job and work it until killed; each kept gesture's number goes into `told`."""
    kept = OpenJob.note
    count = 0

    def note(opened: OpenJob, after: Job) -> None:
        nonlocal count
        before = opened.job
        kept(opened, after)
        if after != before:
            count += 1
            os.write(told, f"{count} {_print(after)}\n".encode())

    def hand() -> None:
        chance = random.Random(seed)
        while not pygame.display.get_init():
            time.sleep(0.001)
        while True:
            key = chance.choice(KEYS)
            values = {"key": key, "mod": 0, "unicode": "", "scancode": 0}
            for kind in (pygame.KEYDOWN, pygame.KEYUP):
                pygame.event.post(pygame.event.Event(kind, values))
            time.sleep(chance.uniform(0.0, 0.004))

    OpenJob.note = note  # type: ignore[method-assign]
    threading.Thread(target=hand, daemon=True).start()
    light(job, table, cloth=None, display=0, thickness="0 mm", lens_height="", left=30.0, near=30.0)


def killed(job: Path, table: Path, times: int, seed: int) -> tuple[int, int]:
    """Kill so many sessions; how many gestures were told, and how many were lost."""
    chance = random.Random(seed)
    told_at_all = 0
    for number in range(times):
        before, _ = _reopened(job)
        read, write = os.pipe()
        child = os.fork()
        if not child:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            session(job, table, write, chance.randrange(2**32) + number)
            os._exit(1)
        os.close(write)
        rest = b""
        if number % 5:  # every fifth is killed anywhere, the first moments of opening included
            rest = os.read(read, 65536)
        time.sleep(chance.uniform(0.0, LONGEST))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        while part := os.read(read, 65536):
            rest += part
        os.close(read)
        told, mark = (rest.split()[-2:]) if rest else (b"0", b"")
        now, found = _reopened(job)
        lost = before + int(told) - now
        assert lost in (0, -1), f"session {number}: {told.decode()} told, {now - before} found"
        assert lost or not rest or found == mark.decode(), f"session {number}: another state"
        told_at_all += int(told)
    return told_at_all, _reopened(job)[0]


def _reopened(job: Path) -> tuple[int, str]:
    """How many changes the journal holds, and the print of the job with all of them."""
    read_job(job)
    opened = OpenJob(job)
    opened.close()
    assert not any("damaged" in line or "another state" in line for line in opened.told)
    lines = journal_path(job).read_bytes().count(b"\n") if opened.changed else 1
    return lines - 1, _print(opened.job)


def _print(job: Job) -> str:
    return fingerprint_of(job_text(job).encode())


if __name__ == "__main__":
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    began = time.monotonic()
    files = made(Path(sys.argv[1]))
    told, kept = killed(*files, int(sys.argv[2]), int(sys.argv[3]))
    print(f"{sys.argv[2]} sessions killed in {time.monotonic() - began:.0f} s, {told} gestures "
          f"told as kept, {kept} found again, none lost")  # fmt: skip
