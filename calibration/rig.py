"""A simulated projector, flat table and camera, in closed form."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calibration.homography import fitted, mapped
from calibration.table_map import Array

__all__ = ["Rig", "photo_points", "random_rig", "true_screen_points", "true_table_points"]


@dataclass(frozen=True, slots=True, eq=False)
class Rig:
    """The truth of one scene: no lens in the projector, one radial term in the camera.

    The camera sees ``c + (u - c) (1 + lens |u - c|^2 / R^2)``, `c` the middle of the photograph,
    `R` half its diagonal, `u` the pinhole's picture of the table.
    """

    table_from_screen: Array
    pinhole_from_table: Array
    lens: float
    screen_size: tuple[int, int]
    photo_size: tuple[int, int]


def random_rig(seed: int) -> Rig:
    """A table about 1.6 x 0.9 m lit at 1920 x 1080, seen by a 12-megapixel phone from one side."""
    chance = np.random.default_rng(seed)
    size, photo = (1920, 1080), (4032, 3024)
    corners = np.array([[0, 900], [1600, 900], [1600, 0], [0, 0]]) + chance.normal(0, 25, (4, 2))
    screen = np.array([[-0.5, -0.5], [1919.5, -0.5], [1919.5, 1079.5], [-0.5, 1079.5]])
    middle = corners.mean(axis=0)
    away = chance.uniform(-1, 1, 2) * [500, 300] + middle - [0, 500]
    eye = np.array([*away, chance.uniform(1500, 1800)])
    forward = np.array([*middle, 0.0]) - eye
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, [0, 0, 1])
    right /= np.linalg.norm(right)
    turn = np.array([right, np.cross(forward, right), forward])
    focal = chance.uniform(2850, 3150)
    inner = np.array([[focal, 0, 2015.5], [0, focal, 1511.5], [0, 0, 1]])
    pinhole = inner @ np.column_stack([turn[:, 0], turn[:, 1], -turn @ eye])
    return Rig(fitted(screen, corners), pinhole, float(chance.uniform(-0.04, 0.04)), size, photo)


def true_table_points(rig: Rig, screen_px: Array) -> Array:
    """Where screen points (n, 2), pixels, truly fall on the table, mm."""
    return mapped(rig.table_from_screen, screen_px)


def true_screen_points(rig: Rig, table: Array) -> Array:
    """The screen points (n, 2), pixels, that truly light table points (n, 2), mm."""
    inverse = np.asarray(np.linalg.inv(rig.table_from_screen), dtype=np.float64)
    return mapped(inverse, table)


def photo_points(rig: Rig, table: Array) -> Array:
    """Where the photograph shows table points (n, 2), mm: pixels (n, 2)."""
    middle = (np.array(rig.photo_size) - 1.0) / 2.0
    radius = float(np.hypot(*rig.photo_size)) / 2.0
    ideal = (mapped(rig.pinhole_from_table, table) - middle) / radius
    bent: Array = ideal * (1.0 + rig.lens * (ideal**2).sum(axis=1, keepdims=True))
    return middle + radius * bent
