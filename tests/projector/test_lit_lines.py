"""Lit lines found in a picture, against lines drawn at known places."""

from __future__ import annotations

import numpy as np
import pytest

from projector.errors import ProjectorError
from projector.lit_lines import Sample, offsets, samples_along

PIXELS_A_MM = 1.7


def picture_from_table(table: np.ndarray) -> np.ndarray:
    """A mild perspective, as a camera above a table has it."""
    depth = 1.0 + 2e-4 * table[:, 0] + 1e-4 * table[:, 1]
    return np.column_stack(
        [
            (30.0 + PIXELS_A_MM * table[:, 0] - 0.1 * table[:, 1]) / depth,
            (40.0 + 0.07 * table[:, 0] + PIXELS_A_MM * table[:, 1]) / depth,
        ]
    )


def table_from_picture(pixels: np.ndarray) -> np.ndarray:
    rows = np.array([[PIXELS_A_MM, -0.1, 30.0], [0.07, PIXELS_A_MM, 40.0], [2e-4, 1e-4, 1.0]])
    mapped = np.column_stack([pixels, np.ones(len(pixels))]) @ np.linalg.inv(rows).T
    return mapped[:, :2] / mapped[:, 2:]


def drawn(a: float, b: float, shift: float, seed: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """A picture of one straight line through (20, a) and (220, b), lit `shift` mm to its left."""
    ys, xs = np.mgrid[0:420, 0:440]
    table = table_from_picture(np.column_stack([xs.ravel(), ys.ravel()]).astype(float))
    along = np.array([200.0, b - a]) / np.hypot(200.0, b - a)
    normal = np.array([-along[1], along[0]])
    away = (table - np.array([20.0, a])) @ normal - shift
    noise = np.random.default_rng(seed).normal(0.0, 0.01, away.shape)
    light = 0.15 + 0.8 * np.exp(-((away / 0.7) ** 2) / 2) + noise
    return light.reshape(ys.shape), np.array([[20.0, a], [220.0, b]])


@pytest.mark.parametrize("shift", [-1.3, 0.0, 0.25, 2.0])
@pytest.mark.parametrize("b", [100.0, 160.0])
def test_a_shifted_line_is_found_where_it_is(shift: float, b: float) -> None:
    picture, line = drawn(100.0, b, shift)
    found = offsets(picture, picture_from_table, samples_along(line, 5.0, 5.0)).across
    assert len(found) > 30 and np.isfinite(found).all()
    assert np.abs(found - shift).max() < 0.12
    assert abs(float(np.median(found)) - shift) < 0.02


def test_dark_places_and_places_off_the_picture_are_not_measured() -> None:
    picture, line = drawn(100.0, 100.0, 0.0)
    dark = samples_along(line + np.array([0.0, 40.0]), 10.0)
    far = samples_along(line + np.array([0.0, 4000.0]), 10.0)
    assert np.isnan(offsets(picture, picture_from_table, dark).across).all()
    assert np.isnan(offsets(picture, picture_from_table, far).across).all()


def test_two_lines_in_reach_are_not_measured() -> None:
    first, line = drawn(100.0, 100.0, 0.0)
    second, _ = drawn(100.0, 100.0, 3.4)
    found = offsets(np.maximum(first, second), picture_from_table, samples_along(line, 10.0))
    assert np.isnan(found.across).mean() > 0.9


def test_samples_keep_clear_of_corners() -> None:
    corner = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 50.0]])
    sample = samples_along(corner, 4.0, 10.0)
    for place in ([0.0, 0.0], [100.0, 0.0], [100.0, 50.0]):
        assert np.hypot(*(sample.points - place).T).min() >= 10.0 - 1e-9
    across = np.einsum("ij,ij->i", sample.normals, sample.normals)
    assert across == pytest.approx(np.ones(len(across)))
    assert len(samples_along([[0.0, 0.0], [0.0, 0.0]], 4.0).points) == 0


def test_a_colour_picture_is_refused() -> None:
    with pytest.raises(ProjectorError, match="2 axes"):
        offsets(np.zeros((4, 4, 3)), picture_from_table, Sample(np.zeros((1, 2)), np.ones((1, 2))))
