"""The linear fit against OpenCV; its derivatives against differences."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.homography import (
    _normaliser,
    fitted,
    mapped,
    spread_field,
    stretch,
    through_four,
)

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


def test_four_points_are_met_as_opencv_meets_them() -> None:
    source = np.array([[0.0, 0], [900, 20], [880, 700], [30, 650]])
    target = np.array([[12.0, 800], [1500, 820], [1430, -30], [-20, 40]])
    expected = cv2.getPerspectiveTransform(source.astype(np.float32), target.astype(np.float32))
    found = through_four(source, target)
    assert np.allclose(found, expected, rtol=1e-6, atol=1e-9) and found[2, 2] == 1.0
    assert np.allclose(fitted(source, target), expected, rtol=1e-6, atol=1e-9)
    line = np.array([[0.0, 0], [1, 1], [2, 2], [5, 0]])
    with pytest.raises(CalibrationError, match=r"^three of four points lie on one line$"):
        through_four(line, target)


def test_points_are_normalised_as_published() -> None:
    # Hartley and Zisserman, the normalised direct linear fit (from memory): centroid at the
    # origin, mean distance sqrt 2.
    points = np.random.default_rng(5).uniform([300, -20], [5000, 900], (30, 2))
    moved = mapped(_normaliser(points), points)
    assert np.abs(moved.mean(axis=0)).max() < 1e-12
    assert np.hypot(*moved.T).mean() == pytest.approx(np.sqrt(2.0))
    grown = np.linalg.norm(moved[1:] - moved[0], axis=1) / np.linalg.norm(
        points[1:] - points[0], axis=1
    )
    assert np.ptp(grown) < 1e-12  # a similarity
    with pytest.raises(CalibrationError, match=r"^all points are at one place; spread"):
        _normaliser(np.full((4, 2), 7.0))


def test_a_tiny_sheet_far_away_is_fitted_as_well() -> None:
    # The product of exact maps is known: the same fit in other units and places.
    source = np.random.default_rng(6).uniform(0, 1, (12, 2))
    there = np.array([[1e-3, 0, 5e4], [0, 1e-3, -7e4], [0, 0, 1]])
    target = mapped(SOME, source)
    found = fitted(mapped(there, source), target)
    assert np.abs(mapped(found, mapped(there, source)) - target).max() < 1e-4


@pytest.mark.parametrize(
    ("source", "target", "words"),
    [
        (np.eye(3)[:, :2], np.eye(3)[:, :2], "four or more pairs"),
        (np.ones((5, 2)), np.ones((4, 2)), "four or more pairs"),
        (np.ones((4, 3)), np.ones((4, 3)), "four or more pairs"),
        (np.ones(8), np.ones(8), "four or more pairs"),
        (np.ones((4, 2, 1)), np.ones((4, 2, 1)), "four or more pairs"),
        ([[0, 0], [1, 0], [1, 1], [0, np.nan]], [[0, 0], [1, 0], [1, 1], [0, 1]], "finite points"),
        ([[0, 0], [1, 0], [1, 1], [0, 1]], [[0, 0], [1, 0], [1, np.inf], [0, 1]], "finite points"),
        (np.ones((4, 2)), [[0, 0], [1, 0], [1, 1], [0, 1]], "at one place"),
    ],
)
def test_what_is_no_pairing_of_points_is_refused(
    source: object, target: object, words: str
) -> None:
    with pytest.raises(CalibrationError, match=f"(homography needs|all points are).*{words}"):
        fitted(source, target)  # type: ignore[arg-type]


def test_an_origin_that_goes_to_infinity_is_refused() -> None:
    # (x, y) -> (1 / x, y / x) turns these corners into one another.
    source = np.array([[1.0, 1], [1, -1], [-1, 1], [-1, -1]])
    target = np.column_stack([1 / source[:, 0], source[:, 1] / source[:, 0]])
    with pytest.raises(CalibrationError, match=r"^the homography sends the origin to infinity$"):
        fitted(source, target)
