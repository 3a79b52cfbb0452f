"""Memory and time of a lay of 200 pieces, all different: `python -m tests.benchmarks.lay_memory`.

A hundred wearers drawn from the survey of `random_bodies` have the demonstration job's tunic, back
and front each: 200 outlines of which no two are alike, on folded cloth (halves on the fold) and on
flat cloth (opened out). The search is begun as the desk begins it. Told: seconds to the first lay,
the lays found, and the peak of the memory of all its processes together, as the system counts it
(proportional set size: what processes share is counted once). Linux only.
"""

from __future__ import annotations

import argparse
import re
import time
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from drafting.errors import DraftingError
from drafting.survey import estimated_body
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout
from projector.cloth.search_process import begin
from projector.demonstration import demonstration_job
from projector.job import Wearer, pieces_of
from tests.benchmarks.random_bodies import random_bodies

CLOTHS = (Cloth(width=1600.0), Cloth(width=1700.0, folded=False))


def hundred_wearers(count: int = 100):
    """The pieces of so many wearers, two each."""
    job, pieces = demonstration_job(), []
    for number, sizes in enumerate(random_bodies(2 * count, 5)):
        with suppress(DraftingError):  # whom the style does not fit
            wearer = Wearer(f"W{number}", estimated_body(sizes))
            pieces += pieces_of(replace(job, wearers=(wearer,)))
        if len(pieces) >= 2 * count:
            return tuple(pieces)
    raise SystemExit("too few bodies fit the style")


def memory(pid: int) -> float:
    """Memory of a process and all it has begun, MB."""
    parents = {}
    for entry in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            name, fields = entry.read_text().rsplit(")", 1)
            parents[int(name.split()[0])] = int(fields.split()[1])
    family, grown = {pid}, True
    while grown:
        more = {child for child, parent in parents.items() if parent in family} - family
        family |= more
        grown = bool(more)
    total = 0.0
    for each in family:
        with suppress(OSError):
            told = Path(f"/proc/{each}/smaps_rollup").read_text()
            found = re.search(r"^Pss:\s+(\d+)", told, re.MULTILINE)
            total += int(found.group(1)) / 1024 if found else 0.0
    return total


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--seconds", type=float, default=60.0)
    words.add_argument("--wearers", type=int, default=100)
    given = words.parse_args()
    pieces = hundred_wearers(given.wearers)
    for cloth in CLOTHS:
        began, search = time.perf_counter(), begin(Layout(cloth, pieces), seconds=given.seconds)
        peak, lays = 0.0, []
        while (news := search.poll()).running and time.perf_counter() - began < 2 * given.seconds:
            peak = max(peak, memory(search._process.pid))
            if news.layout is not None:
                lays.append((time.perf_counter() - began, news.length))
            time.sleep(0.1)
        search.stop()
        found = ", ".join(
            f"{length / 1000:.2f} m at {at:.1f} s" for at, length in lays[:2] + lays[-1:]
        )
        print(
            f"{len(pieces)} pieces, {'folded' if cloth.folded else 'flat'}: peak {peak:.0f} MB; "
            f"{len(lays)} lays: {found}{'; ' + news.failure if news.failure else ''}",
            flush=True,
        )


if __name__ == "__main__":
    main()
