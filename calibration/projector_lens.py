"""How a projector's own lens bends its picture away from a plain homography.

With lengths in half diagonals of the screen and a screen point written as the complex number
``z = x + i y`` from its middle (y down, as the screen), a lens without fault would need

    u = z + q1 z |z|^2 + q2 z |z|^4                      the lens itself, about the middle
          + d |z|^2                                      its centre off the middle (lens shift)
          + e Z^2 + a z^3 + b Z |z|^2 + g |z|^4 + h z^2 |z|^2    keystone correction before it

with `Z` the conjugate of `z`, q1 and q2 real, the others complex. Radial distortion ``q z |z|^2``
about a centre c is ``q z |z|^2 - q c |z|^2`` and a part that a homography takes up (exact to the
first order of q); a screen that is squeezed by a keystone correction before the lens sees it gives
the last line, small. The fault is linear in its numbers, so that an estimate cannot be caught in a
false rest. A homography then puts the four `anchor_points` back in place.
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
    *(f"lens {letter} {part}" for letter in "deabgh" for part in ("across", "down")),
)
COUNT = len(LENS_NAMES)


@dataclass(frozen=True, slots=True)
class ProjectorLens:
    """The numbers of the page above, in the order of `LENS_NAMES`: q1, q2, then the real and
    imaginary part of d, e, a, b, g and h; half diagonals of the screen."""

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


def _shapes(size: tuple[int, int], points: Array) -> Array:
    """What each number by itself does, (n, 2, 14), pixels."""
    scale = float(np.hypot(*size)) / 2.0
    x, y = (points - (np.array(size) - 1.0) / 2.0).T / scale
    z = x + 1j * y
    z = z * np.minimum(1.0, FARTHEST / np.maximum(np.abs(z), 1e-9))
    mirrored, square = z.conjugate(), np.abs(z) ** 2
    out = np.empty((len(points), 2, COUNT))
    for index, shape in enumerate((z * square, z * square**2)):
        out[:, 0, index], out[:, 1, index] = shape.real, shape.imag
    complex_shapes = (square, mirrored**2, z**3, mirrored * square, square**2, z**2 * square)
    for index, shape in enumerate(complex_shapes):
        across, down = 2 + 2 * index, 3 + 2 * index
        out[:, 0, across], out[:, 1, across] = shape.real, shape.imag
        out[:, 0, down], out[:, 1, down] = -shape.imag, shape.real
    return scale * out


def _straightened(lens: ProjectorLens, size: tuple[int, int], points: Array) -> Array:
    straight: Array = points + _shapes(size, points) @ np.array(lens.values)
    return straight


def _put_back(lens: ProjectorLens, size: tuple[int, int]) -> Array:
    anchors = anchor_points(size)
    return through_four(_straightened(lens, size, anchors), anchors)


def ideal_points(lens: ProjectorLens, screen_size: tuple[int, int], points_px: Array) -> Array:
    """Where a projector without lens faults would need the screen points (n, 2), pixels."""
    if not any(lens.values):
        return points_px
    return mapped(_put_back(lens, screen_size), _straightened(lens, screen_size, points_px))


def real_points(lens: ProjectorLens, screen_size: tuple[int, int], ideal_px: Array) -> Array:
    """The screen points (n, 2) of ideal points (n, 2), pixels: `ideal_points` undone.

    By steps that shrink as the distortion's slope (a few parts in a hundred): eight bring it to a
    millionth of a pixel.
    """
    if not any(lens.values):
        return ideal_px
    undone = np.asarray(np.linalg.inv(_put_back(lens, screen_size)), dtype=np.float64)
    straight = mapped(undone, ideal_px)
    points = straight
    for _ in range(8):
        points = points + (straight - _straightened(lens, screen_size, points))
    return points


def lens_field(lens: ProjectorLens, screen_size: tuple[int, int], points_px: Array) -> Array:
    """Moves of the ideal points with each number of the lens: (n, 2, 14), pixels."""
    anchors = anchor_points(screen_size)
    both = np.vstack([points_px, anchors])
    raw = _shapes(screen_size, both)
    straight = both + raw @ np.array(lens.values)
    back = through_four(straight[len(points_px) :], anchors)
    moved = stretch(back, straight) @ raw
    count = len(points_px)
    # The homography that puts the anchors back undoes their moves, and takes the rest along.
    undone = spread_field(mapped(back, straight[:count]), anchors)
    field: Array = moved[:count] - undone @ moved[count:].reshape(8, COUNT)
    return field
