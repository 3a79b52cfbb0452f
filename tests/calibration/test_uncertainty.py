"""Errors of a map: derivatives against differences, covariances against Monte-Carlo."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from scipy import stats

from calibration.errors import CalibrationError
from calibration.projector_lens import ProjectorLens
from calibration.table_bow import TableBow
from calibration.table_map import (
    TableMap,
    Term,
    parameters,
    screen_points,
    table_points,
    with_parameters,
)
from calibration.uncertainty import (
    CHI_95,
    error_map,
    error_radius,
    length_error,
    metre_error,
    moves,
    point_covariance,
    shares,
)

SCREEN = (1920, 1080)
CORNERS = np.array([[-0.5, -0.5], [1919.5, -0.5], [1919.5, 1079.5], [-0.5, 1079.5]])
ON_TABLE = np.array([[3.0, 905.0], [1610.0, 880.0], [1570.0, 4.0], [40.0, -12.0]])
LENS = ProjectorLens((0.006, -0.002, 0.1, 0.4, *np.random.default_rng(6).normal(0, 0.002, 6)))
BOW = TableBow((3.0, -1.0, 2.0), (800.0, 450.0), (0.1, 0.0, 0.05), (700.0, -100.0, 1900.0))


def a_map(terms: tuple[Term, ...] = (), floor: float = 0.0, bow: TableBow | None = BOW) -> TableMap:
    matrix = cv2.getPerspectiveTransform(CORNERS.astype(np.float32), ON_TABLE.astype(np.float32))
    return TableMap(matrix, SCREEN, LENS, bow, terms, floor)


def some_points(count: int = 40) -> np.ndarray:
    return np.random.default_rng(2).uniform(CORNERS[0], CORNERS[2], (count, 2))


def test_a_lens_and_a_bow_are_undone() -> None:
    screen = some_points()
    assert np.abs(screen_points(a_map(), table_points(a_map(), screen)) - screen).max() < 1e-6


def test_the_bow_meets_the_ray_in_space() -> None:
    """A point above the plane lies on the line from the projector's lens to the plane."""
    flat = a_map(bow=None)
    screen = some_points()
    on_plane = np.column_stack([table_points(flat, screen), np.zeros(len(screen))])
    x, y = (table_points(a_map(), screen) - BOW.middle).T / 1000.0
    b, level = np.array(BOW.coefficients), np.array(BOW.level)
    height = (np.column_stack([x * x, x * y, y * y]) - level) @ b
    on_bow = np.column_stack([table_points(a_map(), screen), height])
    eye = np.array(BOW.projector)
    off = np.linalg.norm(np.cross(on_bow - eye, on_plane - eye), axis=1)
    assert np.abs(height).max() > 0.5
    assert (off / np.linalg.norm(on_plane - eye, axis=1)).max() < 1e-6


def test_moves_are_the_derivatives_of_the_points() -> None:
    start, screen = parameters(a_map()), some_points()
    again = with_parameters(a_map(), start)
    assert np.abs(table_points(again, screen) - table_points(a_map(), screen)).max() < 1e-8
    steps = np.array([*[0.01] * 8, *[1e-4] * 10, *[1e-3] * 3, *[0.1] * 3])
    for index, step in enumerate(steps):
        away = np.zeros(len(start))
        away[index] = step
        there = table_points(with_parameters(a_map(), start + away), screen)
        back = table_points(with_parameters(a_map(), start - away), screen)
        slope = (there - back) / (2 * step)
        found = moves(a_map(), screen)[:, :, index]
        assert np.abs(found - slope).max() < 1e-4 * max(np.abs(slope).max(), 1e-3)


def noisy_map() -> TableMap:
    chance = np.random.default_rng(5)
    mixed = chance.normal(0, 0.4, (24, 24))
    mixed[8:18] *= 0.002
    mixed[21:] *= 20
    return a_map((Term("corners", mixed @ mixed.T / 24),))


