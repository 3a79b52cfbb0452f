"""The map against OpenCV's own perspective transform."""

import cv2
import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.projector_lens import LENS_NAMES, ProjectorLens, anchor_points
from calibration.table_bow import TableBow
from calibration.table_map import (
    TableMap,
    Term,
    lit_outline,
    parameters,
    screen_points,
    table_points,
    with_parameters,
)

SCREEN = (1920, 1080)
CORNERS = np.array([[-0.5, -0.5], [1919.5, -0.5], [1919.5, 1079.5], [-0.5, 1079.5]])
ON_TABLE = np.array([[3.0, 905.0], [1610.0, 880.0], [1570.0, 4.0], [40.0, -12.0]])


def keystone() -> TableMap:
    matrix = cv2.getPerspectiveTransform(CORNERS.astype(np.float32), ON_TABLE.astype(np.float32))
    return TableMap(matrix, SCREEN)


def test_points_are_mapped_as_opencv_maps_them() -> None:
    table_map = keystone()
    screen = np.random.default_rng(3).uniform([0, 0], SCREEN, (200, 2))
    expected = cv2.perspectiveTransform(screen[None], np.array(table_map.table_from_screen))[0]
    assert np.abs(table_points(table_map, screen) - expected).max() < 1e-9
    assert np.abs(screen_points(table_map, expected) - screen).max() < 1e-7


def test_lit_outline_is_where_the_corner_pixels_end() -> None:
    assert np.abs(lit_outline(keystone()) - ON_TABLE).max() < 1e-3


def test_a_horizon_on_the_screen_is_refused() -> None:
    with pytest.raises(CalibrationError, match="horizon"):
        TableMap(np.array([[1, 0, 0], [0, 1, 0], [-0.001, 0, 1.0]]), SCREEN)


def test_a_flat_matrix_is_refused() -> None:
    with pytest.raises(CalibrationError, match="inverted"):
        TableMap(np.array([[1, 0, 0], [2, 0, 0], [0, 0, 1.0]]), SCREEN)


def test_the_map_cannot_be_written_to() -> None:
    with pytest.raises(ValueError, match="read-only"):
        keystone().table_from_screen[0, 0] = 2.0


def bowed_map() -> TableMap:
    bow = TableBow((2e-6, -1e-6, 5e-7), (800.0, 450.0), (0.0, 0.0, 0.0), (790.0, 440.0, 1900.0))
    return TableMap(keystone().table_from_screen, SCREEN, bow=bow)


def test_moved_anchors_carry_the_map_as_opencv_says() -> None:
    anchors = anchor_points(SCREEN)
    there = np.array([[210.0, 700], [1400, 690], [1390, 130], [220, 120]])
    values = np.concatenate([there.ravel(), np.zeros(len(LENS_NAMES))])
    changed = with_parameters(keystone(), values)
    expected = cv2.getPerspectiveTransform(anchors.astype(np.float32), there.astype(np.float32))
    assert np.allclose(changed.table_from_screen, expected, rtol=1e-5, atol=1e-8)
    assert np.abs(table_points(changed, anchors) - there).max() < 1e-9
    assert np.allclose(parameters(changed), values, atol=1e-9) and changed.bow is None


def test_parameters_are_what_their_names_say_and_come_back() -> None:
    chance = np.random.default_rng(8)
    whole = bowed_map()
    values = parameters(whole)
    assert len(values) == len(whole.parameter_names) == 8 + len(LENS_NAMES) + 6
    assert np.allclose(values[:8].reshape(4, 2), cv2.perspectiveTransform(
        anchor_points(SCREEN)[None], np.array(whole.table_from_screen))[0])  # fmt: skip
    lens = chance.normal(0.0, 1e-3, len(LENS_NAMES))
    values = np.concatenate([values[:8] + chance.normal(0.0, 5.0, 8), lens, np.arange(1.0, 7.0)])
    values[-6:-3] *= 1e-7
    values[-1] = 1850.0
    changed = with_parameters(whole, values)
    assert changed.bow is not None
    assert changed.bow.coefficients == pytest.approx((1e-7, 2e-7, 3e-7))
    assert changed.bow.projector == (4.0, 5.0, 1850.0)
    assert np.allclose(changed.lens.values, lens)
    assert np.allclose(parameters(changed), values, atol=1e-9)


@pytest.mark.parametrize(
    ("covariance", "words"),
    [
        (np.ones(4), "covariance of a: wanted a square of finite numbers"),
        (np.ones((2, 3)), "covariance of a: wanted a square of finite numbers"),
        (np.ones((2, 2, 2)), "covariance of a: wanted a square of finite numbers"),
        (np.full((2, 2), np.nan), "covariance of a: wanted a square of finite numbers"),
        (np.diag([1.0, -1e-9]), "covariance of a: a variance is below 0"),
    ],
)
def test_what_is_no_covariance_is_refused(covariance: np.ndarray, words: str) -> None:
    with pytest.raises(CalibrationError, match=f"^{words}$"):
        Term("a", covariance)


