"""How accurate each way of calibrating is, on two simulated rigs.

Run as `python -m tests.benchmarks.calibration_accuracy`.

For every case and both rigs (the project's own, and one of OpenCV's lenses, stronger ones, with
stronger keystone): the 95th percentile of the error over the lit area after the best rigid motion,
of a lit metre's error, each with its limit; the part of points and of metres whose truth lies in
the 95 % ellipse or bound, the points' with the standard deviation that the scenes show, since
points of one scene are right or wrong together; for photographs the ratio of the rms error to the
Cramer-Rao bound (`calibration_bounds`); the median time of one estimate. Seeds here are used in no
test. A figure beyond its limit is marked with `!`.

Options: a number of scenes (60), then words that choose cases by their names, `own` or `second` to
choose a rig, `seed=N` for other scenes, and `slip` or `timing`.
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from calibration import nudging, tape
from calibration.coverage import is_weak
from calibration.estimate import joint
from calibration.evidence import PhotoSight
from calibration.height import THICKNESS_SD, ProjectorHeight, raised
from calibration.rig import Table
from calibration.rig_scenes import random_rig
from calibration.table_map import TableMap
from tests.benchmarks.calibration_bounds import own_bound, second_bound
from tests.calibration.second_rig import SecondRig, lifted, second_rig, second_sights
from tests.calibration.sights import printed_points, screen_grid, sights
from tests.calibration.truth import AnyRig, held, lighting, lit, metres_off, off

A4 = printed_points(10, 6, 25.0)
A3 = printed_points(15, 10, 25.0)
EDGES = np.array([[-148.5, -105], [148.5, -105], [148.5, 105], [-148.5, 105.0]])
EDGE_NOISE = 2.0
"""Corners of a sheet met by its edges are so many times as noisy as a board's (from pictures)."""
MIDDLE = (-20.0, 20.0, 0.1)
APART = [("one", A4, (-500.0, -150.0, 0.1)), ("two", A4, (500.0, 150.0, 0.5))]
SCREEN = (1920, 1080)
Places = Sequence[tuple[str, np.ndarray, tuple[float, float, float]]]


@dataclass
class Outcome:
    """What one scene came to; `bound` is the least rms error there can be, mm."""

    table_map: TableMap
    rig: AnyRig
    bound: float | None = None
    seconds: float = 0.0
    weak: bool = False


def scene(
    seed: int, second: bool, count: int = 1, camera: str = "phone", bow: float = 0.0
) -> AnyRig:
    return second_rig(seed, count, camera, bow) if second else random_rig(seed, count, camera, bow)


def middle(rig: AnyRig) -> np.ndarray:
    return np.array([0.0, 0.0] if isinstance(rig, SecondRig) else [800.0, 450.0])


def photographs(rig: AnyRig, sheets: Places, noise: float, seed: int) -> tuple[PhotoSight, ...]:
    grid = screen_grid(SCREEN, 16, 9)
    if isinstance(rig, SecondRig):
        return second_sights(rig, grid, sheets, noise, seed)
    x0, y0 = middle(rig)
    placed = [(name, plane, (x + x0, y + y0, turn)) for name, plane, (x, y, turn) in sheets]
    return sights(rig, grid, placed, noise, seed)


Run = Callable[[int, bool], Outcome]


def photographed(
    count: int, sheets: Places, camera: str = "phone", bow: float = 0.0, noise: float = 0.03
) -> Run:
    def run(seed: int, second: bool) -> Outcome:
        rig = scene(seed, second, count, camera, bow)
        photos = photographs(rig, sheets, noise, seed)
        begun = time.process_time()
        found = joint(photos, SCREEN)
        seconds = time.process_time() - begun
        bound = None
        if not bow and isinstance(rig, SecondRig):
            places = {name: place for name, _, place in sheets}
            bound = second_bound(photos, rig, places, noise, 1.0 if camera == "phone" else 1.5)
        elif not bow:
            bound = own_bound(photos, rig, camera, noise)
        return Outcome(found.table_map, rig, bound, seconds, is_weak(found, photos))

    return run


