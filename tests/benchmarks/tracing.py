"""How near a traced paper piece comes to its true outline, in rendered photographs.

Run as ``python -m tests.benchmarks.tracing [SCENES] [lit sheet burnt]``: shapes with curves,
inner corners, points and notches lie on light and dark tables lit by the projector of a random
rig; the scale comes from the projected board or from a printed A3 board beside the piece. Burnt
scenes are exposed for the whole picture, so that a small light piece on a dark table is brighter
than the camera can tell. Told are the p95 of the outline's error, the notches and corners found,
and the seconds of finding and fitting. The scenes' seeds are not used in any test.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from calibration.errors import CalibrationError
from calibration.rig_scenes import random_rig
from drafting.exchange.completing import edges_of
from projector.errors import ProjectorError
from projector.photo_scale import scale_of_lit_board, scale_of_sheet, traced_photo
from projector.printed_bars import PrintedBars
from projector.traced_outline import outline_of
from tests.projector.paper_scenes import (
    errors_of,
    nearest_corners,
    nearest_notches,
    paper_scene,
    shapes,
    true_map,
)

FIRST_SEED = 83_000
LONG = 500.0


def scene(number: int, way: str) -> tuple[str, np.ndarray]:
    """One scene: what to call it, and p95, notches missed or too many, corners missed, seconds."""
    chance = np.random.default_rng((FIRST_SEED, number))
    shape = shapes()[number % len(shapes())]
    rig = random_rig(FIRST_SEED + number, projector_lens=0.0)
    light, dark = chance.uniform(0.6, 0.85), chance.uniform(0.08, 0.4)
    paper, table = (light, dark) if chance.uniform() < 0.5 or way == "burnt" else (dark, light)
    left, _, right, _ = shape.body.bounds
    aside = 0.0 if right - left > LONG else 0.08
    middle = (0.5 + float(chance.normal(0, aside / 2)), 0.5 + float(chance.normal(0, aside / 2)))
    if way == "sheet":
        middle = (0.55, middle[1])
    seen = paper_scene(
        rig, shape, FIRST_SEED + 10 * number, paper, table, middle,
        float(chance.normal(0, aside * 3)), way != "sheet", "A3" if way == "sheet" else "",
        way != "burnt",
    )  # fmt: skip
    name = f"{shape.name}, {'light on dark' if paper > table else 'dark on light'}, {way}"
    began = time.process_time()
    if seen.lit is not None:
        scale = scale_of_lit_board(seen.photo, seen.lit, true_map(rig))
    else:
        scale = scale_of_sheet(seen.photo, "A3", PrintedBars())
    tracing, _ = traced_photo(seen.photo, scale)
    outline = outline_of(tracing)
    took = time.process_time() - began
    free = seen.lit is None
    errors = errors_of(seen, outline, free)
    missed = sum(gap > 1.0 for gap in nearest_notches(seen, tracing, outline, free))
    extra = len(tracing.notches) - len(seen.notches)
    corners = sum(gap > 1.5 for gap in nearest_corners(seen, outline, free))
    edges = len(edges_of(outline)[0]) - max(1, len(seen.corners))
    p95 = float(np.percentile(errors, 95))
    return name, np.array([p95, missed, abs(extra), corners, abs(edges), took])


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 28
    ways = sys.argv[2:] or ["lit", "sheet", "burnt"]
    for way in ways:
        rows, failed = [], 0
        for number in range(count if way == "lit" else count // 2):
            try:
                name, row = scene(number + {"lit": 0, "sheet": 500, "burnt": 900}[way], way)
            except (CalibrationError, ProjectorError) as error:
                failed += 1
                print(f"  {number}: {error}")
                continue
            rows.append(row)
            print(
                f"  {name}: p95 {row[0]:.2f} mm, notches missed {row[1]:g} extra {row[2]:g}, "
                f"corners off {row[3]:g} extra {row[4]:g}, {row[5]:.1f} s",
                flush=True,
            )
        table = np.array(rows)
        print(
            f"{way}: {len(rows)} scenes, {failed} failed; p95 median "
            f"{np.median(table[:, 0]):.2f} worst {table[:, 0].max():.2f} mm; notches missed "
            f"{table[:, 1].sum():g}, extra {table[:, 2].sum():g}; corners off by 1.5 mm or more "
            f"{table[:, 3].sum():g}, extra or missing edges {table[:, 4].sum():g}; "
            f"{np.median(table[:, 5]):.1f} s of processor"
        )


if __name__ == "__main__":
    main()
