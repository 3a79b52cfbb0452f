"""Plain checkerboards: every corner, the right way round, against a closed-form homography."""

import cv2
import numpy as np
import pytest

from calibration.board import (
    corner_screen_points,
    drawn_on_screen,
    screen_board,
    whole_corners,
)
from calibration.detection import found_corners
from calibration.errors import CalibrationError
from calibration.plain_detection import checkerboard_corners

SCREEN = (1280, 720)


def photograph(
    turned: bool, marked: bool = True, hole: tuple[float, float, float, float] | None = None
) -> tuple[np.ndarray, np.ndarray]:
    board = screen_board(SCREEN, plain=True, hole=hole)
    screen = drawn_on_screen(board, SCREEN)
    if not marked:
        left, top, side = (int(v) for v in (*board.origin, board.square))
        screen[top : top + side, left : left + side] = 0
    corners = np.array([[0, 0], [1279, 0], [1279, 719], [0, 719]], np.float32)
    seen = np.array([[220, 180], [1420, 120], [1380, 1010], [160, 1060]], np.float32)
    matrix = cv2.getPerspectiveTransform(corners, np.roll(seen, 2, axis=0) if turned else seen)
    large = cv2.resize(screen, None, fx=4, fy=4, interpolation=cv2.INTER_NEAREST)
    finer = np.array([[4, 0, 1.5], [0, 4, 1.5], [0, 0, 1.0]])
    way = finer @ matrix @ np.linalg.inv(finer)
    warped = cv2.warpPerspective(large, way, (6400, 4800), borderValue=90)
    small = cv2.GaussianBlur(
        cv2.resize(warped, (1600, 1200), interpolation=cv2.INTER_AREA), (0, 0), 0.8
    )
    noise = np.random.default_rng(2).normal(0, 2.0, small.shape)
    return np.clip(30 + 0.75 * small + noise, 0, 255).astype(np.uint8), matrix


@pytest.mark.parametrize("turned", [False, True])
def test_every_corner_the_right_way_round(turned: bool) -> None:
    board = screen_board(SCREEN, plain=True)
    photo, matrix = photograph(turned)
    found = found_corners(photo, board, "photograph")
    truth = cv2.perspectiveTransform(corner_screen_points(board)[None], matrix)[0][found.ids]
    assert len(found.ids) >= 0.9 * len(corner_screen_points(board))
    assert np.sqrt(((found.points_px - truth) ** 2).mean()) < 0.12


@pytest.mark.parametrize("turned", [False, True])
def test_a_hole_costs_only_its_own_corners(turned: bool) -> None:
    hole = (430.0, 230.0, 810.0, 500.0)
    board = screen_board(SCREEN, plain=True, hole=hole)
    photo, matrix = photograph(turned, hole=hole)
    found = found_corners(photo, board, "photograph")
    truth = cv2.perspectiveTransform(corner_screen_points(board)[None], matrix)[0][found.ids]
    assert len(found.ids) >= 0.95 * whole_corners(board).sum()
    assert np.abs(found.points_px - truth).max() < 0.25


def test_a_mark_out_of_the_picture_is_made_up_for_by_the_squares() -> None:
    board = screen_board(SCREEN, plain=True)
    photo, matrix = photograph(False)
    first = cv2.perspectiveTransform(np.array([[[60.0, 60.0]]]), matrix)[0, 0]
    cut = np.ascontiguousarray(photo[:, int(first[0]) :])
    found = found_corners(cut, board, "photograph")
    truth = cv2.perspectiveTransform(corner_screen_points(board)[None], matrix)[0][found.ids]
    assert np.abs(found.points_px - (truth - [int(first[0]), 0])).max() < 0.25


def test_a_board_without_its_mark_leaves_a_doubt_and_says_so() -> None:
    board = screen_board(SCREEN, plain=True)
    with pytest.raises(CalibrationError, match="which way round"):
        found_corners(photograph(False, marked=False)[0], board, "photograph")


def test_no_board_at_all() -> None:
    with pytest.raises(CalibrationError, match="seen whole"):
        checkerboard_corners(np.full((400, 500), 128, np.uint8), 9, 6, "photograph")
