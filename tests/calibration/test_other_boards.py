"""A board that is not the one told is named; OpenCV's own detector reads the ones we draw."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from typer.testing import CliRunner

from calibration.board import (
    Board,
    black_rectangles,
    drawn_on_screen,
    printed_board,
    screen_board,
)
from calibration.detection import found_corners
from calibration.errors import CalibrationError
from calibration.other_boards import other_sheet
from calibration.sighting import Printed, photo_sight
from projector.cli import app


def sheet_seen(board: Board, px_per_mm: int = 2) -> np.ndarray:
    """The sheet as a scanner would see it, on a grey table."""
    image = np.full((330 * px_per_mm, 450 * px_per_mm), 110, np.uint8)
    image[20 : 310 * px_per_mm, 20 : 435 * px_per_mm] = 240
    for edges in (black_rectangles(board) * px_per_mm + 30).round().astype(int):
        image[edges[1] : edges[3], edges[0] : edges[2]] = 20
    return cv2.GaussianBlur(image, (0, 0), 0.8)


@pytest.mark.parametrize("size", [(1280, 720), (1280, 800)])
def test_the_board_of_another_screen_is_named(size: tuple[int, int]) -> None:
    lit = cv2.resize(drawn_on_screen(screen_board(size), size), (960, 540))
    with pytest.raises(CalibrationError, match=f"{size[0]}x{size[1]}, wanted 1920x1080"):
        found_corners(lit, screen_board((1920, 1080)), "photograph")


@pytest.mark.parametrize(("lies", "told"), [("A4", "A3"), ("Letter", "A4")])
def test_a_sheet_named_for_another_paper_is_named(lies: str, told: str) -> None:
    seen = sheet_seen(printed_board(lies))
    assert other_sheet(seen, [printed_board(told)]) == (lies, 0)
    assert other_sheet(seen, [printed_board(lies)]) is None
    second = sheet_seen(printed_board(lies, number=1))
    assert other_sheet(second, [printed_board(lies)]) == (lies, 1)


def test_a_coded_board_is_no_plain_one() -> None:
    lit = drawn_on_screen(screen_board((1280, 720)), (1280, 720))
    plain = screen_board((1280, 720), plain=True)
    with pytest.raises(CalibrationError, match="leave out --plain"):
        photo_sight(lit, plain, (Printed("board 1", printed_board()),))


@pytest.mark.parametrize("screen", ["1920x1080", "1280x720"])
def test_opencv_reads_our_boards_where_we_say_their_corners_are(
    screen: str, tmp_path: Path
) -> None:
    told = CliRunner().invoke(app, ["boards", "--screen", screen, "--out", str(tmp_path)])
    assert told.exit_code == 0, told.output
    corners = json.loads((tmp_path / "corners.json").read_text())
    image = cv2.imread(str(tmp_path / "projected-board.png"), 0)
    markers = corners["projected_markers"]
    whole = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, "DICT_" + markers["dictionary"]))
    ids = np.array(markers["ids"])
    board = cv2.aruco.CharucoBoard((16, 9), 1.0, 0.7, whole, ids)
    places, numbers, _, _ = cv2.aruco.CharucoDetector(board).detectBoard(image)
    where = np.array(corners["projected_px"])[numbers.reshape(-1)]
    assert len(numbers) == 120 and np.abs(places.reshape(-1, 2) - where).max() < 0.6