def by_hand(columns: int, rows: int) -> Run:
    x, y = np.linspace(-600, 600, columns), np.linspace(-375, 375, rows)
    ruling = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)

    def run(seed: int, second: bool) -> Outcome:
        rig, chance = scene(seed, second), np.random.default_rng((seed, 1))
        marks = ruling + middle(rig)
        placed = lighting(rig, marks + chance.normal(0, 0.4, marks.shape))
        begun = time.process_time()
        found = nudging.solve(marks, placed, SCREEN, 0.4)
        return Outcome(found.table_map, rig, None, time.process_time() - begun)

    return run


def taped(error: float) -> Run:
    def run(seed: int, second: bool) -> Outcome:
        rig, lengths = lengths_of(seed, second, error)
        begun = time.process_time()
        found = tape.solve(tape.lit_marks(SCREEN), lengths, SCREEN, error)
        return Outcome(found.table_map, rig, None, time.process_time() - begun)

    return run


def lengths_of(seed: int, second: bool, error: float) -> tuple[AnyRig, list[tape.Length]]:
    rig, chance = scene(seed, second), np.random.default_rng((seed, 2))
    table = lit(rig, tape.lit_marks(SCREEN))
    return rig, [
        tape.Length(a, b, float(np.hypot(*(table[a] - table[b])) + chance.normal(0, error)))
        for a, b in tape.TEN_LENGTHS
    ]


def on_cloth(seed: int, second: bool) -> Outcome:
    flat = photographed(3, [("A3", A3, MIDDLE)], bow=1e-9)(seed, second)
    chance, rig = np.random.default_rng((seed, 3)), flat.rig
    lamp = rig.lamp.place if isinstance(rig, SecondRig) else rig.projector.view.position
    height = float(lamp[2]) + 40.0 * chance.choice([-1.0, 1.0])
    corrected = raised(flat.table_map, 5.0, ProjectorHeight(height, 40.0))
    cloth = 5.0 + chance.normal(0, THICKNESS_SD)  # as sure as the map is told it is
    upper = (
        lifted(rig, cloth)
        if isinstance(rig, SecondRig)
        else replace(rig, table=Table(raised=cloth))
    )
    return Outcome(corrected, upper, None, flat.seconds)


@dataclass
class Case:
    """How a case is run, its limits (p95 and metre, mm), and what else is wanted."""

    run: Run
    area: float
    metre: float
    weak: bool = False
    by_runs: bool = False


CASES = {
    "phone, 3 photographs, A4": Case(photographed(3, [("A4", A4, MIDDLE)]), 0.25, 0.35),
    "webcam, 3 photographs, A4": Case(
        photographed(3, [("A4", A4, MIDDLE)], "webcam", noise=0.06), 0.5, 0.7
    ),
    "phone, 4 photographs, bow 1.5 mm, A3": Case(
        photographed(4, [("A3", A3, MIDDLE)], bow=1.5), 0.5, 0.6, by_runs=True
    ),
    "phone, 1 photograph, A3": Case(photographed(1, [("A3", A3, MIDDLE)]), 0.6, 0.8),
    "phone, 1 photograph, two A4 apart": Case(photographed(1, APART), 0.3, 0.4),
    "phone, 1 photograph, A4": Case(photographed(1, [("A4", A4, MIDDLE)]), 0.8, np.inf, weak=True),
    "phone, 1 photograph, plain A4 sheet": Case(
        photographed(1, [("sheet", EDGES, MIDDLE)]), 2.0, np.inf, weak=True
    ),
    "by hand, 4 marks": Case(by_hand(2, 2), 1.4, 1.8),
    "by hand, 9 marks": Case(by_hand(3, 3), 0.9, 1.2),
    "by hand, 20 marks": Case(by_hand(5, 4), np.inf, np.inf),
    "tape, 10 lengths, 0.5 mm": Case(taped(0.5), 0.8, 1.2),
    "tape, 10 lengths, 1 mm": Case(taped(1.0), 1.3, 2.0),
    "5 mm cloth, height 40 mm off": Case(on_cloth, 0.3, 0.3),
}
HEAD = (
    f"{'case':37s}{'rig':7s}{'p95 mm':>13s}{'1 m, mm':>13s}{'points held':>15s}"
    f"{'metres held':>13s}{'rms/bound':>11s}{'CPU ms':>8s}"
)


