"""Every measurement in short form: one table, ready for DEVELOPERS.md.

`python -m tests.benchmarks` takes some six minutes on two free cores. Words choose parts of it:
commands, windows, drafting, laying, calibrating, reading; `own` is all of these. Without a word the
other benchmark modules run, too, with small counts. Times are of the processor unless they are
called by the clock: they hold on a busy machine, too.
"""

from __future__ import annotations

import os
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np

from calibration.board import drawn_on_screen, printed_board, screen_board
from calibration.estimate import joint
from calibration.record import Record
from calibration.rig import true_table_points
from calibration.rig_picture import photograph
from calibration.rig_scenes import random_rig, screen_grid, sheet_points, sights
from calibration.rig_surface import board_sheet
from calibration.sighting import Printed, photo_sight
from calibration.uncertainty import metre_error
from drafting.draft import draft
from drafting.exchange.outlines import outlines
from drafting.exchange.reading import linework_of
from drafting.style import Style
from drafting.survey import estimated_body
from projector.cloth.autolayout import arrange
from projector.cloth.yardage import efficiency, lower_bound, used_length
from projector.files.job import job_from_text, job_text, write_job
from projector.files.table import write_record
from projector.job import Job, layout_of, pieces_of
from tests.benchmarks.calibration_images import _hole as hole_for
from tests.calibration.truth import metres_off
from tests.projector.choir import choir_job, hall_map

Row = tuple[str, str, str]
ROOT = Path(__file__).resolve().parents[2]
QUIET = {**os.environ, "SDL_VIDEODRIVER": "dummy", "OPENCV_LOG_LEVEL": "OFF"}
OTHERS = (
    (["random_bodies", "200"], r"\S.*"),
    (["finished_garments", "100"], r"\S.*"),
    (["calibration_accuracy", "6", "own"], r"\S.*"),
    (["outside_rig", "--scenes", "1"], r"\S.*"),
    (["stage_frames"], r".*own processor.*"),
    (["desk_response"], r"\S.*"),
)
"""Other modules, their words for a short run, and which of their lines are shown."""


def processor(work: Callable[[], object], least: float = 0.3) -> float:
    """Median seconds of the processor that some work takes, over at least so many seconds."""
    work()
    times: list[float] = []
    while sum(times) < least or len(times) < 3:
        before = time.process_time()
        work()
        times.append(time.process_time() - before)
    return statistics.median(times)


def told(*words: str, folder: Path) -> tuple[float, float, float]:
    """Seconds by the clock, of the processor, and peak MB of one command."""
    code = (
        "import resource,subprocess,sys,time;a=time.perf_counter();"
        "d=subprocess.run([sys.executable,'-m','projector',*sys.argv[1:]],stdout=subprocess.DEVNULL,"
        "stdin=subprocess.DEVNULL);b=time.perf_counter();assert d.returncode<2;"
        "u=resource.getrusage(resource.RUSAGE_CHILDREN);"
        "print(b-a,u.ru_utime+u.ru_stime,u.ru_maxrss/1024)"
    )
    world = {**QUIET, "PYTHONPATH": str(ROOT), "SHEARLIGHT_SETTINGS": str(folder / "settings.yaml")}
    done = subprocess.run(
        [sys.executable, "-c", code, *words], cwd=folder, env=world, capture_output=True,
        text=True, check=True,
    )  # fmt: skip
    clock, own, memory = map(float, done.stdout.split())
    return clock, own, memory


def wearers(count: int) -> Job:
    """The choir's style for so many singers."""
    job, chance = choir_job(), np.random.default_rng(count)
    made = []
    for number in range(count):
        bust = float(chance.uniform(820.0, 1080.0))
        body = {"bust": bust, "waist": 0.83 * bust, "hip": 1.08 * bust, "height": 1660.0}
        made.append(replace(job.wearers[0], name=f"singer {number}", body=estimated_body(body)))
    cloth = replace(job.cloths[0], length=None)
    return Job(job.name, tuple(made), job.style, (cloth,))


