"""The linear fit against OpenCV; its derivatives against differences."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.homography import fitted, mapped, spread_field, stretch

SOME = np.array([[1.1, 0.1, 20], [-0.2, 0.9, 5], [1e-4, 2e-4, 1]])


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


def test_four_moved_points_carry_the_rest() -> None:
    """The field of four anchors is the derivative of the homography through them."""
    source = np.array([[0.0, 0], [900, 20], [880, 700], [30, 650]])
    points = np.random.default_rng(1).uniform(-100, 1000, (30, 2))
    anchors, seen = mapped(SOME, source), mapped(SOME, points)
    field = spread_field(seen, anchors)
    for index in range(8):
        away = np.zeros(8)
        away[index] = 1e-3
        there = mapped(fitted(source, anchors + away.reshape(4, 2)), points)
        back = mapped(fitted(source, anchors - away.reshape(4, 2)), points)
        assert np.abs(field[:, :, index] - (there - back) / 2e-3).max() < 1e-5


def test_the_stretch_is_the_derivative() -> None:
    points = np.random.default_rng(1).uniform(-100, 1000, (30, 2))
    for index in range(2):
        away = np.zeros(2)
        away[index] = 1e-3
        slope = (mapped(SOME, points + away) - mapped(SOME, points - away)) / 2e-3
        assert np.abs(stretch(SOME, points)[:, :, index] - slope).max() < 1e-6
