"""The projected board taken out of a still camera's pair, over a printed board lying in it."""

from dataclasses import replace

import numpy as np
import pytest

from calibration.board import (
    corner_screen_points,
    drawn_on_screen,
    printed_board,
    screen_board,
)
from calibration.detection import found_corners
from calibration.errors import CalibrationError
from calibration.light_pairs import board_alone
from calibration.rig import photo_points, true_table_points
from calibration.rig_camera import WEBCAM
from calibration.rig_picture import photograph
from calibration.rig_scenes import random_rig
from calibration.rig_surface import board_sheet


def test_a_printed_board_vanishes_from_under_the_light() -> None:
    rig = random_rig(61, camera="webcam")
    middle = true_table_points(rig, np.array([[959.5, 539.5]]))[0]
    sheet = board_sheet(printed_board("A3"), "A3", (float(middle[0]), float(middle[1])), 0.1)
    board = screen_board(rig.screen_size)
    shown = drawn_on_screen(board, rig.screen_size)
    held = replace(WEBCAM, jpeg=None)
    pair = [photograph(rig, image, 1, (sheet,), 0.6, held) for image in (shown, 255 - shown)]
    crossed = found_corners(pair[0], board, "photograph")
    alone = found_corners(board_alone(pair[0], pair[1]), board, "photograph")
    assert len(alone.ids) > len(crossed.ids)
    truly = photo_points(rig, true_table_points(rig, corner_screen_points(board)))[alone.ids]
    error = np.hypot(*(alone.points_px - truly).T)
    assert np.median(error) < 0.1


def test_what_does_not_belong_together_is_refused() -> None:
    grey = np.full((200, 300), 100, np.uint8)
    with pytest.raises(CalibrationError, match="different sizes"):
        board_alone(grey, grey[:150])
    with pytest.raises(CalibrationError, match="belong together"):
        board_alone(grey, grey, white=grey)
    with pytest.raises(CalibrationError, match="hardly any"):
        board_alone(np.zeros_like(grey), np.zeros_like(grey))
