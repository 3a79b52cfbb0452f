"""Corners refined on rendered photographs, against where the rig's own geometry puts them."""

import numpy as np
import pytest

from calibration.board import (
    corner_screen_points,
    drawn_on_screen,
    printed_board,
    screen_board,
)
from calibration.detection import found_corners
from calibration.rig import photo_points, true_table_points
from calibration.rig_camera import PHONE, WEBCAM
from calibration.rig_picture import photograph
from calibration.rig_scenes import random_rig
from calibration.rig_surface import board_sheet, sheet_points


@pytest.mark.parametrize(
    ("camera", "conditions", "rms"), [("phone", PHONE, 0.05), ("webcam", WEBCAM, 0.12)]
)
def test_corners_have_no_bias_to_speak_of(camera: str, conditions: object, rms: float) -> None:
    rig = random_rig(83, camera=camera)
    board, printed = screen_board(rig.screen_size, hole=(740, 380, 1180, 700)), printed_board("A3")
    middle = true_table_points(rig, np.array([[959.5, 539.5]]))[0]
    sheet = board_sheet(printed, "A3", (float(middle[0]), float(middle[1])), 0.02)
    screen = drawn_on_screen(board, rig.screen_size)
    photo = photograph(rig, screen, 5, (sheet,), 0.7, conditions)  # type: ignore[arg-type]
    lit = found_corners(photo, board, "photograph")
    truly = photo_points(rig, true_table_points(rig, corner_screen_points(board)))[lit.ids]
    error = lit.points_px - truly
    assert len(lit.ids) > 60
    assert np.abs(error.mean(axis=0)).max() < 0.03
    assert np.sqrt((error**2).mean()) < rms
    if camera == "phone":
        paper = found_corners(photo, printed, "photograph")
        error = paper.points_px - photo_points(rig, sheet_points(sheet, printed))[paper.ids]
        assert np.abs(error.mean(axis=0)).max() < 0.03
        assert np.sqrt((error**2).mean()) < rms
