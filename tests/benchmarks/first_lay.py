"""Time to the first valid lay of the demonstration job: `python -m tests.benchmarks.first_lay`.

Three sizes of the choir's tunic with facings, on its own folded cloth and on flat cloth. Each of
`--runs` times a process that has loaded nothing yet reads the job, drafts it and lays it, and
another is begun as the desk begins a search. Told are medians: from the start of the process to
the first lay and from there without loading and drafting, by the clock and by the processor (what
the clock would show on a quiet machine); and from the desk's beginning of a search to its first
lay, by the clock. Every first lay is judged by the tests' own checker. Nothing passes or fails.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import time
from dataclasses import replace

CLOTHS = {"folded, 150 cm": {}, "flat, 160 cm": {"folded": False, "width": 1600.0}}
"""What is changed of the cloth of the demonstration job."""
COLD = """
import json, sys, time
from dataclasses import replace
from projector.cloth.autolayout import improving_lays
from projector.demonstration import demonstration_job
from projector.job import layout_of, pieces_of
loaded = time.process_time()
job = demonstration_job()
cloth = replace(job.cloths[0], **json.loads(sys.argv[1]))
job = replace(job, cloths=(cloth,), style=replace(job.style, neck_facing=60.0))
layout = layout_of(job, pieces_of(job))
drafted, at = time.process_time(), time.perf_counter()
first = next(improving_lays(layout))
print(json.dumps([
    time.process_time(), time.process_time() - drafted, time.perf_counter() - at, loaded,
    [[p.piece, p.copy, p.cloth_from_piece.angle, p.cloth_from_piece.dx, p.cloth_from_piece.dy,
      p.cloth_from_piece.mirrored] for p in first.placements],
]))
"""


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--runs", type=int, default=5)
    given = words.parse_args()
    from projector.cloth.layout import Layout
    from projector.cloth.search_process import begin
    from tests.projector.cloth_checker import faults
    from tests.projector.hand_lay import faced_choir, flat_by_hand, folded_by_hand

    for hand, (name, change) in zip(
        (folded_by_hand(), flat_by_hand()), CLOTHS.items(), strict=True
    ):
        layout = Layout(replace(hand.cloth, **change), faced_choir())
        rows, walls, waits, wrong = [], [], [], set[str]()
        for _ in range(given.runs):
            began = time.perf_counter()
            done = subprocess.run(
                [sys.executable, "-c", COLD, json.dumps(change)],
                capture_output=True, text=True, check=True,
            )  # fmt: skip
            walls.append(time.perf_counter() - began)
            *row, placements = json.loads(done.stdout)
            rows.append(row)
            wrong |= set(faults(replace(layout, placements=_placements(placements))))
            began, search = time.perf_counter(), begin(layout)
            while (news := search.poll()).layout is None and news.running:
                time.sleep(0.002)
            waits.append(time.perf_counter() - began)
            search.stop()
            wrong |= {"no lay"} if news.layout is None else set(faults(news.layout))
        whole, laying, laying_wall, loaded = (
            statistics.median(column) for column in zip(*rows, strict=True)
        )
        print(
            f"{name}: cold process {statistics.median(walls):.2f} s by the clock, {whole:.2f} s of "
            f"the processor, {loaded:.2f} s of it loading; laying alone {laying_wall:.3f} s, "
            f"{laying:.3f} s; begun from the desk {statistics.median(waits):.2f} s"
            f"{'; WRONG: ' + '; '.join(sorted(wrong)) if wrong else ''}"
        )


def _placements(rows: list[list]) -> tuple:
    from drafting.plane import Motion
    from projector.cloth.layout import Placement

    return tuple(Placement(name, copy, Motion(*where)) for name, copy, *where in rows)


if __name__ == "__main__":
    main()
