"""Crosshairs on marks: against OpenCV, mistakes, and Monte-Carlo against the predicted error."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.nudging import solve
from calibration.rig import true_screen_points
from calibration.rig_scenes import random_rig
from calibration.table_map import table_points
from tests.calibration.truth import held, off

SCREEN = (1920, 1080)


def ruling(columns: int, rows: int) -> np.ndarray:
    """Points of a ruling 1200 x 750 mm about the middle of the table."""
    x, y = np.linspace(200, 1400, columns), np.linspace(75, 825, rows)
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def test_four_marks_are_met_exactly() -> None:
    marks = ruling(2, 2)
    crosshairs = np.array([[250.0, 950], [1670, 930], [260, 120], [1650, 140]])
    found = solve(marks, crosshairs, SCREEN)
    expected = cv2.getPerspectiveTransform(crosshairs.astype(np.float32), marks.astype(np.float32))
    grid = np.array([[500.0, 500], [1200, 800], [100, 900]])
    seen = cv2.perspectiveTransform(grid[None], expected)[0]
    assert np.abs(table_points(found.table_map, grid) - seen).max() < 1e-2
    assert np.abs(found.residuals).max() < 1e-4


def test_a_crosshair_on_the_wrong_line_is_named() -> None:
    named = 0
    for seed in range(400, 420):
        rig, marks = random_rig(seed), ruling(3, 3)
        chance = np.random.default_rng((seed, 1))
        placed = marks + chance.normal(0, 0.4, marks.shape)
        placed[seed % 9] += [10.0, 0.0]
        found = solve(marks, true_screen_points(rig, placed), SCREEN)
        named += found.suspects == (seed % 9,)
    assert named >= 19


@pytest.mark.parametrize(("columns", "rows"), [(2, 2), (3, 3)])
def test_errors_are_as_large_as_the_map_says(columns: int, rows: int) -> None:
    """Monte-Carlo over 40 tables: 95 % ellipses hold about 95 %."""
    inside, errors = [], []
    for seed in range(500, 540):
        rig, marks = random_rig(seed), ruling(columns, rows)
        chance = np.random.default_rng((seed, 1))
        placed = true_screen_points(rig, marks + chance.normal(0, 0.4, marks.shape))
        found = solve(marks, placed, SCREEN, 0.4)
        inside.append(held(found.table_map, rig))
        errors.append(off(found.table_map, rig))
    assert 0.90 < np.mean(inside) <= 0.995
    assert np.percentile(errors, 95) < 1.6


def test_what_cannot_be_is_refused() -> None:
    marks = ruling(3, 3)
    crosshairs = true_screen_points(random_rig(1), marks)
    with pytest.raises(CalibrationError, match="found 3 marks"):
        solve(marks[:3], crosshairs[:3], SCREEN)
    with pytest.raises(CalibrationError, match="one line"):
        solve(marks[:3].repeat(2, axis=0), crosshairs[:3].repeat(2, axis=0), SCREEN)
    with pytest.raises(CalibrationError, match=r"contradict one another|horizon"):
        solve(marks, crosshairs[[4, 7, 2, 3, 0, 8, 6, 1, 5]], SCREEN)
    with pytest.raises(CalibrationError, match="placing error"):
        solve(marks, crosshairs, SCREEN, 0.0)
