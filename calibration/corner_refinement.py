"""Checkerboard corners to a few hundredths of a pixel, by maximum likelihood on a patch of each.

A corner is where two straight edges cross. In linear light, blurred by the camera, the patch is

    ``I = a + gx x + gy y + b (erf(d1 / (s sqrt 2)) erf(d2 / (s sqrt 2)) - 2 T)``

with `d1`, `d2` the signed distances to the two edges through the corner, `s` the blur, and `T` the
black borders of the markers in the two white squares, which a blurred picture mixes into the
edges. Nine numbers a patch (place 2, angles 2, a, b, gx, gy, s) are found for all corners at once
by damped Gauss-Newton steps. Pixels are weighted by the noise of a camera, whose variance grows
with the light (photons over a constant floor). Not covered: edges that are curved within a patch
(a lens bends them by under 0.01 px at 12 megapixels), blur that differs along and across.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
from scipy.special import erf

from calibration.homography import Array

__all__ = ["Plain", "Refined", "refined"]

Offsets = npt.NDArray[np.int64]

ROUNDS = 25
FLOOR = 0.03
"""Constant part of the variance over the part that grows with the light, full white = 1."""
WORST_MISFIT, MOST_MISFIT = 0.12, 0.35
"""A patch whose misfit (rms) exceeds this part of its contrast is no corner: covered, or glare.
Where a camera's own tone curve bends every edge, twice the usual misfit is allowed, up to the most.
"""
LEAST_CONTRAST = 0.01
"""Least half step between black and white, of full scale."""
REACH, LONGEST = 0.42, 14
"""Half the side of a patch, in parts of a square and at most in pixels."""
FARTHEST_PX = 2.5
"""A corner that ends farther than this, and a tenth of its patch, from its start has run away."""
CLEAR_PX = 1.5
"""Pixels nearer than this to what is not modelled are left out."""


@dataclass(frozen=True, slots=True)
class Plain:
    """How a white square is drawn near its corners, in parts of its side.

    `margin` is how far its marker begins from the edge, `border` how wide that marker's black
    border is. A board without markers is plain to the next corner.
    """

    margin: float = 0.5
    border: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Refined:
    """Corners of shape (n, 2), pixels, with what the patches said of them.

    `good` (n,) is False where a patch is no corner: it ran away, is too faint, or fits badly; its
    point is then the one it was begun at. `sd_px` (n,) is each corner's standard deviation, each
    way, from the patch's own residuals. `blur_px` (n,) is the blur `s`.
    """

    points_px: Array
    sd_px: Array
    blur_px: Array
    good: npt.NDArray[np.bool_]


def refined(
    light: npt.NDArray[np.float32],
    photo_from_squares: Callable[[Array], Array],
    corners: Array,
    plain: Plain,
) -> Refined:
    """Refine corners on a picture in linear light, 0..1, shape (h, w).

    Parameters
    ----------
    photo_from_squares
        The map from the board, counted in squares, to the picture, right to about two pixels.
    corners
        The corners on the board (n, 2), in squares, x right and y down.
    """
    out = photo_from_squares(corners)
    count = len(out)
    sd, blur = np.full(count, np.inf), np.full(count, np.nan)
    good = np.zeros(count, np.bool_)
    if not count:
        return Refined(out, sd, blur, good)
    frames = _frames(photo_from_squares, corners, plain)
    sides = np.minimum(np.hypot(*frames[:, 0].T), np.hypot(*frames[:, 1].T))
    reach = np.clip((REACH * sides).astype(int), 3, LONGEST)
    for size in np.unique(reach):
        chosen = np.flatnonzero(reach == size)
        # Twice: which pixels lie near an edge is only known once the corner is.
        nearer = _fitted(light, out[chosen], frames[chosen], int(size), plain, 4.0)[0]
        found = _fitted(light, nearer, frames[chosen], int(size), plain, 1.0)
        stayed = np.hypot(*(found[0] - out[chosen]).T) < FARTHEST_PX + 0.1 * size
        good[chosen] = found[3] & stayed
        out[chosen] = np.where(good[chosen][:, None], found[0], out[chosen])
        sd[chosen], blur[chosen] = np.where(good[chosen], found[1], np.inf), found[2]
    return Refined(out, sd, blur, good)


def _frames(place: Callable[[Array], Array], corners: Array, plain: Plain) -> Array:
    """At each corner (n, 6, 2), pixels: the sides of a square across and down, and the ways to
    the borders of the markers on the right, left, below and above."""
    half, m = 0.25, plain.margin
    right, down = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    here = place(corners)
    return np.stack(
        [
            (place(corners + half * right) - place(corners - half * right)) / (2 * half),
            (place(corners + half * down) - place(corners - half * down)) / (2 * half),
            *(place(corners + m * way) - here for way in (right, -right, down, -down)),
        ],
        axis=1,
    )


def _fitted(
    light: npt.NDArray[np.float32],
    starts: Array,
    frames: Array,
    reach: int,
    plain: Plain,
    patience: float,
) -> tuple[Array, Array, Array, npt.NDArray[np.bool_]]:
    height, width = light.shape
    whole = np.rint(starts).astype(int)
    inside = ((whole > reach) & (whole < np.array([width, height]) - 1 - reach)).all(axis=1)
    whole = np.clip(whole, reach, np.maximum(np.array([width, height]) - 1 - reach, reach))
    steps = np.arange(-reach, reach + 1, dtype=np.int64)
    dx, dy = (offset.ravel() for offset in np.meshgrid(steps, steps))
    patch = light[whole[:, 1:2] + dy, whole[:, 0:1] + dx].astype(np.float64)
    first = starts - whole
    use = _near_edges(first, frames, dx, dy, plain)
    scene = _Patches(patch, dx, dy, use, frames, plain.border > 0.0)
    values, cost, jtj, squares = _descended(scene, _begun(scene, first))
    points = values[:, :2]
    used = np.maximum(use.sum(axis=1) - 9, 1)
    misfit = np.sqrt(squares / used)
    with np.errstate(all="ignore"):
        variance = np.linalg.inv(jtj + 1e-12 * np.eye(9))[:, [0, 1], [0, 1]].mean(axis=1)
        sd = np.sqrt(np.maximum(variance, 0.0) * cost / used)
    contrast = np.abs(values[:, 5])
    ratio = misfit / np.maximum(contrast, LEAST_CONTRAST)
    allowed = np.clip(2.0 * np.median(ratio), WORST_MISFIT, MOST_MISFIT)
    moved = np.hypot(*(points - first).T)
    good = (
        inside
        & np.isfinite(sd)
        & (contrast > LEAST_CONTRAST)
        & (ratio < patience * allowed)
        & (moved < max(FARTHEST_PX, 0.35 * reach))
        & (values[:, 8] > 0.15)
        & (values[:, 8] < 0.5 * reach)
        & (sd < 0.5)
        & (np.abs(np.sin(values[:, 2] - values[:, 3])) > 0.2)
    )
    out = np.where(good[:, None], points + whole, starts)
    return out, np.where(good, sd, np.inf), values[:, 8], good


@dataclass(frozen=True, slots=True, eq=False)
class _Patches:
    """Patches (n, m), the offsets (m,) of their pixels, which count (n, m), frames (n, 6, 2)."""

    light: Array
    dx: Offsets
    dy: Offsets
    use: npt.NDArray[np.bool_]
    frames: Array
    marked: bool


def _near_edges(
    first: Array, frames: Array, dx: Offsets, dy: Offsets, plain: Plain
) -> npt.NDArray[np.bool_]:
    """Pixels (n, m) of a patch that lie near an edge, clear of cells and of the next corners."""
    inverse = np.linalg.inv(np.swapaxes(frames[:, :2], 1, 2))
    offset = np.stack([dx[None, :] - first[:, :1], dy[None, :] - first[:, 1:]], axis=1)
    place = np.abs(inverse @ offset)
    side = np.minimum(np.hypot(*frames[:, 0].T), np.hypot(*frames[:, 1].T))
    clear = np.maximum(plain.margin + plain.border - CLEAR_PX / side, CLEAR_PX / side)[:, None]
    use: npt.NDArray[np.bool_] = (place.min(axis=1) < clear) & (place.max(axis=1) < 0.5)
    return use


def _begun(scene: _Patches, first: Array) -> Array:
    """Start values: x, y, the edges' angles, a, b, gx, gy, s."""
    values = np.zeros((len(first), 9))
    values[:, :2] = first
    values[:, 2] = np.arctan2(scene.frames[:, 0, 1], scene.frames[:, 0, 0])
    values[:, 3] = np.arctan2(scene.frames[:, 1, 1], scene.frames[:, 1, 0])
    values[:, 8] = 1.2
    shape = _cross(values, scene)[0]
    weight = scene.use / np.maximum(scene.use.sum(axis=1, keepdims=True), 1)
    mean = (scene.light * weight).sum(axis=1)
    level = (shape * weight).sum(axis=1)
    both = (shape * scene.light * weight).sum(axis=1) - level * mean
    values[:, 5] = both / np.maximum((shape**2 * weight).sum(axis=1) - level**2, 1e-9)
    values[:, 4] = mean - values[:, 5] * level
    return values


