"""How the projector's light departs from a plain homography: its own lens, and a bowed table.

Both are small and smooth. A screen point passes the lens, then the homography of the flat table,
then slides along its ray to the bowed surface. Every step comes with its derivatives.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calibration.homography import Array, mapped, spread_field, stretch, through_four

__all__ = [
    "BOW_NAMES",
    "LENS_NAMES",
    "NO_LENS",
    "ProjectorLens",
    "TableBow",
    "anchor_points",
    "bow_field",
    "bow_heights",
    "bow_shapes",
    "bow_slopes",
    "bowed",
    "flattened",
    "ideal_points",
    "lens_field",
    "real_points",
]

ANCHOR_INSET = 1 / 8
"""The lens leaves four points alone, this part of the screen in from its edges: there the rest of
its distortion is small everywhere, so that the homography by itself is nearly the best one."""
FARTHEST = 4.0
"""Square of the distance, in half diagonals, beyond which the distortion grows no further; no point
of a screen is so far out, and points far off it must still have a place."""
LENS_NAMES = ("lens 1", "lens 2", "lens centre across", "lens centre down")
BOW_NAMES = ("bow 1", "bow 2", "bow 3", "projector x", "projector y", "projector height")
BOW_LENGTH = 1000.0


@dataclass(frozen=True, slots=True)
class ProjectorLens:
    """Radial distortion of the projector about a centre that may lie off the picture.

    ``u = c + (s - c) (1 + q1 r^2 + q2 r^4)`` for a screen point `s`, with lengths in half
    diagonals of the screen and ``r = |s - c|``; `u` is what a lens without fault would need.
    A homography then puts the four `anchor_points` back in place.

    Parameters
    ----------
    radial
        q1 and q2, without unit.
    centre
        From the middle of the screen, across and down, in half diagonals. Most projectors throw
        their picture to one side of their axis (lens shift), so that it may be large.
    """

    radial: tuple[float, float] = (0.0, 0.0)
    centre: tuple[float, float] = (0.0, 0.0)


NO_LENS = ProjectorLens()


@dataclass(frozen=True, slots=True)
class TableBow:
    """A table that is bowed to the second order: heights above the homography's plane, mm.

    ``z = b1 (X^2 - l1) + b2 (X Y - l2) + b3 (Y^2 - l3)`` with X, Y in metres from `middle`.

    Parameters
    ----------
    coefficients
        b1, b2, b3: mm at one metre.
    middle
        Table mm.
    level
        l1, l2, l3: which height counts as none; square metres.
    projector
        Where the lens of the projector is: x, y, height, table mm.
    """

    coefficients: tuple[float, float, float]
    middle: tuple[float, float]
    level: tuple[float, float, float]
    projector: tuple[float, float, float]


def anchor_points(screen_size: tuple[int, int]) -> Array:
    """The four screen points (4, 2), pixels, that the lens leaves in place, in turn."""
    width, height = screen_size
    across, down = ANCHOR_INSET * width, ANCHOR_INSET * height
    left, right = across - 0.5, width - across - 0.5
    top, bottom = down - 0.5, height - down - 0.5
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]])


def _centred(lens: ProjectorLens, size: tuple[int, int], points: Array) -> tuple[Array, float]:
    scale = float(np.hypot(*size)) / 2.0
    middle = (np.array(size) - 1.0) / 2.0
    return (points - middle) / scale - np.array(lens.centre), scale


def _straightened(lens: ProjectorLens, size: tuple[int, int], points: Array) -> Array:
    out, scale = _centred(lens, size, points)
    square = np.minimum((out**2).sum(axis=1, keepdims=True), FARTHEST)
    q1, q2 = lens.radial
    straight: Array = points + scale * out * (q1 * square + q2 * square**2)
    return straight


def _put_back(lens: ProjectorLens, size: tuple[int, int]) -> Array:
    anchors = anchor_points(size)
    return through_four(_straightened(lens, size, anchors), anchors)


def ideal_points(lens: ProjectorLens, screen_size: tuple[int, int], points_px: Array) -> Array:
    """Where a projector without lens faults would need the screen points (n, 2), pixels."""
    if lens.radial == (0.0, 0.0):
        return points_px
    straight = _straightened(lens, screen_size, points_px)
    return mapped(_put_back(lens, screen_size), straight)


def real_points(lens: ProjectorLens, screen_size: tuple[int, int], ideal_px: Array) -> Array:
    """The screen points (n, 2) of ideal points (n, 2), pixels: `ideal_points` undone.

    By steps that shrink as the distortion's slope (a few parts in a hundred): eight bring it to a
    millionth of a pixel.
    """
    if lens.radial == (0.0, 0.0):
        return ideal_px
    points = ideal_px
    back = _put_back(lens, screen_size)
    for _ in range(8):
        moved = mapped(back, _straightened(lens, screen_size, points))
        points = points + (ideal_px - moved)
    return points


def lens_field(lens: ProjectorLens, screen_size: tuple[int, int], points_px: Array) -> Array:
    """Moves of the ideal points for q1, q2 and the centre's two shares: (n, 2, 4), pixels."""
    anchors = anchor_points(screen_size)
    both = np.vstack([points_px, anchors])
    out, scale = _centred(lens, screen_size, both)
    square = (out**2).sum(axis=1)
    q1, q2 = lens.radial
    factor, slope = q1 * square + q2 * square**2, q1 + 2.0 * q2 * square
    raw = np.empty((len(both), 2, 4))
    raw[:, :, 0] = scale * out * square[:, None]
    raw[:, :, 1] = scale * out * square[:, None] ** 2
    raw[:, :, 2:] = -scale * (
        factor[:, None, None] * np.eye(2)
        + 2.0 * slope[:, None, None] * out[:, :, None] * out[:, None, :]
    )
    back = _put_back(lens, screen_size)
    straight = _straightened(lens, screen_size, both)
    moved = stretch(back, straight) @ raw
    count = len(points_px)
    # The homography that puts the anchors back undoes their moves, and takes the rest along.
    undone = spread_field(mapped(back, straight[:count]), anchors) @ moved[count:].reshape(8, 4)
    field: Array = moved[:count] - undone
    return field


