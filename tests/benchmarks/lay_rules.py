"""Jobs of every rule at the usual amount of work, against long runs and against the bound.

    python -m tests.benchmarks.lay_rules --runs 10 --long 150 --only fold nap

Every lay is judged by the tests' own checker. Told for each job: the length found with one seed
at `--budget` units of work, the shortest of so many long runs, what the one is longer than the
other, the bound, and processor seconds of the short run. Runs repeat exactly by seed and budget.
"""

from __future__ import annotations

import argparse
import math
import time
from dataclasses import replace

from drafting.marks import Drill
from drafting.piece import Piece
from drafting.plane import Motion, Point
from projector.cloth.autolayout import arrange
from projector.cloth.cloth import Cloth, Match
from projector.cloth.layout import Layout, Placement
from projector.cloth.shrinkage import allowed_for
from projector.cloth.yardage import MET, lower_bound, used_length
from projector.demonstration import demonstration_job
from projector.job import pieces_of
from tests.projector.blocks import block
from tests.projector.cloth_checker import faults

HEMS = tuple(Match(name, "body hem", across=False) for name in ("back", "front"))


def choir(facing: float | None = None) -> tuple[Piece, ...]:
    job = demonstration_job()
    return pieces_of(replace(job, style=replace(job.style, neck_facing=facing)))


def small() -> tuple[Piece, ...]:
    marks = (Drill(Point(40.0, 55.0), "check"),)
    made = (
        block("collar", 90.0, 420.0, count=2),
        block("cuff", 120.0, 250.0, count=4, paired=True),
        block("pocket", 150.0, 180.0, count=6),
        block("tie", 60.0, 900.0, count=2, turns_freely=True),
        block("yoke", 230.0, 460.0, count=2, paired=True),
    )
    return tuple(replace(piece, marks=(*piece.marks, *marks)) for piece in made)


def jobs() -> dict[str, Layout]:
    """One job or more for each rule."""
    plain, faced, extra = choir(), choir(60.0), small()
    both = (*plain, *extra)
    checks = tuple(Match(piece.name, "check") for piece in extra)
    outline = (
        (0, 0),
        (3900, 150),
        (4100, 700),
        (3800, 1490),
        (2000, 1420),
        (900, 1500),
        (60, 1300),
    )
    hole = ((900.0, 200.0), (1010.0, 180.0), (1030.0, 330.0))
    burn = ((2400.0, 900.0), (2500.0, 900.0), (2480.0, 1050.0))
    locked = Placement("collar", 0, Motion(math.pi / 2, 900.0, 640.0), locked=True)
    shrinking = Cloth(shrinkage_along=0.04, shrinkage_across=0.02)
    size_s = tuple(piece for piece in both if piece.size in ("", "S"))
    flat = Cloth(folded=False, width=1600.0)
    checked = Cloth(
        folded=False, width=1600.0, repeat_along=48.0, repeat_across=36.0, phase_along=5.0,
        phase_across=11.0, matches=(*(replace(hem, across=True) for hem in HEMS), *checks),
    )  # fmt: skip
    return {
        "fold": Layout(Cloth(), plain),
        "fold, facings": Layout(Cloth(), faced),
        "fold, small pieces": Layout(Cloth(), both),
        "fold, buffer": Layout(Cloth(buffer=6.0), both),
        "fold, nap": Layout(Cloth(one_way=True), both),
        "fold, stripes": Layout(Cloth(repeat_along=70.0, phase_along=15.0, matches=HEMS), both),
        "fold, flaws": Layout(Cloth(flaws=(hole,)), both),
        "fold, lock": Layout(Cloth(), both, (locked,)),
        "fold, shrinkage": Layout(shrinking, tuple(allowed_for(p, shrinking) for p in both)),
        "flat, pairs": Layout(flat, both),
        "flat, nap": Layout(replace(flat, one_way=True), both),
        "flat, buffer": Layout(replace(flat, buffer=6.0), both),
        "flat, checks": Layout(checked, both),
        "flat, flaws": Layout(replace(flat, flaws=(hole, burn)), both),
        "flat, small only": Layout(Cloth(folded=False, width=900.0), extra),
        "remnant": Layout(
            Cloth(width=1500.0, folded=False, selvage=0.0, outline=outline), size_s
        ),
    }  # fmt: skip


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--budget", type=int, default=24)
    words.add_argument("--runs", type=int, default=10)
    words.add_argument("--long", type=int, default=100)
    words.add_argument("--first", type=int, default=1, help="seed of the first long run")
    words.add_argument("--only", nargs="*", default=[])
    given = words.parse_args()
    for name, layout in jobs().items():
        if given.only and not any(word in name for word in given.only):
            continue
        bound = lower_bound(layout)
        began = time.process_time()
        laid = arrange(layout, 0, given.budget)
        took = time.process_time() - began
        wrong = faults(laid)
        found = used_length(laid)
        best, met = found, found <= bound.length + MET
        for seed in range(given.first, given.first + given.runs if not met else given.first):
            other = arrange(layout, seed, given.long)
            wrong += faults(other)
            best = min(best, used_length(other))
        print(
            f"{name:20} {found:8.1f} mm  best {best:8.1f} ({100 * (found / best - 1):5.2f} %)  "
            f"bound {bound.length:8.1f} ({100 * (found / bound.length - 1):5.2f} %)"
            f"{' met' if met else ''}  {took:5.1f} s, {bound.reason}"
            f"{'; WRONG: ' + '; '.join(wrong) if wrong else ''}",
            flush=True,
        )


if __name__ == "__main__":
    main()
