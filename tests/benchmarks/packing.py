"""Densities reached on plain instances of irregular strip packing.

    python -m tests.benchmarks.packing FILE... --seconds 10 30 --seeds 1 2 3 --turns 0 180

A file is JSON with `strip_height` and `items`, each with `demand`, `allowed_orientations` and
`shape.data`. Turns of the file are used where --turns is left out. Run nothing else beside it:
two processes search, and wall time is counted.
"""

from __future__ import annotations

import argparse
import json
import statistics
import time
from pathlib import Path

import shapely
from shapely import affinity

from projector.cloth.plain_lay import PlainLay, lay_polygons, warmed_up


def overlap(outlines: list, lay: PlainLay) -> float:
    """Greatest overlap of two polygons, as a part of the smaller one."""
    shapes = []
    for outline, (turn, x, y) in zip(outlines, lay.places, strict=True):
        shape = affinity.rotate(shapely.Polygon(outline), turn, origin=(0, 0))
        shapes.append(affinity.translate(shape, x, y))
    worst = 0.0
    first, second = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    for i, j in zip(first, second, strict=True):
        if i < j:
            shared = shapes[i].intersection(shapes[j]).area
            worst = max(worst, shared / min(shapes[i].area, shapes[j].area))
    return worst


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("files", nargs="+", type=Path)
    words.add_argument("--seconds", nargs="+", type=float, default=[10.0])
    words.add_argument("--seeds", nargs="+", type=int, default=[1])
    words.add_argument("--turns", nargs="+", type=float)
    words.add_argument("--processes", type=int, default=2)
    given = words.parse_args()
    print(f"compiled in {warmed_up():.1f} s")
    for file in given.files:
        instance = json.loads(file.read_text(encoding="utf-8"))
        outlines, turns = [], []
        for item in instance["items"]:
            outlines += [item["shape"]["data"]] * item["demand"]
            turns += [given.turns or item["allowed_orientations"]] * item["demand"]
        reached: dict[float, list[float]] = {mark: [] for mark in given.seconds}
        for seed in given.seeds:
            began, lays = time.monotonic(), []
            for lay in lay_polygons(
                outlines, instance["strip_height"], turns, max(given.seconds), seed=seed,
                processes=given.processes,
            ):  # fmt: skip
                lays.append((time.monotonic() - began, lay))
            assert overlap(outlines, lays[-1][1]) < 1e-5
            for mark in given.seconds:
                reached[mark].append(max(la.density for at, la in lays if at <= mark))
        for mark, densities in reached.items():
            shown = " ".join(f"{100 * density:.2f}" for density in densities)
            median = 100 * statistics.median(densities)
            what = f"{file.stem:10} {len(outlines):3} polygons {mark:4.0f} s"
            print(f"{what}: median {median:.2f} % ({shown})", flush=True)


if __name__ == "__main__":
    main()