def commands(folder: Path) -> Iterator[Row]:
    """Starting, and each command with its memory."""
    helped = [told("--help", folder=folder) for _ in range(7)]
    for number, what in enumerate(("clock", "processor")):
        yield "start of the command line", "--help", (
            f"{1000 * min(row[number] for row in helped):.0f} ms at best, "
            f"{1000 * statistics.median(row[number] for row in helped):.0f} ms median ({what})"
        )  # fmt: skip
    (folder / "choir.yaml").write_bytes(job_text(choir_job()).encode())
    write_record(folder / "table.yaml", Record(hall_map(), "camera"))
    for words in (
        ["check", "choir.yaml"],
        ["draft", "choir.yaml", "--out", "pieces"],
        ["lay", "choir.yaml", "--budget", "0"],
        ["lay", "choir.yaml", "--seconds", "5", "--keep"],
        ["sheet", "choir.yaml", "--out", "sheet.pdf"],
        ["write", "choir.yaml", "--as", "pdf", "--paper", "A4", "--out", "out"],
        ["recheck", "table.yaml", "--tape", "600,600,600,600"],
        ["ready"],
        ["rehearse", "--out", "rehearsal"],
    ):
        clock, own, memory = told(*words, folder=folder)
        shown = " ".join(word for word in words if "." not in word)
        yield "command", shown, f"{own:.1f} s processor, {clock:.1f} s clock, {memory:.0f} MB"


def windows(folder: Path) -> Iterator[Row]:
    """From the start of a program to its first picture."""
    desk = (
        "from projector.desk.window import DeskWindow;from projector.desk.errands import "
        "Errands,empty_session;from projector.settings import Settings;"
        "from projector.stage.displays import displays_open\n"
        "with displays_open(): DeskWindow(Errands(Settings(),[]),(1920,1080)).show(empty_session())"
    )
    stage = (
        "from tests.projector.choir import *;from projector.stage.window import StageWindow;"
        "from projector.stage.displays import displays_open\nfrom projector.job import *\n"
        "j=choir_job();s=Session(arrange(layout_of(j,pieces_of(j)),budget=0),Motion(0,60,60))\n"
        "with displays_open(): StageWindow(hall_map(),fills=False).show(s)"
    )
    for name, code in (("desk", desk), ("stage with three wearers", stage)):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        began = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=QUIET, check=True,
                       stdout=subprocess.DEVNULL)  # fmt: skip
        clock = time.perf_counter() - began
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        own = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        yield "start to first picture", name, f"{own:.1f} s processor, {clock:.1f} s clock"


def drafting(folder: Path) -> Iterator[Row]:
    """One draft, and how a job grows with its wearers."""
    body = choir_job().wearers[0].body
    for name, style in (("plain", Style()), ("join and gusset", Style(join=300.0, gusset=90.0))):
        one = processor(lambda style=style: draft(body, style))
        yield "drafts per second", name, f"{1 / one:.0f} ({1000 * one:.1f} ms each)"
    for count in (1, 4, 16, 64):
        job = wearers(count)
        text = job_text(job)
        pieces = pieces_of(job)
        yield "growth with wearers", f"{count} ({len(pieces)} pieces)", (
            f"draft {1000 * processor(lambda job=job: pieces_of(job)):.0f} ms, "
            f"read {1000 * processor(lambda text=text: job_from_text(text)):.1f} ms, "
            f"write {1000 * processor(lambda job=job: job_text(job)):.1f} ms"
        )  # fmt: skip


def laying(folder: Path) -> Iterator[Row]:
    """The plain first lay, and what some work makes of it, against the lower bound."""
    for count in (1, 4, 16):
        job = wearers(count)
        layout = layout_of(job, pieces_of(job))
        first = processor(lambda layout=layout: arrange(layout, budget=0), 0.1)
        laid = arrange(layout, budget=0)
        bound = lower_bound(layout).length
        yield "first lay", f"{count} wearers", (
            f"{1000 * first:.0f} ms; {used_length(laid) / bound:.3f} of the lower bound, "
            f"{efficiency(laid):.1%} pieces"
        )  # fmt: skip
    job = wearers(3)
    layout = layout_of(job, pieces_of(job))
    for budget in (0, 4, 12):
        before = time.process_time()
        laid = arrange(layout, budget=budget)
        own = time.process_time() - before
        yield "lay by units of work", f"3 wearers, {budget}", (
            f"{own:.1f} s; {used_length(laid) / lower_bound(layout).length:.3f} of the bound"
        )  # fmt: skip


