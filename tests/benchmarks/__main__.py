"""Every measurement in short form: one table, ready for DEVELOPERS.md.

`python -m tests.benchmarks` takes some seven minutes on two free cores. Words choose parts of it:
commands, windows, growing, drafting, laying, strips, calibrating, photographs, lighting, reading,
modules (the other benchmarks with small counts); without a word all of them run. The table goes to
the standard output, what is under way to the other. A part that fails says so in its row and stops
no other. Times are of the processor unless they are called by the clock: they hold on a busy
machine, too. `strips` compares with the general library of `packing` where that is installed.
"""

from __future__ import annotations

import importlib
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from calibration.record import Record
from calibration.table_map import TableMap
from drafting.allowance import cutting_line
from drafting.draft import draft
from drafting.exchange.outlines import outlines
from drafting.exchange.reading import linework_of
from drafting.grading import graded, growth_of
from drafting.plane import Motion
from drafting.style import Style
from drafting.survey import estimated_body
from drafting.unfolding import unfolded
from projector.cloth.autolayout import arrange
from projector.cloth.yardage import efficiency, lower_bound, used_length
from projector.files.job import job_from_text, job_text
from projector.files.table import write_record
from projector.job import Job, layout_of, pieces_of
from projector.stage.session import Session
from tests.benchmarks import packing
from tests.benchmarks.calibration_growth import calibrating, photographs
from tests.benchmarks.processes import QUIET, ROOT, Row, processor, started, told
from tests.projector.choir import choir_job, hall_map

OTHERS = (
    ["random_bodies", "200"],
    ["finished_garments", "60"],
    ["outside_rig", "--scenes", "1"],
    ["desk_response"],
)
"""Other modules with their words for a short run."""
PATIENCE = 240.0
"""Seconds that another module may take."""


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
    told("lay", "choir.yaml", "--budget", "0", folder=folder)  # compiles, on a fresh install
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
    many = stage.replace("choir_job()", "wearers(30)").replace(
        "from tests.projector.choir",
        "from tests.benchmarks.__main__ import wearers;from tests.projector.choir",
        1,
    )
    for name, code in (
        ("desk", desk), ("stage with three wearers", stage), ("stage with thirty wearers", many)
    ):  # fmt: skip
        clock, own, memory = started(("-c", code), folder)
        yield "start to first picture", name, (
            f"{own:.1f} s processor, {clock:.1f} s clock, {memory:.0f} MB"
        )  # fmt: skip


def growing(folder: Path) -> Iterator[Row]:
    """Whole commands with their memory, by the wearers of a job."""
    for count in (4, 16, 64):
        (folder / "many.yaml").write_bytes(job_text(wearers(count)).encode())
        for words in (
            ["check", "many.yaml"],
            ["lay", "many.yaml", "--budget", "0"],
            ["lay", "many.yaml", "--seconds", "4", "--processes", "1"],
            ["sheet", "many.yaml", "--out", "many.pdf"],
        ):
            clock, own, memory = told(*words, folder=folder)
            shown = " ".join(word for word in words if "." not in word)
            yield "growth with pieces", f"{shown}, {2 * count} pieces", (
                f"{own:.1f} s processor, {clock:.1f} s clock, {memory:.0f} MB"
            )  # fmt: skip


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
    for count in (7, 14, 28):
        busts = tuple(round(bust, 1) for bust in np.linspace(840.0, 1100.0, count))
        sizes = {f"size {bust}": estimated_body(
            {"bust": bust, "waist": 0.85 * bust, "hip": 1.05 * bust, "height": 1680.0}
        ) for bust in busts}  # fmt: skip
        own = processor(lambda sizes=sizes: growth_of(graded(Style(), sizes)))
        yield "growth with sizes", f"{count} sizes graded", f"{1000 * own:.0f} ms"


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


