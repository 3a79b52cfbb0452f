"""Time and memory of some work in this process, and of whole runs in one of their own."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

Row = tuple[str, str, str]
ROOT = Path(__file__).resolve().parents[2]
QUIET = {**os.environ, "SDL_VIDEODRIVER": "dummy", "OPENCV_LOG_LEVEL": "OFF"}


def processor(work: Callable[[], object], least: float = 0.3) -> float:
    """Median seconds of the processor that some work takes, over at least so many seconds."""
    work()
    times: list[float] = []
    while sum(times) < least or len(times) < 3:
        before = time.process_time()
        work()
        times.append(time.process_time() - before)
    return statistics.median(times)


def started(words: Sequence[str], folder: Path) -> tuple[float, float, float]:
    """Seconds by the clock, of the processor, and peak MB of one run of Python with these words."""
    code = (
        "import resource,subprocess,sys,time;a=time.perf_counter();"
        "d=subprocess.run([sys.executable,*sys.argv[1:]],stdout=subprocess.DEVNULL,"
        "stdin=subprocess.DEVNULL);b=time.perf_counter();assert d.returncode<2;"
        "u=resource.getrusage(resource.RUSAGE_CHILDREN);"
        "print(b-a,u.ru_utime+u.ru_stime,u.ru_maxrss/1024)"
    )
    world = {**QUIET, "PYTHONPATH": str(ROOT), "SHEARLIGHT_SETTINGS": str(folder / "settings.yaml")}
    done = subprocess.run(
        [sys.executable, "-c", code, *words], cwd=folder, env=world, capture_output=True,
        text=True, check=True, timeout=300.0,
    )  # fmt: skip
    clock, own, memory = map(float, done.stdout.split())
    return clock, own, memory


def told(*words: str, folder: Path) -> tuple[float, float, float]:
    """The same of one command."""
    return started(("-m", "projector", *words), folder)