def _cross(values: Array, scene: _Patches) -> tuple[Array, ...]:
    """The two edges' error functions, their product, and what their slopes are made of."""
    x = scene.dx[None, :] - values[:, :1]
    y = scene.dy[None, :] - values[:, 1:2]
    c1, s1 = np.cos(values[:, 2:3]), np.sin(values[:, 2:3])
    c2, s2 = np.cos(values[:, 3:4]), np.sin(values[:, 3:4])
    width = values[:, 8:9] * np.sqrt(2.0)
    d1, d2 = (c1 * y - s1 * x) / width, (c2 * y - s2 * x) / width
    e1, e2 = erf(d1), erf(d2)
    return e1 * e2, e1, e2, d1, d2, x, y, c1, s1, c2, s2, width


def _borders(values: Array, scene: _Patches, cross: tuple[Array, ...]) -> Array:
    """The black marker borders in the two white squares, blurred like the edges: (n, m), 0..1."""
    _, _, _, d1, d2, _, _, c1, s1, c2, s2, width = cross
    ways = scene.frames[:, 2:]
    right, left, below, above = (ways[:, k : k + 1] for k in range(4))

    def depth(way: Array, c: Array, s: Array) -> Array:
        out: Array = np.abs(c * way[..., 1] - s * way[..., 0]) / width
        return out

    # d1 grows downwards, d2 to the left, when the board is seen from above.
    lower = erf(d1 - depth(below, c1, s1))
    upper = erf(-d1 - depth(above, c1, s1))
    on_left = erf(d2 - depth(left, c2, s2))
    on_right = erf(-d2 - depth(right, c2, s2))
    same = values[:, 5:6] > 0.0
    with_lower, with_upper = np.where(same, on_left, on_right), np.where(same, on_right, on_left)
    out: Array = ((1 + lower) * (1 + with_lower) + (1 + upper) * (1 + with_upper)) / 4
    return out


