"""A map found in one rendered photograph, against the homographies it was rendered with."""

import cv2
import numpy as np
import pytest

from calibration.board import (
    Board,
    black_rectangles,
    drawn_on_screen,
    printed_board,
    screen_board,
)
from calibration.errors import CalibrationError
from calibration.estimate import joint
from calibration.sighting import Printed, photo_sight
from calibration.table_map import table_points

SCREEN = (1280, 720)
SIZE = (2000, 1400)
FINER = 3
HOLE = (440.0, 230.0, 830.0, 500.0)


def truth(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Table from screen, and photograph from screen; the sheet lies inside the hole."""
    random = np.random.default_rng(seed)
    screen = np.array([[0, 0], [1279, 0], [1279, 719], [0, 719]], np.float32)
    table = np.array([[-480, 300], [820, 300], [820, -440], [-480, -440]], np.float32)
    table += random.uniform(-12, 12, (4, 2)).astype(np.float32)
    table_from_screen = cv2.getPerspectiveTransform(screen, table)
    # A pinhole without a lens, looking at the middle of the table from one side.
    eye = np.array([170 + random.uniform(-250, 250), -70 - random.uniform(200, 450), 1250.0])
    forward = np.array([170.0, -70.0, 0.0]) - eye
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    turn = np.array([right, np.cross(forward, right), forward])
    inner = np.array([[1560.0, 0, (SIZE[0] - 1) / 2], [0, 1560.0, (SIZE[1] - 1) / 2], [0, 0, 1]])
    photo_from_table = inner @ np.column_stack([turn[:, 0], turn[:, 1], -turn @ eye])
    return table_from_screen, photo_from_table @ table_from_screen


def photograph(board: Board, sheet: Board, seed: int) -> np.ndarray:
    """Both boards warped at three times the size and averaged down, with blur and noise."""
    table, photo = truth(seed)
    shift = (FINER - 1) / 2
    finer = np.array([[FINER, 0, shift], [0, FINER, shift], [0, 0, 1.0]])
    large = (SIZE[0] * FINER, SIZE[1] * FINER)
    screen = cv2.resize(
        drawn_on_screen(board, SCREEN), None, fx=FINER, fy=FINER, interpolation=cv2.INTER_NEAREST
    )
    lit = cv2.warpPerspective(screen, finer @ photo @ np.linalg.inv(finer), large, borderValue=60)
    to_large = finer @ photo @ np.linalg.inv(table)
    for left, top, right, bottom in black_rectangles(sheet):
        square = np.array([[left, -top], [right, -top], [right, -bottom], [left, -bottom]])
        seen = cv2.perspectiveTransform(square[None], to_large)[0]
        # Drawn in sixteenths of a fine pixel.
        cv2.fillConvexPoly(lit, (seen * 16).round().astype(np.int32), 20, cv2.LINE_AA, 4)
    small = cv2.GaussianBlur(cv2.resize(lit, SIZE, interpolation=cv2.INTER_AREA), (0, 0), 0.8)
    noise = np.random.default_rng(seed).normal(0, 2.0, small.shape)
    return np.clip(25 + 0.8 * small + noise, 0, 255).astype(np.uint8)


@pytest.mark.parametrize("seed", [1, 2])
def test_the_map_is_the_one_rendered(seed: int) -> None:
    board, sheet = screen_board(SCREEN, hole=HOLE), printed_board("A4")
    sight = photo_sight(photograph(board, sheet, seed), board, (Printed("A4", sheet),))
    found = joint([sight], SCREEN)
    grid = np.stack(np.meshgrid(np.linspace(0, 1279, 9), np.linspace(0, 719, 7)), -1).reshape(-1, 2)
    true = cv2.perspectiveTransform(grid[None], truth(seed)[0])[0]
    error = np.linalg.norm(table_points(found.table_map, grid) - true, axis=1)
    assert np.percentile(error, 95) < 1.5
    assert found.rms_px < 0.3


def test_a_photograph_without_a_board_says_which_is_missing() -> None:
    board, sheet = screen_board(SCREEN), Printed("A4", printed_board("A4"))
    white = np.full((600, 800), 200, np.uint8)
    with pytest.raises(CalibrationError, match="projected board: found 0 corners"):
        photo_sight(white, board, (sheet,))
    alone = cv2.copyMakeBorder(drawn_on_screen(board, SCREEN), 80, 80, 80, 80, 0, value=90)
    with pytest.raises(CalibrationError, match=r"printed board: not seen, .* no hole"):
        photo_sight(alone, board, (sheet,))
