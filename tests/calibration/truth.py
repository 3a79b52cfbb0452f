"""How far a map is from a rig's truth, as a cutter would notice it."""

from __future__ import annotations

import numpy as np

from calibration.rig import Rig, true_screen_points, true_table_points
from calibration.table_map import TableMap, screen_points, table_points
from calibration.uncertainty import CHI_95, length_error, point_covariance
from tests.calibration.second_rig import SecondRig
from tests.calibration.sights import screen_grid

AnyRig = Rig | SecondRig


def lit(rig: AnyRig, screen_px: np.ndarray) -> np.ndarray:
    """Where screen points (n, 2) truly fall, table mm."""
    if isinstance(rig, SecondRig):
        return rig.table(screen_px)
    return true_table_points(rig, screen_px)


def lighting(rig: AnyRig, table: np.ndarray) -> np.ndarray:
    """The screen points (n, 2) that truly light table points, mm."""
    return rig.screen(table) if isinstance(rig, SecondRig) else true_screen_points(rig, table)


def aligned(points: np.ndarray, truth: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """What is left (n, 2) after the best rigid motion (Kabsch), and its rotation (2, 2).

    A map that mirrors is not forgiven.
    """
    a, b = points - points.mean(axis=0), truth - truth.mean(axis=0)
    u, _, v = np.linalg.svd(a.T @ b)
    turn = u @ np.diag([1.0, np.sign(np.linalg.det(u @ v))]) @ v
    return a @ turn - b, turn


def off(table_map: TableMap, rig: AnyRig) -> np.ndarray:
    """Distances (n,), mm, over the lit area."""
    grid = screen_grid(rig.screen_size, 13, 9, 0.0)
    left, _ = aligned(table_points(table_map, grid), lit(rig, grid))
    return np.hypot(*left.T)


def held(table_map: TableMap, rig: AnyRig) -> np.ndarray:
    """Which points (n,) of the lit area have their truth inside the 95 % ellipse."""
    grid = screen_grid(rig.screen_size, 13, 9, 0.0)
    got = table_points(table_map, grid)
    left, turn = aligned(got, lit(rig, grid))
    own = left @ turn.T
    spread = point_covariance(table_map, got)
    return np.einsum("ni,nij,nj->n", own, np.linalg.inv(spread), own) <= CHI_95


def metres_off(table_map: TableMap, rig: AnyRig, count: int = 40) -> tuple[np.ndarray, np.ndarray]:
    """Errors (count,), mm, of lengths lit as 1000 mm, anywhere in the lit area and any way round,
    and the 95 % error that the map gives each."""
    chance = np.random.default_rng(count)
    width, height = rig.screen_size
    starts = chance.uniform(0, 1, (4000, 2)) * [width - 1, height - 1]
    way = chance.uniform(0, 2 * np.pi, 4000)
    a = table_points(table_map, starts)
    b = a + 1000.0 * np.stack([np.cos(way), np.sin(way)], axis=-1)
    ends = screen_points(table_map, b)
    inside = ((ends >= 0) & (ends <= [width - 1, height - 1])).all(axis=1)
    a, b, starts, ends = (part[inside][:count] for part in (a, b, starts, ends))
    truth = lit(rig, ends) - lit(rig, starts)
    return np.hypot(*truth.T) - 1000.0, length_error(table_map, a, b)
