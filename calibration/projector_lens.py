"""How a projector's own lens bends its picture away from a plain homography.

With lengths in half diagonals of the screen and a screen point `z` = (x, y) from its middle (y
down, as the screen), the screen is first squeezed by the projector's keystone correction,

    p = (x + s x + t y,  y + t x - s y) / (1 + a x + b y)

and then thrown by the lens as if it were at

    u = p + w (q1 |w|^2 + q2 |w|^4) + d |p|^2,   w = p - c

The centre `c` may lie far off the middle, since most projectors throw their picture to one side of
their axis (lens shift); `d` is of a lens whose glasses are not quite centred. The squeeze is a
homography: by itself it does nothing, but a squeezed picture is bent unevenly by the lens. So `u`
is squeezed back, and a homography then puts the four `anchor_points` back in place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calibration.errors import CalibrationError
from calibration.homography import Array, mapped, spread_field, stretch, through_four
from calibration.places import rectangle_corners

__all__ = [
    "LENS_NAMES",
    "NO_LENS",
    "ProjectorLens",
    "anchor_points",
    "ideal_points",
    "lens_field",
    "real_points",
]

ANCHOR_INSET = 1 / 8
"""The lens leaves four points alone, this part of the screen in from its edges: there the rest of
its distortion is small everywhere, so that the homography by itself is nearly the best one."""
FARTHEST = 1.5
"""Half diagonals from the middle beyond which the distortion grows no further; no point of a screen
is so far out, and points far off it must still have a place."""
STRONGEST = 0.5
"""Keystone numbers from which the squeeze would come near its horizon."""
LENS_NAMES = (
    "lens q1",
    "lens q2",
    *(
        f"{what} {way}"
        for what in ("lens centre", "lens decentring", "keystone")
        for way in ("across", "down")
    ),
    "keystone stretch",
    "keystone shear",
)
COUNT = len(LENS_NAMES)


@dataclass(frozen=True, slots=True)
class ProjectorLens:
    """The numbers of the page above, in the order of `LENS_NAMES`: q1, q2, c, d, a, b, s and t;
    half diagonals of the screen."""

    values: tuple[float, ...] = (0.0,) * COUNT

    def __post_init__(self) -> None:
        if len(self.values) != COUNT or not np.isfinite(self.values).all():
            raise CalibrationError(
                f"a projector's lens is {COUNT} finite numbers, found {self.values!r:.60}"
            )
        if max(math.hypot(*self.values[6:8]), math.hypot(*self.values[8:])) >= STRONGEST:
            raise CalibrationError(
                f"a keystone correction of {self.values[6:]}: wanted below {STRONGEST}"
            )


NO_LENS = ProjectorLens()


def anchor_points(screen_size: tuple[int, int]) -> Array:
    """The four screen points (4, 2), pixels, that the lens leaves in place, in turn."""
    width, height = screen_size
    across, down = ANCHOR_INSET * width, ANCHOR_INSET * height
    return rectangle_corners(across - 0.5, down - 0.5, width - across - 0.5, height - down - 0.5)


def _places(size: tuple[int, int], points: Array) -> tuple[Array, Array, float]:
    """Points in half diagonals from the middle, no farther out than `FARTHEST`."""
    scale = float(np.hypot(*size)) / 2.0
    x, y = (points - (np.array(size) - 1.0) / 2.0).T / scale
    near = np.minimum(1.0, FARTHEST / np.maximum(np.hypot(x, y), 1e-9))
    return x * near, y * near, scale


def _squeeze(lens: ProjectorLens) -> Array:
    """The keystone correction, (3, 3), in half diagonals from the middle."""
    a, b, stretched, sheared = lens.values[6:]
    return np.array([[1.0 + stretched, sheared, 0.0], [sheared, 1.0 - stretched, 0.0], [a, b, 1.0]])


def _fault(lens: ProjectorLens, panel: Array) -> Array:
    """What the lens adds to points (n, 2) of its panel, half diagonals."""
    q1, q2 = lens.values[:2]
    off = panel - lens.values[2:4]
    far, square = ((points**2).sum(axis=1, keepdims=True) for points in (off, panel))
    out: Array = off * far * (q1 + q2 * far) + square * np.array(lens.values[4:6])
    return out


def _thrown(
    lens: ProjectorLens, size: tuple[int, int], points: Array
) -> tuple[Array, Array, Array, float]:
    """Points (n, 2), where the panel has them and where the lens throws them, squeezed back, in
    half diagonals; pixels of a half diagonal."""
    x, y, scale = _places(size, points)
    place, squeeze = np.column_stack([x, y]), _squeeze(lens)
    panel = mapped(squeeze, place)
    back = np.asarray(np.linalg.inv(squeeze), dtype=np.float64)
    return place, panel, mapped(back, panel + _fault(lens, panel)), scale


def _shapes(size: tuple[int, int], points: Array, lens: ProjectorLens) -> Array:
    """How `_straightened` changes with each number, (n, 2, 10), pixels."""
    place, panel, there, scale = _thrown(lens, size, points)
    squeeze = _squeeze(lens)
    q1, q2 = lens.values[:2]
    off = panel - lens.values[2:4]
    far, square = ((part**2).sum(axis=1)[:, None] for part in (off, panel))
    one = np.eye(2)
    bent = (q1 * far + q2 * far**2)[:, :, None] * one
    bent = bent + (2 * q1 + 4 * q2 * far)[:, :, None] * off[:, :, None] * off[:, None, :]
    out = np.empty((len(points), 2, COUNT))
    out[:, :, 0], out[:, :, 1] = off * far, off * far**2
    out[:, :, 2:4] = -bent
    out[:, :, 4:6] = square[:, :, None] * one
    slope = one + bent + 2.0 * np.array(lens.values[4:6])[:, None] * panel[:, None, :]
    out[:, :, 6:] = slope @ _squeeze_field(squeeze, place) - _squeeze_field(squeeze, there)
    back = scale * np.linalg.solve(stretch(squeeze, there), out)
    return np.asarray(back, dtype=np.float64)


def _squeeze_field(squeeze: Array, place: Array) -> Array:
    """How squeezed points move with a, b, s and t: (n, 2, 4)."""
    x, y = place.T
    depth = 1.0 + place @ squeeze[2, :2]
    out = np.empty((len(place), 2, 4))
    out[:, :, :2] = -mapped(squeeze, place)[:, :, None] * place[:, None, :]
    out[:, 0, 2], out[:, 1, 2] = x, -y
    out[:, 0, 3], out[:, 1, 3] = y, x
    field: Array = out / depth[:, None, None]
    return field


def _straightened(lens: ProjectorLens, size: tuple[int, int], points: Array) -> Array:
    place, _, there, scale = _thrown(lens, size, points)
    straight: Array = points + scale * (there - place)
    return straight


def _put_back(lens: ProjectorLens, size: tuple[int, int]) -> Array:
    anchors = anchor_points(size)
    return through_four(_straightened(lens, size, anchors), anchors)


def _is_none(lens: ProjectorLens) -> bool:
    return not (any(lens.values[:2]) or any(lens.values[4:6]))


def ideal_points(lens: ProjectorLens, screen_size: tuple[int, int], points_px: Array) -> Array:
    """Where a projector without lens faults would need the screen points (n, 2), pixels."""
    if _is_none(lens):
        return points_px
    return mapped(_put_back(lens, screen_size), _straightened(lens, screen_size, points_px))


def real_points(lens: ProjectorLens, screen_size: tuple[int, int], ideal_px: Array) -> Array:
    """The screen points (n, 2) of ideal points (n, 2), pixels: `ideal_points` undone.

    By steps that shrink as the distortion's slope (a few parts in a hundred): eight bring it to a
    millionth of a pixel.
    """
    if _is_none(lens):
        return ideal_px
    undone = np.asarray(np.linalg.inv(_put_back(lens, screen_size)), dtype=np.float64)
    straight = mapped(undone, ideal_px)
    points = straight
    for _ in range(8):
        points = points + (straight - _straightened(lens, screen_size, points))
    return points


def lens_field(lens: ProjectorLens, screen_size: tuple[int, int], points_px: Array) -> Array:
    """Moves of the ideal points with each number of the lens: (n, 2, 10), pixels."""
    anchors = anchor_points(screen_size)
    both = np.vstack([points_px, anchors])
    raw = _shapes(screen_size, both, lens)
    straight = _straightened(lens, screen_size, both)
    back = through_four(straight[len(points_px) :], anchors)
    moved = stretch(back, straight) @ raw
    count = len(points_px)
    # The homography that puts the anchors back undoes their moves, and takes the rest along.
    undone = spread_field(mapped(back, straight[:count]), anchors)
    field: Array = moved[:count] - undone @ moved[count:].reshape(8, COUNT)
    return field