def _model(values: Array, scene: _Patches, slopes: bool) -> tuple[Array, Array]:
    """The patches' light (n, m), and its slopes (n, m, 9) if wanted (else empty).

    The borders' own slopes are left out: they hardly move what the steps tend to.
    """
    cross = _cross(values, scene)
    shape, e1, e2, d1, d2, x, y, c1, s1, c2, s2, width = cross
    a, b, gx, gy = (values[:, k : k + 1] for k in (4, 5, 6, 7))
    if scene.marked:
        shape = shape - 2.0 * np.sign(b) * _borders(values, scene, cross)
    light = a + gx * x + gy * y + b * shape
    if not slopes:
        return light, np.empty(0)
    bell = 2.0 / np.sqrt(np.pi)
    g1 = bell * np.exp(-d1 * d1) * e2 * b
    g2 = bell * np.exp(-d2 * d2) * e1 * b
    out = np.empty((*light.shape, 9))
    out[..., 0] = (g1 * s1 + g2 * s2) / width - gx
    out[..., 1] = -(g1 * c1 + g2 * c2) / width - gy
    out[..., 2] = g1 * -(s1 * y + c1 * x) / width
    out[..., 3] = g2 * -(s2 * y + c2 * x) / width
    out[..., 4] = 1.0
    out[..., 5] = shape
    out[..., 6] = x
    out[..., 7] = y
    out[..., 8] = -(g1 * d1 + g2 * d2) / values[:, 8:9]
    return light, out


def _descended(scene: _Patches, values: Array) -> tuple[Array, Array, Array, Array]:
    """Levenberg's damping patch by patch; also the weighted cost, J'WJ and plain squares."""
    count = len(values)
    damping = np.full(count, 1e-3)
    weight = _weights(scene)
    light, _ = _model(values, scene, False)
    cost = (weight * (scene.light - light) ** 2).sum(axis=1)
    jtj = np.tile(np.eye(9), (count, 1, 1))
    for _ in range(ROUNDS):
        light, slopes = _model(values, scene, True)
        weighted = np.swapaxes(slopes * weight[..., None], 1, 2)
        jtj = weighted @ slopes
        jtr = (weighted @ (scene.light - light)[..., None])[..., 0]
        scale = np.einsum("nii->ni", jtj) + 1e-12
        damped = jtj + np.einsum("ni,ij->nij", damping[:, None] * scale, np.eye(9))
        step = np.linalg.solve(damped, jtr[..., None])[..., 0]
        step[:, :2] = np.clip(step[:, :2], -1.0, 1.0)
        step[:, 2:4] = np.clip(step[:, 2:4], -0.2, 0.2)
        tried = values + step
        tried[:, 8] = np.clip(tried[:, 8], 0.1, 30.0)
        ahead, _ = _model(tried, scene, False)
        new = (weight * (scene.light - ahead) ** 2).sum(axis=1)
        better = new < cost
        values = np.where(better[:, None], tried, values)
        cost = np.where(better, new, cost)
        damping = np.clip(np.where(better, damping / 5.0, damping * 8.0), 1e-9, 1e9)
        at_rest = (np.abs(step[:, :2]).max(axis=1) < 1e-5) | (damping > 1e5)
        if bool(at_rest.all()):
            break
    light, _ = _model(values, scene, False)
    return values, cost, jtj, (scene.use * (scene.light - light) ** 2).sum(axis=1)


def _weights(scene: _Patches) -> Array:
    """From the picture itself, smoothed, so that they carry little of each pixel's own noise."""
    side = round(len(scene.dx) ** 0.5)
    square = scene.light.reshape(-1, side, side)
    smooth = np.stack([cv2.blur(one, (3, 3)) for one in square])
    bright = np.clip(smooth.reshape(scene.light.shape), 0.0, None)
    return np.asarray(scene.use / (bright + FLOOR), dtype=np.float64)
