"""How far a map is from the rig's truth, as a cutter would notice it."""

from __future__ import annotations

import numpy as np

from calibration.rig import Rig, true_table_points
from calibration.rig_scenes import screen_grid
from calibration.table_map import TableMap, screen_points, table_points
from calibration.uncertainty import CHI_95, point_covariance


def aligned(points: np.ndarray, truth: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """What is left (n, 2) after the best rigid motion (Procrustes), and its rotation (2, 2)."""
    a, b = points - points.mean(axis=0), truth - truth.mean(axis=0)
    u, _, v = np.linalg.svd(a.T @ b)
    return a @ u @ v - b, u @ v


def off(table_map: TableMap, rig: Rig) -> np.ndarray:
    """Distances (n,), mm, over the lit area."""
    grid = screen_grid(rig.screen_size, 13, 9, 0.0)
    left, _ = aligned(table_points(table_map, grid), true_table_points(rig, grid))
    return np.hypot(*left.T)


def held(table_map: TableMap, rig: Rig) -> np.ndarray:
    """Which points (n,) of the lit area have their truth inside the 95 % ellipse."""
    grid = screen_grid(rig.screen_size, 13, 9, 0.0)
    got = table_points(table_map, grid)
    left, turn = aligned(got, true_table_points(rig, grid))
    own = left @ turn.T
    spread = point_covariance(table_map, got)
    return np.einsum("ni,nij,nj->n", own, np.linalg.inv(spread), own) <= CHI_95


def metres_off(table_map: TableMap, rig: Rig, count: int = 20) -> np.ndarray:
    """Errors (2 count,), mm, of metres lit across and along (as long as fits, in proportion)."""
    chance = np.random.default_rng(count)
    grid = table_points(table_map, screen_grid(rig.screen_size, 2, 2, 0.0))
    low, high = grid[[0, 1, 2, 3]].min(axis=0), grid.max(axis=0)
    middle, half = (low + high) / 2, (high - low) / 2
    errors = []
    for axis in (0, 1):
        way = np.zeros(2)
        way[axis] = 1000.0 if axis == 0 else 1.6 * half[1]
        centres = middle + chance.uniform(-0.3, 0.3, (count, 2)) * half * (
            [1.0, 2.2] if axis == 0 else [2.5, 0.2]
        )
        a, b = centres - way / 2, centres + way / 2
        truth = [true_table_points(rig, screen_points(table_map, side)) for side in (a, b)]
        length = np.hypot(*(truth[1] - truth[0]).T)
        errors.append((length - way[axis]) / way[axis] * 1000.0)
    return np.concatenate(errors)
