"""2,000 random bodies at random lifts: are all drafts whole, and how long does one take?

`python -m tests.benchmarks.random_bodies`. Bodies from the means, deviations and correlations
of twelve measurements of ANSUR II women (Gordon et al. 2014, NATICK/TR-15/007), once with all of
them measured and once with bust, waist, hip and height alone.
"""

from __future__ import annotations

import math
import sys
import time

import numpy as np
import shapely

from drafting.allowance import cutting_line
from drafting.body import RANGES
from drafting.draft import Draft, draft
from drafting.edge import edge_length, tangent_along
from drafting.piece import Piece, edge_named
from drafting.style import Style
from drafting.survey import estimated_body

MEASURES = (
    "bust", "waist", "hip", "height", "head", "neck", "shoulder", "across_back",
    "nape_to_waist", "arm", "upper_arm", "wrist",
)  # fmt: skip
MEANS = (946.9, 860.9, 1021.2, 1628.5, 561.1, 371.2, 135.4, 373.4, 425.4, 543.6, 305.6, 154.8)
DEVIATIONS = (82.7, 99.9, 75.9, 64.2, 19.4, 19.7, 10.3, 29.8, 26.4, 29.4, 30.8, 7.8)
CORRELATION = (
    (1, 0.84, 0.74, 0.26, 0.21, 0.66, 0.13, 0.63, 0.47, 0.24, 0.75, 0.52),
    (0.84, 1, 0.8, 0.23, 0.2, 0.62, 0.1, 0.57, 0.6, 0.22, 0.76, 0.49),
    (0.74, 0.8, 1, 0.38, 0.27, 0.61, 0.17, 0.54, 0.47, 0.34, 0.79, 0.56),
    (0.26, 0.23, 0.38, 1, 0.31, 0.41, 0.4, 0.25, 0.5, 0.79, 0.25, 0.54),
    (0.21, 0.2, 0.27, 0.31, 1, 0.35, 0.2, 0.19, 0.16, 0.35, 0.27, 0.33),
    (0.66, 0.62, 0.61, 0.41, 0.35, 1, 0.12, 0.54, 0.47, 0.36, 0.63, 0.61),
    (0.13, 0.1, 0.17, 0.4, 0.2, 0.12, 1, 0.27, 0.2, 0.35, 0.12, 0.29),
    (0.63, 0.57, 0.54, 0.25, 0.19, 0.54, 0.27, 1, 0.34, 0.23, 0.53, 0.41),
    (0.47, 0.6, 0.47, 0.5, 0.16, 0.47, 0.2, 0.34, 1, 0.32, 0.41, 0.43),
    (0.24, 0.22, 0.34, 0.79, 0.35, 0.36, 0.35, 0.23, 0.32, 1, 0.25, 0.44),
    (0.75, 0.76, 0.79, 0.25, 0.27, 0.63, 0.12, 0.53, 0.41, 0.25, 1, 0.6),
    (0.52, 0.49, 0.56, 0.54, 0.33, 0.61, 0.29, 0.41, 0.43, 0.44, 0.6, 1),
)
SMOOTH = {("side", "underarm")}
"""The contour runs on here; every other corner is square."""


def random_bodies(count: int, seed: int) -> list[dict[str, float]]:
    """Measurements drawn from the survey; redrawn where one is not a person's."""
    chance = np.random.default_rng(seed)
    covariance = np.array(CORRELATION) * np.outer(DEVIATIONS, DEVIATIONS)
    bodies: list[dict[str, float]] = []
    while len(bodies) < count:
        sizes = chance.multivariate_normal(MEANS, covariance)
        body = dict(zip(MEASURES, map(float, sizes), strict=True))
        if all(RANGES[name][0] <= size <= RANGES[name][1] for name, size in body.items()):
            bodies.append(body)
    return bodies


def off_square(piece: Piece) -> float:
    """The worst corner's distance from 90 degrees, or from smooth, in degrees."""
    worst = 0.0
    for before, after in zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True):
        leave, enter = tangent_along(before, edge_length(before)), tangent_along(after, 0.0)
        turn = math.degrees(math.atan2(leave.cross(enter), leave.dot(enter)))
        wanted = 0.0 if (before.name, after.name) in SMOOTH else 90.0
        worst = max(worst, abs(turn - wanted))
    return worst


def apart(made: Draft) -> float:
    """How far the seams of back and front differ at most, mm."""
    back, front = made.pieces[0], made.pieces[1]
    names = ("overarm", "underarm", "side", "hem", "wrist")
    sizes = [[edge_length(edge_named(p, name)) for p in (back, front)] for name in names]
    return max(abs(a - b) for a, b in sizes)


def main(count: int = 2000) -> None:
    """Draft, measure, and print what was found."""
    bodies = random_bodies(count, 5)
    for title, names in (("all measured", MEASURES), ("four measured", MEASURES[:4])):
        lifts = np.random.default_rng(6).random(count)
        drafting, whole = [], []
        corner = walk = 0.0
        loops = stops = 0
        for body, lift in zip(bodies, lifts, strict=True):
            began = time.perf_counter()
            known = estimated_body({name: body[name] for name in names})
            made = draft(known, Style(lift=float(lift)))
            drafting.append(time.perf_counter() - began)
            lines = [cutting_line(piece, 0.1) for piece in made.pieces]
            whole.append(time.perf_counter() - began)
            walk = max(walk, apart(made))
            stops += any(finding.severity == "stop" for finding in made.findings)
            for piece, line in zip(made.pieces, lines, strict=True):
                corner = max(corner, off_square(piece))
                ring = shapely.LinearRing([(p.x, p.y) for p in line])
                loops += not (ring.is_simple and ring.is_ccw)
        print(f"{count} bodies, {title}: every draft closed and simple, {stops} stopped")
        times = [1000 * float(np.median(seconds)) for seconds in (drafting, whole)]
        print(f"  median {times[0]:.1f} ms a draft, {times[1]:.1f} ms with its cutting lines")
        print(f"  corners {corner:.1e} degrees off, seams {walk:.1e} mm apart, {loops} loops")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
