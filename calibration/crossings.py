"""Crossings of a checkerboard that are seen though no marker of it can be read.

Where two edges of a board cross, the picture is a saddle, however blurred or slanted. Two crossings
that an edge joins are saddles of opposite sense: black lies to the other hand. Crossings that have
such neighbours along both their edges tell how large, how slanted and how blurred a board is shown.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calibration.homography import Array
from calibration.light import linear, reduced, sampled, whole_points

__all__ = ["BLURS_PX", "Lattice", "crossings", "seen_lattice"]

FEWEST = 12
SIDE = 1600
"""The picture is looked at in no more pixels a side."""
BLURS_PX = (7.0, 3.5, 1.75)
"""The saddles are looked for at these blurs, the coarsest first: it overlooks the markers."""
LEAST_STEP = 8.0
"""Levels from black to white, of 255, below which nothing is told from noise."""
LEAST_ANGLE = 0.25
"""Sine of the angle between both edges, as seen, below which they are taken for one."""
UNEVEN = 0.5
"""Logarithm of the most that neighbouring squares may differ in size."""
MOST = 1500
RING = 32


@dataclass(frozen=True, slots=True)
class Lattice:
    """What the crossings of one board tell: medians over them, by the area of their squares.

    So what is small in a board (its markers) counts little.

    Parameters
    ----------
    count
        Crossings with neighbours along both edges.
    long_px, short_px
        Distance of neighbours along one edge and the other.
    slant
        Height over width of a square as it is seen: area over the square of its long side; 1
        from above.
    blur_px
        Of edges, standard deviation, the worse of the two ways.
    contrast
        Step from black to white in light, part of the white.
    """

    count: int
    long_px: float
    short_px: float
    slant: float
    blur_px: float
    contrast: float


def seen_lattice(grey: npt.NDArray[np.uint8]) -> Lattice | None:
    """The lattice of crossings in a grey picture (h, w); None when there is none to speak of."""
    small, scale = reduced(grey, SIDE)
    for blur in BLURS_PX:
        joined = _joined(*_saddles(small, blur))
        if joined is not None:
            points, one, other = joined
            return _measured(linear(small), points, one, other, scale)
    return None


def crossings(grey: npt.NDArray[np.uint8], blur_px: float) -> tuple[Array, Array, Array] | None:
    """Crossings with neighbours (n, 2), pixels of a grey picture (h, w), and the ways (n, 2) to
    those along both edges; looked for at a blur of `blur_px`, one of `BLURS_PX`."""
    small, scale = reduced(grey, SIDE)
    joined = _joined(*_saddles(small, blur_px))
    if joined is None:
        return None
    points, one, other = joined
    return whole_points(points, scale), one / scale, other / scale


def _saddles(picture: npt.NDArray[np.uint8], blur: float) -> tuple[Array, Array]:
    """Places (n, 2), and the angle of the axis through white (n,)."""
    soft = cv2.GaussianBlur(picture.astype(np.float32), (0, 0), blur)
    xx = cv2.Sobel(soft, cv2.CV_32F, 2, 0, ksize=5, scale=1 / 64)
    yy = cv2.Sobel(soft, cv2.CV_32F, 0, 2, ksize=5, scale=1 / 64)
    xy = cv2.Sobel(soft, cv2.CV_32F, 1, 1, ksize=5, scale=1 / 64)
    # At a crossing of black and white, blurred, this is the step from one to the other over 2 pi.
    strength = np.sqrt(np.maximum(xy * xy - xx * yy, 0.0)) * blur * blur
    reach = 2 * round(1.5 * blur) + 1
    peak = strength >= cv2.dilate(strength, np.ones((reach, reach), np.uint8))
    rows, columns = np.nonzero(peak & (strength > LEAST_STEP / (2.0 * np.pi)))
    rim = round(3.0 * blur) + 1
    inside = (rows > rim) & (columns > rim)
    inside &= (rows < picture.shape[0] - rim - 1) & (columns < picture.shape[1] - rim - 1)
    rows, columns = rows[inside], columns[inside]
    found = strength[rows, columns]
    if len(found) == 0:
        return np.zeros((0, 2)), np.zeros(0)
    strong = np.argsort(-found)[:MOST]
    strong = strong[found[strong] > 0.15 * np.percentile(found[strong], 95.0)]
    rows, columns = rows[strong], columns[strong]
    crossed = _crossed(soft, rows, columns, 2.5 * blur)
    rows, columns = rows[crossed], columns[crossed]
    a, b, c = (part[rows, columns].astype(np.float64) for part in (xx, xy, yy))
    axis = 0.5 * np.arctan2(2.0 * b, a - c)
    return np.column_stack([columns, rows]).astype(np.float64), axis


def _crossed(
    soft: npt.NDArray[np.float32], rows: npt.NDArray[np.intp], columns: npt.NDArray[np.intp],
    radius: float,
) -> npt.NDArray[np.bool_]:  # fmt: skip
    """Where a ring round the place goes from light to dark four times, alike on both sides."""
    turn = np.arange(RING) * 2.0 * np.pi / RING
    x = (columns[:, None] + radius * np.cos(turn)).astype(np.float32)
    y = (rows[:, None] + radius * np.sin(turn)).astype(np.float32)
    ring = cv2.remap(soft, x, y, cv2.INTER_LINEAR)
    level = ring - (ring.max(axis=1, keepdims=True) + ring.min(axis=1, keepdims=True)) / 2.0
    changes = (np.sign(level) != np.sign(np.roll(level, 1, axis=1))).sum(axis=1)
    apart = np.abs(ring - np.roll(ring, RING // 2, axis=1)).mean(axis=1)
    out: npt.NDArray[np.bool_] = (changes == 4) & (apart < 0.3 * np.ptp(ring, axis=1))
    return out


def _joined(places: Array, axes: Array) -> tuple[Array, Array, Array] | None:
    """Places (m, 2) of crossings with neighbours, and the ways (m, 2) to those along each edge."""
    if len(places) < FEWEST:
        return None
    way = places[None, :] - places[:, None]
    far = np.hypot(way[..., 0], way[..., 1])
    # Opposite senses: the white axes stand square to each other.
    opposite = np.abs(np.sin(axes[None, :] - axes[:, None])) > 0.8
    here = np.arange(len(places))
    np.fill_diagonal(far, np.inf)
    near = np.where(opposite, far, np.inf)
    first = near.argmin(axis=1)
    one = way[here, first]
    along = one / np.maximum(np.hypot(*one.T), 1e-9)[:, None]
    aside = np.abs(way[..., 0] * along[:, None, 1] - way[..., 1] * along[:, None, 0])
    near = np.where(aside > LEAST_ANGLE * far, near, np.inf)
    second = near.argmin(axis=1)
    other = way[here, second]
    good = np.isfinite(near.min(axis=1))
    # A neighbour's own nearest is as far away; that of chance is not.
    lengths = np.hypot(*one.T), np.hypot(*other.T)
    for length, neighbour in ((lengths[0], first), (lengths[1], second)):
        good &= np.abs(np.log((length + 1e-9) / (length[neighbour] + 1e-9))) < UNEVEN
    if good.sum() < max(FEWEST, 0.25 * len(places)):
        return None
    places, one, other = places[good], one[good], other[good]
    # Which edge is the nearer changes over the board: they are told apart by their direction.
    ways = np.stack([one, other], axis=1)
    size = np.hypot(ways[..., 0], ways[..., 1])
    turned = np.abs(np.einsum("nki,i->nk", ways, ways[0, 0] / size[0, 0])) / size
    swap = turned[:, 1] > turned[:, 0]
    one, other = np.where(swap[:, None], other, one), np.where(swap[:, None], one, other)
    return places, one, other


def _measured(
    light: npt.NDArray[np.float32], places: Array, one: Array, other: Array, scale: float
) -> Lattice:
    area = np.abs(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
    lengths = np.stack([np.hypot(*one.T), np.hypot(*other.T)])
    slant = _middle(area / lengths.max(axis=0) ** 2, area)
    blurs, contrasts = [], []
    for along, across in ((one, other), (other, one)):
        # Half way along an edge, from the middle of one square to that of the next.
        part = np.linspace(-0.4, 0.4, 81)
        points = (places + along / 2.0)[:, None] + part[:, None] * across[:, None]
        rows = sampled(light, points)
        # The steepest of two pixels: noise makes that of less steeper than the edge.
        pixels = np.maximum(np.hypot(*across.T) * 0.01, 1e-9)
        lag = int(np.clip(round(2.0 / float(np.median(pixels))), 1, 40))
        steepest = np.abs(rows[:, lag:] - rows[:, :-lag]).max(axis=1) / (lag * pixels)
        low, high = np.percentile(rows, [4.0, 96.0], axis=1)
        step = np.maximum(high - low, 1e-9)
        square = area / np.maximum(np.hypot(*across.T) * np.hypot(*along.T), 1e-9)
        wide = step * square / np.maximum(steepest * np.sqrt(2.0 * np.pi), 1e-9)
        # Two pixels of lag widen the edge as a box of that width does.
        own = np.maximum(wide**2 - (lag * pixels * square) ** 2 / 12.0, 0.0)
        blurs.append(_middle(np.sqrt(own), area))
        contrasts.append(_middle(step / np.maximum(high, 1e-9), area))
    median = np.array([_middle(length, area) for length in lengths])
    return Lattice(
        len(places), float(median.max()) / scale, float(median.min()) / scale, slant,
        max(blurs) / scale, min(contrasts),
    )  # fmt: skip


def _middle(values: Array, weights: Array) -> float:
    """The median of values (n,) by weights (n,)."""
    order = np.argsort(values)
    part = np.cumsum(weights[order]) / max(float(weights.sum()), 1e-12)
    return float(values[order][min(int(np.searchsorted(part, 0.5)), len(values) - 1)])
