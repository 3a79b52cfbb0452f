"""2,000 random bodies at random lifts: are all drafts whole, and how long does one take?

`python -m tests.benchmarks.random_bodies`. Bodies from the means, deviations and correlations
of bust, waist, hip and height of ANSUR II women (Gordon et al. 2014, NATICK/TR-15/007).
"""

from __future__ import annotations

import math
import time

import numpy as np
import shapely

from drafting.allowance import cutting_line
from drafting.draft import draft
from drafting.edge import edge_length, tangent_along
from drafting.piece import Piece, edge_named
from drafting.style import Style
from drafting.survey import estimated_body

MEASURES = ("bust", "waist", "hip", "height")
MEANS = (946.9, 860.9, 1021.2, 1628.5)
DEVIATIONS = np.array([82.7, 99.9, 75.9, 64.2])
CORRELATION = np.array(
    [[1, 0.84, 0.74, 0.26], [0.84, 1, 0.8, 0.23], [0.74, 0.8, 1, 0.38], [0.26, 0.23, 0.38, 1]]
)
SQUARE = (
    ("underarm", "wrist"),
    ("wrist", "overarm"),
    ("overarm", "neckline"),
    ("neckline", "centre"),
    ("centre", "hem"),
    ("hem", "side"),
)


def off_square(piece: Piece) -> float:
    """The worst corner's distance from 90 degrees, in degrees."""
    worst = 0.0
    for first, second in SQUARE:
        edge = edge_named(piece, first)
        leave = tangent_along(edge, edge_length(edge))
        enter = tangent_along(edge_named(piece, second), 0.0)
        worst = max(worst, abs(math.degrees(math.asin(leave.dot(enter)))))
    return worst


def main(count: int = 2000) -> None:
    chance = np.random.default_rng(5)
    covariance = CORRELATION * np.outer(DEVIATIONS, DEVIATIONS)
    bodies = chance.multivariate_normal(MEANS, covariance, count)
    seconds, corner, walk, loops = [], 0.0, 0.0, 0
    for sizes, lift in zip(bodies, chance.random(count), strict=True):
        measured = dict(zip(MEASURES, map(float, sizes), strict=True))
        began = time.perf_counter()
        pieces = draft(estimated_body(measured), Style(lift=float(lift))).pieces
        lines = [cutting_line(piece, 0.1) for piece in pieces]
        seconds.append(time.perf_counter() - began)
        for piece, line in zip(pieces, lines, strict=True):
            corner = max(corner, off_square(piece))
            loops += not shapely.LinearRing([(p.x, p.y) for p in line]).is_simple
        for name in ("overarm", "underarm", "side"):
            back, front = (edge_length(edge_named(piece, name)) for piece in pieces)
            walk = max(walk, abs(back - front))
    print(f"{count} drafts with cutting lines, median {1000 * np.median(seconds):.1f} ms")
    print(f"worst corner {corner:.2e} degrees off, seams {walk:.2e} mm apart, {loops} loops")


if __name__ == "__main__":
    main()
