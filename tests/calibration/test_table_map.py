"""The map against OpenCV's own perspective transform."""

import cv2
import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.table_map import TableMap, lit_outline, screen_points, table_points

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
