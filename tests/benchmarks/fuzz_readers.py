"""Every reader on thousands of spoilt files: what comes out, how long and how much memory it takes.

`python -m tests.benchmarks.fuzz_readers [files a reader] [first seed] [reader ...]`. Each reader
runs in a process of its own, with 1.5 GB of memory on top of what it starts with. A file that
ends in anything but the program's own errors, or takes over 10 s, is printed with its seed.
"""

from __future__ import annotations

import multiprocessing
import random
import resource
import signal
import statistics
import sys
import tempfile
import time
import traceback
from pathlib import Path
from typing import Any

import yaml

from tests.damage import damaged, damaged_tree
from tests.readers import OWN, READERS, TREES

MEMORY = 1_500_000_000
SLOWEST = 10


def spoilt(name: str, seed: int) -> bytes:
    """The file of one seed: spoilt by bytes, or for every other seed of a YAML reader by values."""
    chance = random.Random(f"{name} {seed}")
    sound = chance.choice(READERS[name].sound())
    if name in TREES and seed % 2:
        tree: Any = damaged_tree(yaml.safe_load(sound), chance)
        return yaml.safe_dump(tree, sort_keys=False).encode()
    return damaged(sound, chance)


def main(count: int = 300, first: int = 0, *names: str) -> list[dict[str, Any]]:
    """Print a table, and return its rows."""
    rows = []
    print(f"{'reader':12} {'files':>6} {'read':>6} {'refused':>8} {'crashed':>8} "
          f"{'median ms':>10} {'slowest ms':>11} {'memory MB':>10}")  # fmt: skip
    for name in names or READERS:
        context = multiprocessing.get_context("spawn")
        results: Any = context.Queue()
        process = context.Process(target=_run, args=(name, count, first, results))
        process.start()
        while True:
            try:
                row = results.get(timeout=1.0)
                break
            except Exception:
                if not process.is_alive():
                    row = {"reader": name, "ended": process.exitcode}
                    break
        process.join()
        rows.append(row)
        if "ended" in row:
            print(f"{name:12} the process ended with {row['ended']}")
            continue
        print(f"{name:12} {count:6} {row['read']:6} {row['refused']:8} {row['crashed']:8} "
              f"{row['median_ms']:10.1f} {row['slowest_ms']:11.0f} {row['memory_mb']:10.0f}",
              flush=True)  # fmt: skip
    return rows


def _run(name: str, count: int, first: int, results: Any) -> None:
    READERS[name].sound()
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    limit = pages * resource.getpagesize() + MEMORY
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
    signal.signal(signal.SIGALRM, _too_long)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    ends = {"read": 0, "refused": 0, "crashed": 0}
    times = []
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(first, first + count):
            content = spoilt(name, seed)
            (Path(folder) / "now").write_text(str(seed))
            began = time.process_time()
            signal.alarm(SLOWEST)
            try:
                READERS[name].read(content, Path(folder))
                ends["read"] += 1
            except OWN:
                ends["refused"] += 1
            except BaseException:
                ends["crashed"] += 1
                told = traceback.format_exc().strip().splitlines()
                print(f"  {name} {seed}: {told[-1][:150]}", *told[-9:-1], sep="\n    ", flush=True)
            finally:
                signal.alarm(0)
            times.append(1000 * (time.process_time() - began))
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    results.put({"reader": name, **ends, "median_ms": statistics.median(times),
                 "slowest_ms": max(times), "memory_mb": grown / 1024})  # fmt: skip


def _too_long(number: int, frame: Any) -> None:
    raise TimeoutError(f"not read within {SLOWEST} s")


if __name__ == "__main__":
    words = sys.argv[1:]
    main(*(int(word) for word in words[:2]), *words[2:])
