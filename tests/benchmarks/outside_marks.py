"""By hand and by tape judged from outside, with the lamp of `outside_rig`.

    python -m tests.benchmarks.outside_marks --scenes 200 --lens 0.012

`--lens` is the deviation of the projector's k1, as OpenCV writes it.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from calibration import nudging, tape
from calibration.table_map import TableMap, table_points
from calibration.uncertainty import point_covariance
from tests.benchmarks.outside_rig import SCREEN, Eye, projector, rigid

LENGTHS = ((0, 2), (6, 8), (0, 6), (2, 8), (0, 8), (2, 6), (1, 7), (3, 5), (1, 4), (4, 5))


def lamp_of(rng: np.random.Generator, lens: float) -> Eye:
    lamp = projector(rng)
    return replace(lamp, bent=np.array([rng.normal(0, lens), rng.normal(0, 0.01), 0, 0, 0]))


def by_hand(columns: int, rows: int) -> Callable[[np.random.Generator, Eye], TableMap]:
    def made(rng: np.random.Generator, lamp: Eye) -> TableMap:
        x, y = np.meshgrid(np.linspace(0, 1200, columns), np.linspace(0, 750, rows))
        marks = np.column_stack([x.ravel(), y.ravel()])
        middle = lamp.table(np.array([[959.5, 539.5]]))[0]
        places = marks - marks.mean(0) + middle + rng.normal(0, 0.4, marks.shape)
        return nudging.solve(marks, np.round(lamp.pixels(places), 1), SCREEN, 0.4).table_map

    return made


def taped(error: float) -> Callable[[np.random.Generator, Eye], TableMap]:
    def made(rng: np.random.Generator, lamp: Eye) -> TableMap:
        marks = tape.lit_marks(SCREEN)
        return tape.solve(marks, read(rng, lamp, error), SCREEN, error).table_map

    return made


def read(rng: np.random.Generator, lamp: Eye, error: float) -> list[tuple[int, int, float]]:
    places = lamp.table(tape.lit_marks(SCREEN))
    return [
        (a, b, float(np.hypot(*(places[b] - places[a])) + rng.normal(0, error))) for a, b in LENGTHS
    ]


CASES = {
    "hand 4 (1.4 1.8)": by_hand(2, 2),
    "hand 9 (0.9 1.2)": by_hand(3, 3),
    "tape 0.5 (0.8 1.2)": taped(0.5),
    "tape 1.0 (1.3 2.0)": taped(1.0),
}


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--scenes", type=int, default=60)
    words.add_argument("--seed", type=int, default=5000)
    words.add_argument("--lens", type=float, default=0.012)
    given = words.parse_args()
    x, y = np.meshgrid(np.linspace(20, 1900, 24), np.linspace(20, 1060, 14))
    pixels = np.column_stack([x.ravel(), y.ravel()])
    a, b = np.random.default_rng(1).integers(0, len(pixels), (2, 4000))
    for name, made in CASES.items():
        errors, metres, held = [], [], []
        for seed in range(given.seed, given.seed + given.scenes):
            rng = np.random.default_rng(seed)
            lamp = lamp_of(rng, given.lens)
            table_map = made(rng, lamp)
            true, found = lamp.table(pixels), table_points(table_map, pixels)
            off = rigid(found, true)
            errors.append(np.hypot(*off.T))
            apart = np.hypot(*(true[a] - true[b]).T)
            kept = apart > 700
            metres.append(
                1000 * np.abs(np.hypot(*(found[a] - found[b]).T) - apart)[kept] / apart[kept]
            )
            within = np.linalg.inv(point_covariance(table_map, found))
            held.append(np.einsum("ni,nij,nj->n", off, within, off) < 5.991)
        each = [np.quantile(part, 0.95) for part in errors]
        print(
            f"{name:20} p95 {np.quantile(np.concatenate(errors), 0.95):.2f} mm (median scene "
            f"{np.median(each):.2f}), 1 m {np.quantile(np.concatenate(metres), 0.95):.2f} mm, "
            f"held {np.concatenate(held).mean():.1%}"
        )
    named = 0
    for seed in range(given.seed, given.seed + given.scenes):
        rng = np.random.default_rng(seed)
        lamp = lamp_of(rng, given.lens)
        lengths = read(rng, lamp, 0.5)
        slip = int(rng.integers(10))
        first, second, length = lengths[slip]
        lengths[slip] = (first, second, length + 10.0 * rng.choice([-1, 1]))
        suspects = tape.solve(tape.lit_marks(SCREEN), lengths, SCREEN, 0.5).suspects
        named += suspects[:1] == (slip,)
    print(f"slip of 10 mm named first: {named / given.scenes:.1%}")


if __name__ == "__main__":
    main()
