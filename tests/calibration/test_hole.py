"""Clicked rectangles and holes in drawn and rendered photographs, against the rig's truth."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from calibration.board import (
    drawn_on_screen,
    printed_board,
    screen_board,
)
from calibration.errors import CalibrationError
from calibration.hole import hole_round
from calibration.homography import mapped
from calibration.rig import true_screen_points, true_table_points
from calibration.rig_picture import photograph
from calibration.rig_scenes import random_rig
from calibration.rig_surface import board_sheet, table_from_sheet
from calibration.ruled_corners import ruled_corners


def test_clicks_are_drawn_to_the_lines_that_cross() -> None:
    picture = np.full((600, 900), 90, np.uint8)
    corners = np.array([[150, 480], [760, 500], [740, 110], [170, 100]])
    cv2.polylines(picture, [corners.reshape(-1, 1, 2)], True, 220, 3, cv2.LINE_AA)
    clicks = corners + np.array([2, -2])
    found = ruled_corners(picture, clicks, "photograph")
    assert np.abs(found.points_px - corners).max() < 0.2
    with pytest.raises(CalibrationError, match="counter-clockwise"):
        ruled_corners(picture, corners[::-1], "photograph")
    with pytest.raises(CalibrationError, match="4 corners"):
        ruled_corners(picture, corners[:3], "photograph")


def test_the_hole_is_left_where_the_sheet_lies() -> None:
    rig = random_rig(42)
    middle = true_table_points(rig, np.array([[1100.0, 500.0]]))[0]
    printed = printed_board("A3")
    sheet = board_sheet(printed, "A3", (float(middle[0]), float(middle[1])), 0.1)
    board = screen_board(rig.screen_size)
    photo = photograph(rig, drawn_on_screen(board, rig.screen_size), 3, (sheet,), 0.6)
    hole = hole_round(photo, board, (("A3", printed),), rig.screen_size)
    own = np.array([[0.0, -297.0], [420.0, -297.0], [420.0, 0.0], [0.0, 0.0]])
    outline = true_screen_points(rig, mapped(table_from_sheet(sheet), own)) + 0.5
    assert hole[0] < outline[:, 0].min() and hole[1] < outline[:, 1].min()
    assert hole[2] > outline[:, 0].max() and hole[3] > outline[:, 1].max()
    assert (hole[2] - hole[0]) * (hole[3] - hole[1]) < 2.0 * np.prod(np.ptp(outline, axis=0))