def test_terms_add_up_and_are_over_the_parameters() -> None:
    count = len(keystone().parameter_names)
    terms = tuple(Term(name, np.eye(count) * size) for name, size in (("a", 1), ("b", 2)))
    whole = TableMap(keystone().table_from_screen, SCREEN, terms=terms)
    assert np.array_equal(whole.covariance, 3.0 * np.eye(count))
    assert np.array_equal(keystone().covariance, np.zeros((count, count)))
    with pytest.raises(ValueError, match="read-only"):
        terms[0].covariance[0, 0] = 5.0
    few = Term("few", np.eye(8))
    with pytest.raises(CalibrationError, match=r"^covariance of few: found \(8, 8\), wanted"):
        TableMap(keystone().table_from_screen, SCREEN, terms=(few,))


@pytest.mark.parametrize(
    ("matrix", "words"),
    [
        (np.eye(2), "a homography is 3 x 3 finite numbers"),
        (np.full((3, 3), np.nan), "a homography is 3 x 3 finite numbers"),
        (np.array([[1.0, 0, 0], [0, 1, 0], [1e-4, 0, 0]]), "sends the first pixel to infinity"),
    ],
)
def test_what_is_no_homography_is_refused(matrix: np.ndarray, words: str) -> None:
    with pytest.raises(CalibrationError, match=f"^(the homography )?{words}"):
        TableMap(matrix, SCREEN)


def test_scale_of_the_matrix_and_floor_of_the_error() -> None:
    plain = keystone().table_from_screen
    for factor in (-3.0, 0.25):  # homographies are known but for a factor
        assert np.allclose(TableMap(plain * factor, SCREEN).table_from_screen, plain, rtol=1e-12)
    assert TableMap(plain, SCREEN, floor=0.0).floor == 0.0
    for floor in (-1e-9, 100.0, float("nan")):
        with pytest.raises(CalibrationError, match=r"^floor of the error: found"):
            TableMap(plain, SCREEN, floor=floor)


def test_points_beyond_the_horizon_are_refused_on_either_side() -> None:
    tilted = TableMap(np.array([[1.0, 0, 0], [0, 1, 0], [-1 / 3000, 0, 1]]), SCREEN)
    # By hand: the third coordinate is 0 at x = 3000 px; every place at x < 0 mm beyond it.
    assert table_points(tilted, [(2999.0, 0.0)])[0, 0] > 1e6
    for x in (3000.0, 3001.0):
        with pytest.raises(CalibrationError, match="screen point lies beyond the horizon"):
            table_points(tilted, [(0.0, 0.0), (x, 0.0)])
    assert screen_points(tilted, [(-2999.0, 0.0)])[0, 0] < -1e6
    for x in (-3000.0, -3001.0):
        with pytest.raises(CalibrationError, match="table point lies beyond the horizon"):
            screen_points(tilted, [(0.0, 0.0), (x, 0.0)])


def test_a_ray_meets_the_bowed_table_where_the_line_from_the_lens_does() -> None:
    bow = TableBow((6.0, -3.0, 4.0), (800.0, 450.0), (0.1, 0.0, 0.05), (790.0, 440.0, 1900.0))
    flat_map = keystone()
    bent = TableMap(flat_map.table_from_screen, SCREEN, bow=bow)
    table = np.random.default_rng(4).uniform([50.0, 50.0], [1500.0, 850.0], (50, 2))
    x, y = ((table - [800.0, 450.0]) / 1000.0).T
    height = 6.0 * (x * x - 0.1) - 3.0 * x * y + 4.0 * (y * y - 0.05)
    lens = np.array([790.0, 440.0, 1900.0])
    # The line from the lens through (table, height) goes on to height 0, by its parameter.
    part = lens[2] / (lens[2] - height)
    on_plane = lens[:2] + part[:, None] * (table - lens[:2])
    lit = screen_points(flat_map, on_plane)
    assert np.abs(on_plane - table).max() > 1.0  # mm: it is no small matter here
    assert np.abs(screen_points(bent, table) - lit).max() < 1e-6
    assert np.abs(table_points(bent, lit) - table).max() < 1e-6


def test_a_lens_is_undone_and_leaves_its_anchors_alone() -> None:
    lens = ProjectorLens((0.02, -0.005, 0.1, 0.6, *(0.0,) * (len(LENS_NAMES) - 4)))
    bent = TableMap(keystone().table_from_screen, SCREEN, lens=lens)
    screen = np.random.default_rng(5).uniform([0, 0], SCREEN, (100, 2))
    assert np.abs(screen_points(bent, table_points(bent, screen)) - screen).max() < 1e-6
    moved = table_points(bent, screen) - table_points(keystone(), screen)
    assert np.abs(moved).max() > 1.0
    anchors = anchor_points(SCREEN)
    kept = table_points(bent, anchors) - table_points(keystone(), anchors)
    assert np.abs(kept).max() < 1e-6
