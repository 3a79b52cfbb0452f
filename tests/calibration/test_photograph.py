"""One photograph against the closed form of the simulated rig."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.homography import fitted, mapped
from calibration.photograph import solve
from calibration.rig import photo_points, random_rig, true_screen_points, true_table_points
from calibration.table_map import table_points


def grid(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def test_linear_fit_agrees_with_opencv() -> None:
    chance = np.random.default_rng(4)
    source = chance.uniform(0, 1000, (40, 2))
    target = mapped(np.array([[1.1, 0.1, 20], [-0.2, 0.9, 5], [1e-4, 2e-4, 1]]), source)
    expected, _ = cv2.findHomography(source, target)
    assert np.allclose(mapped(fitted(source, target), source), target, atol=1e-6)
    assert np.allclose(fitted(source, target), expected, atol=1e-5)


def test_points_on_a_line_are_refused() -> None:
    line = np.column_stack([np.arange(9.0), np.arange(9.0) * 2])
    with pytest.raises(CalibrationError, match="one line"):
        fitted(line, line)


def test_rig_runs_both_ways() -> None:
    rig = random_rig(3)
    screen = grid(np.linspace(0, 1919, 5), np.linspace(0, 1079, 4))
    assert np.allclose(true_screen_points(rig, true_table_points(rig, screen)), screen)
    seen = photo_points(rig, true_table_points(rig, screen))
    assert (seen > 0).all() and (seen < rig.photo_size).all()


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 148])
@pytest.mark.parametrize("noise", [0.0, 0.03])
def test_map_meets_the_rig(seed: int, noise: float) -> None:
    rig = random_rig(seed)
    chance = np.random.default_rng((seed, 9))
    screen = grid(np.linspace(60, 1860, 16), np.linspace(60, 1020, 9))
    board = grid(np.arange(16) * 25.0, np.arange(11) * 25.0) + np.array([620.0, 330.0])
    screen_seen = photo_points(rig, true_table_points(rig, screen))
    board_seen = photo_points(rig, board)
    found = solve(
        screen,
        screen_seen + chance.normal(0, noise, screen.shape),
        board,
        board_seen + chance.normal(0, noise, board.shape),
        rig.photo_size,
        rig.screen_size,
    )
    error = np.hypot(*(table_points(found.table_map, screen) - true_table_points(rig, screen)).T)
    assert np.percentile(error, 95) < (0.01 if noise == 0.0 else 1.0)
    assert found.rms_px < 1e-3 + 2.0 * noise


def test_too_few_corners_are_told() -> None:
    few = np.zeros((3, 2))
    with pytest.raises(CalibrationError, match="shows 3 corners of the projected board"):
        solve(few, few, few, few, (4000, 3000), (1920, 1080))


def test_a_board_that_is_bent_is_refused() -> None:
    rig = random_rig(1)
    screen = grid(np.linspace(60, 1860, 16), np.linspace(60, 1020, 9))
    board = grid(np.arange(10) * 25.0, np.arange(6) * 25.0) + np.array([650.0, 380.0])
    bent = board + np.column_stack([np.zeros(60), 6.0 * np.sin(board[:, 0] / 20.0)])
    screen_seen = photo_points(rig, true_table_points(rig, screen))
    with pytest.raises(CalibrationError, match="flat"):
        solve(screen, screen_seen, board, photo_points(rig, bent), rig.photo_size, rig.screen_size)
