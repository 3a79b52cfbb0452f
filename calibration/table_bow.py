"""A table that is bowed: where the projector's rays meet it, with derivatives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calibration.homography import Array

__all__ = [
    "BOW_NAMES",
    "TableBow",
    "bow_field",
    "bow_heights",
    "bow_shapes",
    "bow_slopes",
    "bowed",
    "flattened",
]

BOW_NAMES = ("bow 1", "bow 2", "bow 3", "projector x", "projector y", "projector height")
BOW_LENGTH = 1000.0


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