def calibrating(folder: Path) -> Iterator[Row]:
    """The estimate by number of photographs, and the search for corners by their pixels."""
    for count in (1, 3, 6):
        rig = random_rig(900 + count, count)
        middle = np.array([np.array(rig.screen_size) / 2])
        x, y = (float(value) for value in true_table_points(rig, middle)[0])
        sheet = [("A4", sheet_points(9, 6, 25.0), (x, y, 0.1))]
        seen = sights(rig, screen_grid(rig.screen_size, 16, 9), sheet, 0.05, 900 + count)
        own = processor(lambda seen=seen, rig=rig: joint(seen, rig.screen_size), 0.1)
        found = joint(seen, rig.screen_size).table_map
        real = float(np.percentile(metres_off(found, rig), 95))
        yield "estimate", f"{count} photographs", (
            f"{own:.2f} s; 1 m off by {real:.2f} mm (p95), told ± {metre_error(found):.2f} mm"
        )  # fmt: skip
    rig, board, picture, printed = _photographed()
    for share in (0.6, 1.0):
        size = (round(picture.shape[1] * share), round(picture.shape[0] * share))
        small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
        before = time.process_time()
        photo_sight(small, board, (printed,))
        own = time.process_time() - before
        yield "corners in a photograph", f"{size[0] * size[1] / 1e6:.1f} MP", f"{own:.2f} s"


def _photographed():  # type: ignore[no-untyped-def]
    """A rendered photograph of both boards, with what is in it."""
    rig, board = random_rig(7, 1), printed_board("A4")
    middle = np.array([np.array(rig.screen_size) / 2])
    x, y = (float(value) for value in true_table_points(rig, middle)[0])
    sheet = board_sheet(board, "A4", (x, y), 0.05)
    lit = screen_board(rig.screen_size, hole=hole_for(rig, sheet))
    screen = drawn_on_screen(lit, rig.screen_size)
    return rig, lit, photograph(rig, screen, 7, (sheet,), 0.55), Printed("A4", board, 1.0)


def reading(folder: Path) -> Iterator[Row]:
    """Reading a drawing, by its strokes."""
    for count in (100, 1000, 5000):
        paths = "".join(
            f'<path d="M{n % 50 * 30} {n // 50 * 30}h20v20h-20z" fill="none" stroke="red"/>'
            for n in range(count)
        )
        svg = (
            '<svg xmlns="http://www.w3.org/2000/svg" width="1500mm" height="3000mm" '
            f'viewBox="0 0 1500 3000">{paths}</svg>'
        ).encode()
        own = processor(lambda svg=svg: outlines(linework_of(svg).strokes, 0.5), 0.1)
        yield "read and join an SVG", f"{count} outlines", f"{own:.2f} s"


def others() -> None:
    """The other modules with small counts, as they print it."""
    for words, shown in OTHERS:
        print(f"\n{words[0]}:\n\n```", flush=True)
        done = subprocess.run(
            [sys.executable, "-m", f"tests.benchmarks.{words[0]}", *words[1:]],
            cwd=ROOT, env=QUIET, capture_output=True, text=True, check=False, timeout=600,
        )  # fmt: skip
        lines = [line for line in done.stdout.splitlines() if re.fullmatch(shown, line)]
        print("\n".join(lines) or f"ended with {done.returncode}: {done.stderr[-300:]}")
        print("```", flush=True)


def main() -> None:
    """Print the table row by row."""
    chosen = sys.argv[1:]
    print("| measured | of | figure |\n|---|---|---|")
    with tempfile.TemporaryDirectory() as name:
        write_job(Path(name) / "job.yaml", choir_job())
        parts = (commands, windows, drafting, laying, calibrating, reading)
        for part in [each for each in parts if each.__name__ in chosen] or parts:
            for row in part(Path(name)):
                print(f"| {' | '.join(row)} |", flush=True)
    if not chosen:
        others()


if __name__ == "__main__":
    main()
