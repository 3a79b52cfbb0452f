"""Boards that others made: drawn as OpenCV draws them, and a lens and a pair found by them."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from typer.testing import CliRunner

from calibration.board import corner_points, drawn_on_screen, stated_board
from calibration.camera_lens import board_sights, camera_pair
from calibration.detection import found_corners
from calibration.errors import CalibrationError
from projector.cli import app

KINDS = [
    (5, 7, "6X6_250", False),
    (8, 6, "5X5_100", True),
    (7, 10, "DICT_4X4_50", True),
    (9, 6, "APRILTAG_36h11", False),
    (6, 6, "ARUCO_ORIGINAL", True),
]
CELL, FINER = 6, 3
FOCAL, SIZE = 900.0, (960, 720)
MATRIX = np.array([[FOCAL, 0.0, 485.0], [0.0, FOCAL, 351.0], [0.0, 0.0, 1.0]])


def drawn_by_opencv(columns: int, rows: int, name: str, legacy: bool) -> tuple[np.ndarray, int]:
    """The board at `CELL` pixels a cell, and the pixels of a square."""
    number = getattr(cv2.aruco, "DICT_" + name.removeprefix("DICT_"))
    dictionary = cv2.aruco.getPredefinedDictionary(number)
    marker = CELL * (dictionary.markerSize + 2)
    square = marker + 4 * CELL
    board = cv2.aruco.CharucoBoard((columns, rows), square, marker, dictionary)
    board.setLegacyPattern(legacy)
    return board.generateImage((columns * square, rows * square), marginSize=0), square


@pytest.mark.parametrize(("columns", "rows", "name", "legacy"), KINDS)
def test_a_stated_board_is_drawn_and_read_as_opencv_draws_it(
    columns: int, rows: int, name: str, legacy: bool
) -> None:
    image, square = drawn_by_opencv(columns, rows, name, legacy)
    board = stated_board(columns, rows, square, square - 4 * CELL, name, legacy)
    assert np.array_equal(drawn_on_screen(board, image.shape[::-1]), image)
    rim = cv2.copyMakeBorder(image, 60, 60, 60, 60, cv2.BORDER_CONSTANT, value=255)
    found = found_corners(cv2.GaussianBlur(rim, (0, 0), 0.8), board, "drawing")
    assert len(found.ids) == (columns - 1) * (rows - 1)
    # Pixel edges to pixel centres, behind a rim of 60.
    assert np.abs(found.points_px - (corner_points(board)[found.ids] + 59.5)).max() < 0.03


def test_what_makes_no_board_is_told() -> None:
    with pytest.raises(CalibrationError, match=r"choose from .*6X6_250"):
        stated_board(5, 7, 40.0, 20.0, "6X6_251")
    with pytest.raises(CalibrationError, match="belong together"):
        stated_board(5, 7, 40.0, 20.0)
    with pytest.raises(CalibrationError, match="more than the dictionary holds"):
        stated_board(12, 12, 40.0, 20.0, "4X4_50")


def held(image: np.ndarray, square: int, number: int, aside: float) -> np.ndarray:
    """The board, squares of 30 mm, held some way before a pinhole that stands `aside` mm."""
    chance = np.random.default_rng((50, number))
    turn, _ = cv2.Rodrigues(chance.uniform(-0.45, 0.45, 3))
    middle = np.array([image.shape[1], image.shape[0]]) / 2.0
    mm = 30.0 / square
    board = np.array([[mm, 0, -mm * middle[0]], [0, mm, -mm * middle[1]], [0, 0, 1.0]])
    place = np.array([chance.uniform(-30, 30) - aside, chance.uniform(-30, 30), 420.0])
    photo = MATRIX @ np.column_stack([turn[:, 0], turn[:, 1], place]) @ board
    # A drawing's pixel p spans p to p + 1; a photograph's centre p sits at p + 1/2 of its edges.
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1.0]])
    finer = np.array([[FINER, 0, (FINER - 1) / 2], [0, FINER, (FINER - 1) / 2], [0, 0, 1.0]])
    large = (SIZE[0] * FINER, SIZE[1] * FINER)
    warped = cv2.warpPerspective(image, finer @ photo @ half, large, borderValue=170)
    small = cv2.GaussianBlur(cv2.resize(warped, SIZE, interpolation=cv2.INTER_AREA), (0, 0), 0.7)
    return np.clip(20 + 0.8 * small + chance.normal(0, 1.5, small.shape), 0, 255).astype(np.uint8)


def test_a_lens_and_a_pair_are_found_by_a_coded_board(tmp_path: Path) -> None:
    image, square = drawn_by_opencv(8, 6, "5X5_100", True)
    board = stated_board(8, 6, 30.0, 30.0 * (square - 4 * CELL) / square, "5X5_100", True)
    eyes = []
    for eye, aside in (("left", 0.0), ("right", 60.0)):
        photographs = [(f"{eye} {k}", held(image, square, k, aside)) for k in range(5)]
        sights, why = board_sights(photographs, board)
        assert not why
        eyes.append([sight for sight in sights if sight is not None])
        for name, photograph in photographs:
            cv2.imwrite(str(tmp_path / f"{name}.png"), photograph)
    pair = camera_pair(eyes[0], eyes[1], board, SIZE)
    assert pair.rms_px < 0.15
    assert pair.first.matrix[0, 0] == pytest.approx(FOCAL, rel=0.01)
    assert np.abs(pair.shift - [-60.0, 0.0, 0.0]).max() < 1.0
    marker = 30.0 * (square - 4 * CELL) / square
    told = CliRunner().invoke(
        app,
        ["lens", *(str(tmp_path / f"left {k}.png") for k in range(5)), "--board",
         f"8x6,30,{marker},5X5_100,legacy", "--json"],
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    figures = json.loads(told.stdout)
    assert figures["rms_px"] == pytest.approx(pair.first.rms_px)
    assert figures["camera_matrix"][0][0] == pytest.approx(FOCAL, rel=0.01)