def strips(folder: Path) -> Iterator[Row]:
    """Drafted pieces, unfolded, as plain polygons: this search and a general library, in turn."""
    try:
        library = importlib.import_module("spyrrow")
    except ImportError:
        library = None
    seconds = 10.0
    packing.warmed_up()
    for count in (4, 12):
        job = wearers(count)
        cut = [cutting_line(unfolded(piece), 0.5) for piece in pieces_of(job)]
        items = [
            {"demand": 1, "allowed_orientations": [0.0, 180.0],
             "shape": {"data": [[p.y, -p.x] for p in line]}} for line in cut
        ]  # fmt: skip
        instance = {"strip_height": 1500.0, "items": items}
        (found,), own = packing.processor_seconds(packing.ours, instance, None, [seconds], 1, 2)
        told = f"{found:.1%} in {seconds:.0f} s ({own:.0f} s processor)"
        if library is None:
            told += "; no general library is installed"
        else:
            other, own = packing.processor_seconds(
                packing.general, library, instance, None, seconds, 1, 2
            )
            told += f"; general library {other:.1%} ({own:.0f} s processor)"
        yield "density on flat cloth", f"{len(items)} whole pieces", told


def lighting(folder: Path) -> Iterator[Row]:
    """Frames of the stage while a piece is dragged, by the pieces in the light."""
    os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
    from tests.benchmarks import stage_frames  # it has one thread for all that comes after it

    whole = np.diag([7.5, 7.5, 1.0]) @ np.array([[1, 0, 0], [0, -1, 1079.0], [0, 0, 1]])
    stage_frames.FRAMES = 300
    for count in (3, 15, 30):
        job = wearers(count)
        session = Session(arrange(layout_of(job, pieces_of(job)), budget=0), Motion(0, 60, 3000))
        own = stage_frames.dragged(session, TableMap(whole, stage_frames.SCREEN))[:, 1]
        yield "frame while dragging", f"{2 * count} pieces lit", (
            f"{np.median(own):.1f} ms median, {np.percentile(own, 99):.1f} ms p99 (processor)"
        )  # fmt: skip


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


def modules(folder: Path) -> Iterator[Row]:
    """The other modules with small counts, as they print it."""
    for words in OTHERS:
        called = f"`{' '.join(words)}`"
        try:
            done = subprocess.run(
                [sys.executable, "-m", f"tests.benchmarks.{words[0]}", *words[1:]],
                cwd=ROOT, env=QUIET, capture_output=True, text=True, timeout=PATIENCE, check=False,
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            yield "other modules", called, f"not done after {PATIENCE:.0f} s"
            continue
        lines = [line.strip() for line in done.stdout.splitlines() if line.strip()]
        if done.returncode:
            last = (done.stderr.strip().splitlines() or [""])[-1]
            lines.append(f"ended with {done.returncode}: {last[:200]}")
        for line in lines:
            yield "other modules", called, line


PARTS = (
    commands, windows, growing, drafting, laying, strips, calibrating, photographs, lighting,
    reading, modules,
)  # fmt: skip


def measured(part: Callable[[Path], Iterator[Row]], folder: Path) -> Iterator[Row]:
    """The rows of a part, the last one telling why, where it fails."""
    try:
        yield from part(folder)
    except Exception as error:  # whatever it is, the other parts are still wanted
        told = str(error).strip().splitlines() or [""]
        yield part.__name__, "failed", f"{type(error).__name__}: {told[-1][:200]}"


def main() -> None:
    """Print the table row by row."""
    named = {part.__name__: part for part in PARTS}
    strange = [word for word in sys.argv[1:] if word not in named]
    if strange:
        sys.exit(f"no part is called {strange[0]!r}; there are {', '.join(named)}")
    chosen = [named[word] for word in sys.argv[1:]] or PARTS
    began = time.monotonic()
    print("| measured | of | figure |\n|---|---|---|")
    with tempfile.TemporaryDirectory() as name:
        for number, part in enumerate(chosen, 1):
            since = time.monotonic() - began
            print(
                f"[{since:4.0f} s] {part.__name__}, part {number} of {len(chosen)}",
                file=sys.stderr, flush=True,
            )  # fmt: skip
            for row in measured(part, Path(name)):
                print(f"| {' | '.join(cell.replace('|', '/') for cell in row)} |", flush=True)
    print(f"[{time.monotonic() - began:4.0f} s] done", file=sys.stderr)


if __name__ == "__main__":
    main()
