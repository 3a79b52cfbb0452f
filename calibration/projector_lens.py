"""How a projector's own lens bends its picture away from a plain homography.

With lengths in half diagonals of the screen and a screen point written as the complex number
``z = x + i y`` from its middle (y down, as the screen), a lens without fault would need

    u = z + w (q1 |w|^2 + q2 |w|^4),  w = z - c          the lens itself
          + d |z|^2 + e Z^2 + a z^3 + b Z |z|^2          what stands before it,
          + g |z|^4 + h z^2 |z|^2                        a keystone correction

with `Z` the conjugate of `z`, q1 and q2 real, the others complex. The centre `c` may lie far off
the middle, since most projectors throw their picture to one side of their axis (lens shift). A
screen that a keystone correction squeezes before the lens sees it gives the small second part,
which is every shape of its order that a homography does not take up. A homography then puts the
four `anchor_points` back in place.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calibration.errors import CalibrationError
from calibration.homography import Array, mapped, spread_field, stretch, through_four

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
LENS_NAMES = (
    "lens q1",
    "lens q2",
    "lens centre across",
    "lens centre down",
    *(f"lens {letter} {part}" for letter in "deabgh" for part in ("across", "down")),
)
COUNT = len(LENS_NAMES)


@dataclass(frozen=True, slots=True)
class ProjectorLens:
    """The numbers of the page above, in the order of `LENS_NAMES`: q1, q2, then the real and
    imaginary part of c, d, e, a, b, g and h; half diagonals of the screen."""

    values: tuple[float, ...] = (0.0,) * COUNT

    def __post_init__(self) -> None:
        if len(self.values) != COUNT or not np.isfinite(self.values).all():
            raise CalibrationError(
                f"a projector's lens is {COUNT} finite numbers, found {self.values!r:.60}"
            )


NO_LENS = ProjectorLens()


def anchor_points(screen_size: tuple[int, int]) -> Array:
    """The four screen points (4, 2), pixels, that the lens leaves in place, in turn."""
    width, height = screen_size
    across, down = ANCHOR_INSET * width, ANCHOR_INSET * height
    left, right = across - 0.5, width - across - 0.5
    top, bottom = down - 0.5, height - down - 0.5
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]])


def _places(size: tuple[int, int], points: Array) -> tuple[Array, Array, float]:
    """Points in half diagonals from the middle, no farther out than `FARTHEST`."""
    scale = float(np.hypot(*size)) / 2.0
    x, y = (points - (np.array(size) - 1.0) / 2.0).T / scale
    near = np.minimum(1.0, FARTHEST / np.maximum(np.hypot(x, y), 1e-9))
    return x * near, y * near, scale


def _shapes(size: tuple[int, int], points: Array, lens: ProjectorLens) -> Array:
    """How the fault changes with each number, (n, 2, 16), pixels; linear but for the centre."""
    x, y, scale = _places(size, points)
    q1, q2, across, down = lens.values[:4]
    out = np.empty((len(points), 2, COUNT))
    off = np.stack([x - across, y - down], axis=-1)
    far = (off**2).sum(axis=1)
    out[:, :, 0], out[:, :, 1] = off * far[:, None], off * far[:, None] ** 2
    out[:, :, 2:4] = -(q1 * far + q2 * far**2)[:, None, None] * np.eye(2)
    out[:, :, 2:4] -= (2 * q1 + 4 * q2 * far)[:, None, None] * off[:, :, None] * off[:, None, :]
    z = x + 1j * y
    mirrored, square = z.conjugate(), x * x + y * y
    complex_shapes = (square, mirrored**2, z**3, mirrored * square, square**2, z**2 * square)
    for index, shape in enumerate(complex_shapes):
        real, imaginary = 4 + 2 * index, 5 + 2 * index
        out[:, 0, real], out[:, 1, real] = shape.real, shape.imag
        out[:, 0, imaginary], out[:, 1, imaginary] = -shape.imag, shape.real
    return scale * out


def _straightened(lens: ProjectorLens, size: tuple[int, int], points: Array) -> Array:
    x, y, scale = _places(size, points)
    q1, q2, across, down, *parts = lens.values
    d, e, a, b, g, h = (complex(*parts[at : at + 2]) for at in range(0, len(parts), 2))
    z, square = x + 1j * y, x * x + y * y
    w = z - complex(across, down)
    far = (w * w.conjugate()).real
    mirrored = z.conjugate()
    fault = w * (far * (q1 + q2 * far)) + square * (d + b * mirrored + g * square + h * z * z)
    fault += e * mirrored**2 + a * z**3
    return np.column_stack([points[:, 0] + scale * fault.real, points[:, 1] + scale * fault.imag])


def _put_back(lens: ProjectorLens, size: tuple[int, int]) -> Array:
    anchors = anchor_points(size)
    return through_four(_straightened(lens, size, anchors), anchors)


def _is_none(lens: ProjectorLens) -> bool:
    return not (any(lens.values[:2]) or any(lens.values[4:]))


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
    """Moves of the ideal points with each number of the lens: (n, 2, 16), pixels."""
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