def test_ellipses_hold_95_of_100_by_monte_carlo() -> None:
    table_map = noisy_map()
    screen = some_points(12)
    truth = table_points(table_map, screen)
    outline = table_points(
        table_map,
        np.stack(
            np.meshgrid(np.linspace(-0.5, 1919.5, 13), np.linspace(-0.5, 1079.5, 9)), axis=-1
        ).reshape(-1, 2),
    )
    both_true = np.vstack([outline, truth])
    chance = np.random.default_rng(1)
    draws = chance.multivariate_normal(parameters(table_map), table_map.covariance, 600)
    off = []
    for draw in draws:
        other = with_parameters(table_map, draw)
        grid = table_points(other, screen_points(table_map, both_true))
        a, b = grid[: len(outline)], outline
        u, _, v = np.linalg.svd((a - a.mean(axis=0)).T @ (b - b.mean(axis=0)))
        both = (grid - a.mean(axis=0)) @ (u @ v) + b.mean(axis=0)
        off.append(both[len(outline) :] - truth)
    off = np.array(off)
    predicted = point_covariance(table_map, truth)
    found = np.einsum("rni,rnj->nij", off, off) / len(off)
    spread = np.sqrt(np.einsum("nii->n", found) / np.einsum("nii->n", predicted))
    assert spread.min() > 0.93 and spread.max() < 1.07
    inside = np.einsum("rni,nij,rnj->rn", off, np.linalg.inv(predicted), off) <= CHI_95
    assert 0.93 < inside.mean() < 0.97


def test_lengths_hold_95_of_100_by_monte_carlo() -> None:
    table_map = noisy_map()
    a, b = np.array([[300.0, 450.0], [800.0, 100.0]]), np.array([[1300.0, 450.0], [800.0, 800.0]])
    predicted = length_error(table_map, a, b)
    chance = np.random.default_rng(1)
    screens = screen_points(table_map, a), screen_points(table_map, b)
    lengths = []
    for draw in chance.multivariate_normal(parameters(table_map), table_map.covariance, 600):
        other = with_parameters(table_map, draw)
        ends = [table_points(other, side) for side in screens]
        lengths.append(np.hypot(*(ends[1] - ends[0]).T))
    off = np.array(lengths) - np.hypot(*(b - a).T)
    assert np.abs(off.std(axis=0) * 1.96 / predicted - 1).max() < 0.1


def test_chi_square_is_that_of_scipy() -> None:
    assert np.isclose(CHI_95, stats.chi2.ppf(0.95, 2))


def test_a_scale_grows_with_the_length_and_leaves_the_middle_alone() -> None:
    """A scale of 0.1 % by itself: 1 mm and 1.96 sigma on a metre, whatever the frame."""
    flat = a_map(bow=None)
    anchors = parameters(flat)[:8] - np.tile(ON_TABLE.mean(axis=0), 4) - 5000.0
    way = np.concatenate([anchors * 0.001, np.zeros(10)])
    table_map = a_map((Term("print scale", np.outer(way, way)),), bow=None)
    a, b = np.array([[100.0, 300.0]]), np.array([[1100.0, 300.0]])
    assert length_error(table_map, a, b)[0] == pytest.approx(1.96, abs=0.01)
    assert metre_error(table_map) == pytest.approx(1.96 * 0.9, rel=0.15)
    assert shares(table_map)[0].name == "print scale"
    radius = error_radius(point_covariance(table_map, ON_TABLE))
    far = np.hypot(*(ON_TABLE - ON_TABLE.mean(axis=0)).T)
    assert radius == pytest.approx(0.001 * far * np.sqrt(CHI_95), rel=0.05)


def test_a_map_of_the_error_covers_the_lit_area() -> None:
    found = error_map(noisy_map(), 100.0)
    assert found.points.shape == (*found.radius.shape, 2)
    assert found.radius.shape[1] >= 15 and found.radius.shape[0] >= 8
    assert found.radius.min() > 0.0


def test_a_map_that_does_not_know_its_error_says_so() -> None:
    with pytest.raises(CalibrationError, match="does not say how sure"):
        point_covariance(a_map(), ON_TABLE)
    with pytest.raises(CalibrationError, match="wanted 18 x 18"):
        a_map((Term("corners", np.eye(3)),), bow=None)
    with pytest.raises(CalibrationError, match="variance is below 0"):
        Term("corners", -np.eye(12))
