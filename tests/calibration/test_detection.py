"""Boards found in rendered photographs, against corners known in closed form."""

import cv2
import numpy as np
import pytest

from calibration.board import (
    Board,
    corner_points,
    corner_screen_points,
    drawn_on_screen,
    paper_corners,
    printed_board,
    screen_board,
)
from calibration.detection import found_corners
from calibration.errors import CalibrationError

SCREEN = (1280, 720)
FINER = 4


def view(seed: int) -> np.ndarray:
    """A random homography from screen points to a photograph of 1600 x 1200."""
    random = np.random.default_rng(seed)
    corners = np.array([[0, 0], [1279, 0], [1279, 719], [0, 719]], np.float32)
    seen = np.array([[180, 200], [1450, 150], [1400, 1000], [150, 1050]], np.float32)
    seen += random.uniform(-90, 90, (4, 2)).astype(np.float32)
    return cv2.getPerspectiveTransform(corners, seen)


def photograph(board: Board, seed: int, noise: float = 2.0) -> np.ndarray:
    """Warped at four times the size, then averaged down: no bias from resampling."""
    screen = drawn_on_screen(board, SCREEN)
    # A photograph point p sits at FINER p + (FINER - 1) / 2 in the finer image.
    shift = (FINER - 1) / 2
    finer = np.array([[FINER, 0, shift], [0, FINER, shift], [0, 0, 1.0]])
    large = cv2.resize(screen, None, fx=FINER, fy=FINER, interpolation=cv2.INTER_NEAREST)
    large_from_screen = finer.copy()
    matrix = finer @ view(seed) @ np.linalg.inv(large_from_screen)
    size = (1600 * FINER, 1200 * FINER)
    warped = cv2.warpPerspective(large, matrix, size, flags=cv2.INTER_LINEAR, borderValue=90)
    small = cv2.resize(warped, (1600, 1200), interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), 0.8)
    random = np.random.default_rng(seed)
    noisy = 30 + 0.75 * small + random.normal(0, noise, small.shape)
    return np.clip(noisy, 0, 255).astype(np.uint8)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_corners_lie_where_the_homography_puts_them(seed: int) -> None:
    board = screen_board(SCREEN)
    corners = found_corners(photograph(board, seed), board, "photograph")
    assert len(corners.ids) >= 0.9 * len(corner_points(board))
    truth = cv2.perspectiveTransform(corner_screen_points(board)[None], view(seed))[0][corners.ids]
    error = corners.points_px - truth
    assert np.abs(error.mean(axis=0)).max() < 0.03
    assert np.sqrt((error**2).mean()) < 0.12


def test_a_hole_costs_only_its_own_corners() -> None:
    board = screen_board(SCREEN, hole=(400, 240, 800, 480))
    corners = found_corners(photograph(board, 4), board, "photograph")
    truth = corner_screen_points(board)
    seen = cv2.perspectiveTransform(truth[None], view(4))[0][corners.ids]
    inside = (np.abs(truth - [600, 360]) < [200, 120]).all(axis=1)
    assert 0.6 * (~inside).sum() <= len(corners.ids)
    assert np.median(np.linalg.norm(corners.points_px - seen, axis=1)) < 0.1


def test_half_a_turn_is_no_doubt() -> None:
    board = screen_board(SCREEN)
    upright = photograph(board, 2)
    turned = found_corners(np.ascontiguousarray(upright[::-1, ::-1]), board, "photograph")
    truth = cv2.perspectiveTransform(corner_screen_points(board)[None], view(2))[0][turned.ids]
    assert np.abs(turned.points_px - ([1599, 1199] - truth)).max() < 1.0


def test_without_a_board_it_says_so() -> None:
    grey = np.random.default_rng(0).integers(0, 255, (600, 800)).astype(np.uint8)
    with pytest.raises(CalibrationError, match=r"table\.jpg: found 0 corners"):
        found_corners(grey, screen_board(SCREEN), "table.jpg")


def test_the_other_board_is_not_taken_for_this_one() -> None:
    with pytest.raises(CalibrationError, match="wanted 8"):
        found_corners(photograph(screen_board(SCREEN), 1), printed_board("A4"), "photograph")


def test_a_printed_board_fits_its_sheet() -> None:
    board = printed_board("A4")
    corners = paper_corners(board)
    assert board.columns * board.square <= 297 - 20
    assert np.allclose(np.ptp(corners, axis=0), [(board.columns - 2) * 30, (board.rows - 2) * 30])
    with pytest.raises(CalibrationError, match="choose from"):
        printed_board("foolscap")


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080), (1280, 800), (3840, 2160)])
def test_boards_are_drawn_in_whole_pixels(size: tuple[int, int]) -> None:
    image = drawn_on_screen(screen_board(size), size)
    assert image.shape == size[::-1]
    assert set(np.unique(image)) == {0, 255}
