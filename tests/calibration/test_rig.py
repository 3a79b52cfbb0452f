"""The simulated rig against OpenCV's camera model, and against straight rays in space."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from calibration.rig import photo_points, surface_points, true_screen_points, true_table_points
from calibration.rig_scenes import random_rig
from tests.calibration.sights import printed_points, screen_grid, sights


@pytest.mark.parametrize("camera", ["phone", "webcam"])
def test_a_view_is_opencv_s_view(camera: str) -> None:
    rig = random_rig(3, 2, camera, bow=1.5)
    table = true_table_points(rig, screen_grid(rig.screen_size, 7, 5))
    points = surface_points(rig, table)
    lens = rig.camera
    inner = np.array(
        [[lens.focal_px, 0, lens.centre_px[0]], [0, lens.focal_px, lens.centre_px[1]], [0, 0, 1]]
    )
    k1, k2, k3 = lens.radial
    bend = np.array([k1, k2, *lens.tangential, k3])
    for index, view in enumerate(rig.views):
        turn = cv2.Rodrigues(view.turn)[0]
        expected, _ = cv2.projectPoints(points, turn, -view.turn @ view.position, inner, bend)
        assert np.abs(photo_points(rig, table, index) - expected[:, 0]).max() < 1e-7


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("screen", [(1280, 720), (1920, 1080), (3840, 2160)])
def test_the_projector_runs_both_ways(seed: int, screen: tuple[int, int]) -> None:
    rig = random_rig(seed, bow=2.0, screen_size=screen)
    grid = screen_grid(screen, 9, 6, 0.0)
    table = true_table_points(rig, grid)
    assert np.abs(true_screen_points(rig, table) - grid).max() < 1e-6
    assert (np.abs(table.mean(axis=0) - [800, 450]) < 150).all()
    assert (np.abs(np.ptp(table, axis=0) - [1600, 900]) < [250, 250]).all()


def test_the_table_is_seen_from_above_as_it_lies() -> None:
    """Screen down is table near, screen right is table right: a picture is never mirrored."""
    rig = random_rig(1)
    near, far, right = true_table_points(rig, np.array([[900.0, 900], [900, 100], [1500, 100]]))
    assert far[1] - near[1] > 300 and right[0] - far[0] > 300


def test_a_scene_shows_nearly_all_its_corners() -> None:
    rig = random_rig(5, 3)
    screen = screen_grid(rig.screen_size, 16, 9)
    sheets = [("A4", printed_points(10, 6, 25.0), (800.0, 450.0, 0.2))]
    for sight in sights(rig, screen, sheets, 0.0, 5):
        assert len(sight.screen_px) > 0.8 * len(screen)
        assert len(sight.references) == 1 and len(sight.references[0].plane) == 60