def judged(name: str, case: Case, second: bool, scenes: int, first: int) -> None:
    outcomes = [case.run(first + index, second) for index in range(scenes)]
    errors = [off(found.table_map, found.rig) for found in outcomes]
    each = np.array([np.percentile(error, 95) for error in errors])
    area = np.percentile(each, 90) if case.by_runs else np.percentile(np.concatenate(errors), 95)
    metres, allowed = (
        np.concatenate(part)
        for part in zip(
            *(metres_off(found.table_map, found.rig) for found in outcomes), strict=True
        )
    )
    metre = float(np.percentile(np.abs(metres), 95))
    shares = 100 * np.array([held(found.table_map, found.rig).mean() for found in outcomes])
    inside, doubt = shares.mean(), shares.std() / np.sqrt(scenes)
    within = 100 * np.mean(np.abs(metres) <= allowed)
    bounds = [found.bound for found in outcomes if found.bound is not None]
    ratio = ""
    if bounds:
        rms = np.sqrt(np.mean(np.concatenate(errors) ** 2))
        value = float(rms / np.sqrt(np.mean(np.square(bounds))))
        ratio = f"{value:.2f}{' !'[int(value > 1.3)]}"
    seconds = np.median([found.seconds for found in outcomes])
    outside = " !"[int(not 90 <= inside <= 99)]
    print(
        f"{name:37s}{'second' if second else 'own':7s}{limited(area, case.area)}"
        f"{limited(metre, case.metre)}{inside:7.1f} ± {doubt:.1f}%{outside}"
        f"{within:12.1f}%{ratio:>11s}{1000 * seconds:8.0f}"
        + (f"  weak {100 * np.mean([o.weak for o in outcomes]):.0f} %" if case.weak else "")
        + ("  p95 of the worst tenth of runs" if case.by_runs else ""),
        flush=True,
    )


def limited(value: float, limit: float) -> str:
    told = (
        f"{value:.2f} / {limit:g}{' !'[int(value > limit)]}"
        if np.isfinite(limit)
        else f"{value:.2f}  "
    )
    return f"{told:>13s}"


def slips(second: bool, scenes: int, first: int) -> None:
    for error in (0.5, 1.0):
        named = alone = alarms = 0
        for seed in range(first, first + scenes):
            _, lengths = lengths_of(seed, second, error)
            chance = np.random.default_rng((seed, 5))
            marks = tape.lit_marks(SCREEN)
            alarms += bool(tape.solve(marks, lengths, SCREEN, error).suspects)
            slip = int(chance.integers(len(lengths)))
            longer = lengths[slip].length + 10.0 * chance.choice([-1.0, 1.0])
            lengths[slip] = replace(lengths[slip], length=float(longer))
            suspects = tape.solve(marks, lengths, SCREEN, error).suspects
            named += suspects[:1] == (slip,)
            alone += suspects == (slip,)
        print(
            f"{'second' if second else 'own'} rig: a 10 mm slip among 10 lengths of {error} mm: "
            f"named {100 * named / scenes:.0f} % (wanted 95), without a second suspect "
            f"{100 * alone / scenes:.0f} %, false alarms {100 * alarms / scenes:.0f} %",
            flush=True,
        )


def main() -> None:
    words = sys.argv[1:]
    scenes = next((int(word) for word in words if word.isdigit()), 60)
    first = next((int(word[5:]) for word in words if word.startswith("seed=")), 90_000)
    rigs = [word == "second" for word in words if word in ("own", "second")] or [False, True]
    chosen = [w for w in words if not w.isdigit() and w not in ("own", "second") and "=" not in w]
    print(HEAD)
    for index, (name, case) in enumerate(CASES.items()):
        if not chosen or any(word in name for word in chosen):
            for second in rigs:
                judged(name, case, second, scenes, first + 1000 * index)
    if not chosen or "slip" in chosen:
        for second in rigs:
            slips(second, scenes, first + 20_000)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory {peak:.0f} MB")


if __name__ == "__main__":
    main()