def bow_heights(bow: TableBow, table: Array) -> Array:
    """Heights (n,), mm, of table points (n, 2) above the plane of the homography."""
    heights: Array = bow_shapes(bow, table) @ np.array(bow.coefficients)
    return heights


def bow_shapes(bow: TableBow, table: Array) -> Array:
    """Heights (n, 3) that each coefficient by itself gives per mm of it, without unit."""
    x, y = ((table - np.array(bow.middle)) / BOW_LENGTH).T
    shapes: Array = np.stack([x * x, x * y, y * y], axis=-1) - np.array(bow.level)
    return shapes


def bow_slopes(bow: TableBow, table: Array) -> Array:
    """Slopes (n, 2) of the bowed table across and along, without unit."""
    x, y = ((table - np.array(bow.middle)) / BOW_LENGTH).T
    b1, b2, b3 = bow.coefficients
    slopes: Array = np.stack([2 * b1 * x + b2 * y, b2 * x + 2 * b3 * y], axis=-1) / BOW_LENGTH
    return slopes


def bowed(bow: TableBow, flat: Array) -> Array:
    """Where rays to points (n, 2) of the plane meet the bowed table: (n, 2), mm.

    ``X = X0 + z(X) / Cz (Cxy - X0)``, found by steps that each shrink by the slope of the table.
    """
    x, y, height = bow.projector
    way = np.array([x, y]) - flat
    table = flat
    for _ in range(6):
        table = flat + (bow_heights(bow, table) / height)[:, None] * way
    return table


def flattened(bow: TableBow, table: Array) -> Array:
    """Where the rays to table points (n, 2) meet the plane: `bowed` undone, in closed form."""
    x, y, height = bow.projector
    part = (bow_heights(bow, table) / height)[:, None]
    flat: Array = (table - part * np.array([x, y])) / (1.0 - part)
    return flat


def bow_field(bow: TableBow, flat: Array, table: Array) -> tuple[Array, Array]:
    """Moves of `table` = `bowed(flat)`: with the flat points (n, 2, 2), and for the three
    coefficients and the projector's place (n, 2, 6)."""
    x, y, height = bow.projector
    way = np.array([x, y]) - flat
    part = bow_heights(bow, table) / height
    lean = np.linalg.inv(np.eye(2) - way[:, :, None] * bow_slopes(bow, table)[:, None, :] / height)
    with_flat: Array = lean * (1.0 - part)[:, None, None]
    share = np.empty((len(flat), 2, 6))
    share[:, :, :3] = way[:, :, None] * bow_shapes(bow, table)[:, None, :] / height
    share[:, :, 3:5] = part[:, None, None] * np.eye(2)
    share[:, :, 5] = -way * part[:, None] / height
    with_bow: Array = lean @ share
    return with_flat, with_bow
