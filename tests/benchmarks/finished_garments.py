"""Random bodies, lifts and parts: do all seams walk, no cutting line loop; how long does it take?

`python -m tests.benchmarks.finished_garments [count]`. Bodies from the means, deviations and
correlations of ANSUR II women (Gordon et al. 2014, NATICK/TR-15/007). Every garment has bands or
a facing, and a join or a gusset.
"""

from __future__ import annotations

import sys
import time

import numpy as np
import shapely

from drafting.allowance import cutting_line
from drafting.draft import draft
from drafting.errors import DraftingError
from drafting.seams import walked_all
from drafting.style import Style
from drafting.survey import estimated_body
from tests.benchmarks.random_bodies import random_bodies

PARTS = (
    {},
    {"neck_binding": 12.0, "cuff": 60.0, "hem_band": 60.0, "band_stretch": 0.1},
    {"neck_facing": 50.0, "join": 420.0},
    {"gusset": 90.0, "join": 450.0, "underarm_drop": 40.0},
)


def main(count: int = 1000) -> None:
    chance = np.random.default_rng(9)
    bodies = random_bodies(count, 9)
    seconds: dict[int, list[float]] = {number: [] for number in range(len(PARTS))}
    lines = []
    loops = refused = pieces = 0
    walk = bend = 0.0
    for sizes, lift in zip(bodies, chance.random(count), strict=True):
        number = int(chance.integers(len(PARTS)))
        style = Style(lift=float(lift), neck_stretch=0.3, **PARTS[number])  # type: ignore[arg-type]
        body = estimated_body(sizes)
        began = time.perf_counter()
        try:
            made = draft(body, style)
        except DraftingError as error:
            refused += 1
            print(f"refused: {error}")
            continue
        drawn = time.perf_counter()
        outlines = [cutting_line(piece, 0.1) for piece in made.pieces]
        seconds[number].append(drawn - began)
        lines.append((time.perf_counter() - drawn) / len(outlines))
        pieces += len(outlines)
        for outline in outlines:
            loops += not shapely.LinearRing([(p.x, p.y) for p in outline]).is_simple
        for each in walked_all(made.pieces, made.seams):
            walk = max(walk, abs(each.apart), *(abs(apart) for _, apart in each.notches), 0.0)
            bend = max(bend, abs(each.start_bend or 0.0), abs(each.end_bend or 0.0))
    print(f"{count - refused} garments, {pieces} pieces, {refused} refused")
    print(
        f"{loops} loops; seams at most {walk:.1e} mm off, ends bent {np.degrees(bend):.1e} degrees"
    )
    for number, part in enumerate(PARTS):
        median = 1000 * float(np.median(seconds[number]))
        print(f"median {median:5.1f} ms with {', '.join(part) or 'nothing'}")
    print(f"cutting line: median {1000 * np.median(lines):.2f} ms a piece at 0.1 mm")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
