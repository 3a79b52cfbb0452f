"""Densities reached on plain instances of irregular strip packing, beside a general library.

    python -m tests.benchmarks.packing FILE... --seconds 10 30 60 --seeds 1 2 3 --turns 0 180

A file is JSON with `strip_height` and `items`, each with `demand`, `allowed_orientations` and
`shape.data`. Turns of the file are used where --turns is left out. Wall time is counted and two
processes search, so run nothing else beside it; where something else runs, read the processor
seconds that each side got. A general strip-packing library from the package index, spyrrow, is
run with as many threads in the same minutes where it is installed; the product does not need it.
It plans its work for the time it is given, so it is run anew for each number of seconds.
"""

from __future__ import annotations

import argparse
import importlib
import json
import resource
import statistics
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import shapely
from shapely import affinity

from projector.cloth.plain_lay import PlainLay, lay_polygons, warmed_up

PUBLISHED = {
    "albano": 89.6, "dagli": 89.5, "mao": 85.4, "marques": 91.0, "trousers": 91.5,
    "shirts": 89.7, "swim": 77.5, "jakobs1": 89.1,
}  # fmt: skip
"""Best densities of the literature, %, from memory; mao and jakobs1 with quarter turns."""


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


def ours(
    instance: dict[str, Any], turns: list[float] | None, marks: list[float], seed: int, count: int
) -> list[float]:
    """Density reached at each number of seconds, from one run."""
    outlines, ways = [], []
    for item in instance["items"]:
        outlines += [item["shape"]["data"]] * item["demand"]
        ways += [turns or item["allowed_orientations"]] * item["demand"]
    began, lays = time.monotonic(), []
    for lay in lay_polygons(
        outlines, instance["strip_height"], ways, max(marks), seed=seed, processes=count
    ):
        lays.append((time.monotonic() - began, lay))
    assert overlap(outlines, lays[-1][1]) < 1e-5
    return [max(la.density for at, la in lays if at <= mark) for mark in marks]


def general(
    library: Any, instance: dict[str, Any], turns: list[float] | None, mark: float, seed: int,
    count: int,
) -> float:  # fmt: skip
    """Density the general library reaches in some seconds, with as many threads."""
    items = [
        library.Item(
            str(k), [tuple(point) for point in item["shape"]["data"]], item["demand"],
            turns or item["allowed_orientations"],
        )
        for k, item in enumerate(instance["items"])
    ]  # fmt: skip
    strip = library.StripPackingInstance("strip", instance["strip_height"], items)
    config = library.StripPackingConfig(
        early_termination=False, total_computation_time=int(mark), num_workers=count, seed=seed
    )
    return float(strip.solve(config).density)


def processor_seconds(work: Callable[..., Any], *details: Any) -> tuple[Any, float]:
    """What some work returns, and the processor seconds that it and its processes took."""

    def used() -> float:
        both = (resource.getrusage(w) for w in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
        return sum(usage.ru_utime + usage.ru_stime for usage in both)

    before = used()
    done = work(*details)
    return done, used() - before


def shown(densities: list[float]) -> str:
    each = " ".join(f"{100 * density:.2f}" for density in densities)
    return f"{100 * statistics.median(densities):.2f} ({each})"


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("files", nargs="+", type=Path)
    words.add_argument("--seconds", nargs="+", type=float, default=[10.0])
    words.add_argument("--seeds", nargs="+", type=int, default=[1])
    words.add_argument("--turns", nargs="+", type=float)
    words.add_argument("--processes", type=int, default=2)
    words.add_argument("--alone", action="store_true", help="leave the general library out")
    given = words.parse_args()
    library = None
    if not given.alone:
        try:
            library = importlib.import_module("spyrrow")
        except ImportError:
            print("general library: not installed")
    print(f"compiled in {warmed_up():.1f} s; densities in %, median (each seed)")
    marks, medians = given.seconds, [[[], []] for _ in given.seconds]
    for file in given.files:
        instance = json.loads(file.read_text(encoding="utf-8"))
        reached: list[list[float]] = [[] for _ in marks]
        theirs: list[list[float]] = [[] for _ in marks]
        seconds, their_seconds = 0.0, 0.0
        for seed in given.seeds:
            run = instance, given.turns
            values, used = processor_seconds(ours, *run, marks, seed, given.processes)
            seconds += used
            for mark, value, found, other in zip(marks, values, reached, theirs, strict=True):
                found.append(value)
                if library is not None:
                    density, used = processor_seconds(
                        general, library, *run, mark, seed, given.processes
                    )
                    other.append(density)
                    their_seconds += used
        pieces = sum(item["demand"] for item in instance["items"])
        print(f"{file.stem}, {pieces} polygons", end="")
        print(f", published {PUBLISHED[file.stem]}" if file.stem in PUBLISHED else "")
        for mark, found, other, both in zip(marks, reached, theirs, medians, strict=True):
            both[0].append(statistics.median(found))
            line = f"  {mark:4.0f} s: {shown(found)}"
            if other:
                both[1].append(statistics.median(other))
                line += f"   general library {shown(other)}"
            print(line)
        wall, runs = max(marks) * len(given.seeds), sum(marks) * len(given.seeds)
        print(f"  processor seconds in each of the clock: {seconds / wall:.2f}", end="")
        print(f", general library {their_seconds / runs:.2f}" if library else "", flush=True)
    for mark, (found, other) in zip(marks, medians, strict=True):
        line = f"median over instances {mark:4.0f} s: {100 * statistics.median(found):.2f}"
        if other:
            ahead = sum(a > b for a, b in zip(found, other, strict=True))
            line += f"   general library {100 * statistics.median(other):.2f}"
            line += f"   ahead on {ahead} of {len(found)}"
        print(line)


if __name__ == "__main__":
    main()
