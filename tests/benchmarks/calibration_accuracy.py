"""How accurate each way of calibrating is, on simulated tables.

Run as `python -m tests.benchmarks.calibration_accuracy`.

For every case: the 95th percentile of the error over the lit area after the best rigid motion, of a
lit metre's error, the part of points (and metres) whose truth lies in the 95 % ellipse (or bound),
for photographs the ratio of the rms error to the Cramer-Rao bound of a model that holds exactly
what varies in the scenes, and the time of one estimate. Seeds here are used in no test.

Options: a number of scenes (60), then words that choose cases by their names.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from calibration import nudging, tape
from calibration.adjustment import Judgement, Priors, adjusted
from calibration.beliefs import priors
from calibration.estimate import joint
from calibration.evidence import PhotoSight
from calibration.findings import is_weak
from calibration.height import ProjectorHeight, raised
from calibration.judging import map_with_terms
from calibration.rig import Rig, Table, true_screen_points, true_table_points
from calibration.rig_scenes import random_rig, screen_grid, sheet_points, sights
from calibration.scene import arranged, with_lens_centre
from calibration.starting import started
from calibration.table_map import TableMap
from calibration.uncertainty import free_covariance, moves
from tests.calibration.truth import held, metres_off, off

A4 = sheet_points(10, 6, 25.0)
A3 = sheet_points(15, 10, 25.0)
EDGES = np.array([[-148.5, -105], [148.5, -105], [148.5, 105], [-148.5, 105.0]])
MIDDLE = (780.0, 470.0, 0.1)
SCREEN = (1920, 1080)


@dataclass
class Outcome:
    table_map: TableMap
    rig: Rig
    bound: float | None = None
    seconds: float = 0.0
    weak: bool = False


def photographed(
    count: int, sheets: list, camera: str = "phone", bow: float = 0.0, noise: float = 0.03
) -> Callable[[int], Outcome]:
    def run(seed: int) -> Outcome:
        rig = random_rig(seed, count, camera, bow)
        photos = sights(rig, screen_grid(SCREEN, 16, 9), sheets, noise, seed)
        begun = time.perf_counter()
        found = joint(photos, SCREEN)
        seconds = time.perf_counter() - begun
        bound = None if bow else _bound(photos, rig, camera, noise)
        return Outcome(found.table_map, rig, bound, seconds, is_weak(found, photos))

    return run


def _bound(photos: tuple[PhotoSight, ...], rig: Rig, camera: str, noise: float) -> float:
    """The least rms error over the lit area, mm, of any estimate (Bayesian Cramer-Rao bound).

    The information of the corners at their true noise and of the very widths that the scenes are
    drawn from; the projector's lens is radial about a shifted centre.
    """
    focal = rig.camera.focal_px
    start = started(photos, SCREEN, arranged(photos), focal, False)
    known = priors(start, photos, focal, True, keystone_sd=1e-9)
    sd = known.sd.copy()
    size = photos[0].photo_size[0]
    sd[0] = 0.035 if camera == "phone" else 0.056
    sd[1:4] = (0.03, 0.03, 0.01) if camera == "phone" else (0.08, 0.05, 0.01)
    sd[4:8] = [0.006 * size] * 2 + [5e-4 if camera == "phone" else 1e-3] * 2
    of_map = start.layout.table_map
    sd[of_map][8:12] = (0.0028, 0.0003, 0.02, 0.34)
    told = Priors(known.mean, sd)
    shift = (np.array(rig.projector.lens.centre_px) - (np.array(SCREEN) - 1) / 2) / (
        np.hypot(*SCREEN) / 2
    )
    near = adjusted(with_lens_centre(start, float(shift[1])), photos, known)
    judgement = Judgement(
        tuple(noise for _ in near.blocks),
        tuple(np.ones(len(block.residuals), bool) for block in near.blocks),
    )
    there = adjusted(near.scene, photos, known, judgement)
    table_map = map_with_terms(there, told, judgement)
    field = moves(table_map, screen_grid(SCREEN, 13, 9, 0.0))
    free = free_covariance(table_map, table_map.covariance)
    return float(np.sqrt(np.einsum("nim,mk,nik->", field, free, field) / len(field)))


def by_hand(columns: int, rows: int) -> Callable[[int], Outcome]:
    x, y = np.linspace(200, 1400, columns), np.linspace(75, 825, rows)
    marks = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)

    def run(seed: int) -> Outcome:
        rig, chance = random_rig(seed), np.random.default_rng((seed, 1))
        placed = true_screen_points(rig, marks + chance.normal(0, 0.4, marks.shape))
        begun = time.perf_counter()
        found = nudging.solve(marks, placed, SCREEN, 0.4)
        return Outcome(found.table_map, rig, None, time.perf_counter() - begun)

    return run


def taped(error: float) -> Callable[[int], Outcome]:
    def run(seed: int) -> Outcome:
        rig, lengths = _lengths(seed, error)
        begun = time.perf_counter()
        found = tape.solve(tape.lit_marks(SCREEN), lengths, SCREEN, error)
        return Outcome(found.table_map, rig, None, time.perf_counter() - begun)

    return run


def _lengths(seed: int, error: float) -> tuple[Rig, list[tape.Length]]:
    rig, chance = random_rig(seed), np.random.default_rng((seed, 2))
    table = true_table_points(rig, tape.lit_marks(SCREEN))
    return rig, [
        tape.Length(a, b, float(np.hypot(*(table[a] - table[b])) + chance.normal(0, error)))
        for a, b in tape.TEN_LENGTHS
    ]


def on_cloth(seed: int) -> Outcome:
    flat = photographed(3, [("A3", A3, MIDDLE)])(seed)
    chance = np.random.default_rng((seed, 3))
    height = float(flat.rig.projector.view.position[2]) + 40.0 * chance.choice([-1.0, 1.0])
    corrected = raised(flat.table_map, 5.0, ProjectorHeight(height, 40.0))
    rig = replace(flat.rig, table=Table(raised=5.0))
    return Outcome(corrected, rig, None, flat.seconds)


CASES: dict[str, tuple[Callable[[int], Outcome], str]] = {
    "phone, 3 photographs, A4": (photographed(3, [("A4", A4, MIDDLE)]), "0.25 / 0.35"),
    "webcam, 3 photographs, A4": (
        photographed(3, [("A4", A4, MIDDLE)], "webcam", noise=0.06), "0.5 / 0.7",
    ),
    "phone, 4 photographs, bow 1.5 mm, A3": (
        photographed(4, [("A3", A3, MIDDLE)], bow=1.5), "0.5 in 90 % of runs / 0.6",
    ),
    "phone, 1 photograph, A3": (photographed(1, [("A3", A3, MIDDLE)]), "0.6 / 0.8"),
    "phone, 1 photograph, two A4 apart": (
        photographed(1, [("one", A4, (300.0, 300.0, 0.1)), ("two", A4, (1300.0, 600.0, 0.5))]),
        "0.3 / 0.4",
    ),
    "phone, 1 photograph, A4": (photographed(1, [("A4", A4, MIDDLE)]), "0.8 / -, weak"),
    "phone, 1 photograph, plain A4 sheet": (
        photographed(1, [("sheet", EDGES, MIDDLE)]), "2 / -, weak",
    ),
    "by hand, 4 marks": (by_hand(2, 2), "1.4 / 1.8"),
    "by hand, 9 marks": (by_hand(3, 3), "0.9 / 1.2"),
    "by hand, 20 marks": (by_hand(5, 4), "-"),
    "tape, 10 lengths, 0.5 mm": (taped(0.5), "0.8 / 1.2"),
    "tape, 10 lengths, 1 mm": (taped(1.0), "1.3 / 2.0"),
    "5 mm cloth, height 40 mm off": (on_cloth, "0.3 / 0.3"),
}  # fmt: skip


def judged(name: str, run: Callable[[int], Outcome], wanted: str, scenes: int, first: int) -> None:
    outcomes = [run(first + index) for index in range(scenes)]
    errors = [off(found.table_map, found.rig) for found in outcomes]
    each = np.array([np.percentile(error, 95) for error in errors])
    metres = [np.abs(metres_off(found.table_map, found.rig)) for found in outcomes]
    inside = np.mean([held(found.table_map, found.rig) for found in outcomes])
    bounds = [found.bound for found in outcomes if found.bound is not None]
    line = (
        f"{name:38s} p95 {np.percentile(np.concatenate(errors), 95):.2f}  runs below 0.5: "
        f"{100 * np.mean(each <= 0.5):3.0f} %  1 m {np.percentile(np.concatenate(metres), 95):.2f}"
        f"  [{wanted}]  ellipse holds {100 * inside:.1f} %"
    )
    if bounds:
        rms = np.sqrt(np.mean(np.concatenate(errors) ** 2))
        line += f"  rms / bound {rms / np.sqrt(np.mean(np.square(bounds))):.2f}"
    if "weak" in wanted:
        line += f"  called weak {100 * np.mean([found.weak for found in outcomes]):.0f} %"
    seconds = [found.seconds for found in outcomes]
    print(f"{line}  {1000 * np.median(seconds):.0f} ms", flush=True)


def slips(scenes: int, first: int) -> None:
    for error in (0.5, 1.0):
        named = alone = alarms = 0
        for seed in range(first, first + scenes):
            _, lengths = _lengths(seed, error)
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
            f"10 mm slip among 10 lengths of {error} mm: named {100 * named / scenes:.0f} %, "
            f"without a second suspect {100 * alone / scenes:.0f} %, "
            f"false alarms {100 * alarms / scenes:.0f} %",
            flush=True,
        )


def main() -> None:
    scenes = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    words = sys.argv[2:]
    for index, (name, (run, wanted)) in enumerate(CASES.items()):
        if not words or any(word in name for word in words):
            judged(name, run, wanted, scenes, 90_000 + 1000 * index)
    if not words or "slip" in words:
        slips(scenes, 99_000)


if __name__ == "__main__":
    main()
