"""Sheets, several boards and a mat as metric truth, from rendered photographs to the map."""

import io
import json
from pathlib import Path

import cv2
import numpy as np
import pytest
import svgelements
from PIL import Image
from typer.testing import CliRunner

from calibration.board import drawn_on_screen, printed_board, screen_board
from calibration.record import from_plain
from calibration.rig import Rig, photo_points, true_table_points
from calibration.rig_camera import WEBCAM
from calibration.rig_picture import photograph
from calibration.rig_scenes import random_rig
from calibration.rig_surface import board_sheet, plain_sheet
from projector.board_sheet import board_png, board_svg
from projector.cli import app
from projector.commands.references import added_references, printed_boards
from projector.errors import ProjectorError
from tests.calibration.truth import off

HOLE = (560, 330, 1360, 750)
HOLE_TEXT = ",".join(map(str, HOLE))
RIG = random_rig(95, camera="webcam")


def shown(path: Path, rig: Rig, sheets: tuple, cloth: float = 0.4) -> str:
    board = screen_board(rig.screen_size, hole=HOLE)
    screen = drawn_on_screen(board, rig.screen_size)
    cv2.imwrite(str(path), photograph(rig, screen, 9, sheets, cloth, WEBCAM))
    return str(path)


def error(output: str) -> float:
    """95th percentile over the lit area, mm."""
    plain = json.loads(output)
    plain.pop("figures")
    return float(np.percentile(off(from_plain(plain).table_map, RIG), 95))


def at(px: float, py: float) -> tuple[float, float]:
    x, y = true_table_points(RIG, np.array([[px, py]]))[0]
    return float(x), float(y)


def test_a_plain_sheet_is_found_by_its_edges(tmp_path: Path) -> None:
    photo = shown(tmp_path / "a.png", RIG, (plain_sheet((297.0, 210.0), at(960, 540), 0.04),))
    done = CliRunner().invoke(
        app, ["calibrate", photo, "--hole", HOLE_TEXT, "--sheet", "A4", "--json"]
    )
    assert done.exit_code == 0, done.output
    assert error(done.output) < 4.0
    bare = shown(tmp_path / "b.png", RIG, ())
    with pytest.raises(ValueError, match="plain sheet"):
        CliRunner().invoke(
            app, ["calibrate", bare, "--hole", HOLE_TEXT, "--sheet", "A4"], catch_exceptions=False
        )


def test_two_boards_are_told_apart(tmp_path: Path) -> None:
    sheets = tuple(
        board_sheet(printed_board("A4", number=number), "A4", at(px, 540), 0.02 * number)
        for number, px in ((0, 758), (1, 1162))
    )
    photo = shown(tmp_path / "a.png", RIG, sheets)
    done = CliRunner().invoke(
        app,
        ["calibrate", photo, "--hole", HOLE_TEXT, "--paper", "A4", "--paper", "A4", "--json"],
    )
    assert done.exit_code == 0, done.output
    assert error(done.output) < 1.5


def test_a_mat_whose_corners_are_clicked(tmp_path: Path) -> None:
    photo = shown(tmp_path / "a.png", RIG, ())
    corners = np.array([[350.0, 150], [1250, 150], [1250, 750], [350, 750]])
    seen = photo_points(RIG, corners).round(1)
    click = " ".join(f"{x},{y}" for x, y in seen)
    done = CliRunner().invoke(
        app,
        ["calibrate", photo, "--hole", HOLE_TEXT, "--mat", "900x600", "--click", click, "--json"],
    )
    assert done.exit_code == 0, done.output
    assert error(done.output) < 3.0


def test_what_is_typed_wrongly_is_told() -> None:
    board = screen_board((1920, 1080))
    for words, said in (
        (lambda: printed_boards(["A4", "A4", "A4"], ["200", "200"], 0.1, False), "2 lengths"),
        (lambda: added_references(["A5"], "", None, board), "wanted A4, A3, Letter"),
        (lambda: added_references(["A4"], "", None, board), "--hole is missing"),
        (lambda: added_references(None, "900x600", None, board), "belong together"),
        (lambda: added_references(None, "900", ["1,1 2,2 3,3 4,4"], board), "WIDTHxHEIGHT"),
        (lambda: added_references(None, "900x600", ["1,1 2,2"], board), "four corners"),
    ):
        with pytest.raises(ProjectorError, match=said):
            words()


def test_the_printed_board_as_svg_and_png_is_at_true_scale() -> None:
    drawing = svgelements.SVG.parse(io.BytesIO(board_svg("A4", 1)), ppi=25.4)
    bar = next(part for part in drawing.elements() if getattr(part, "id", "") == "scale-bar")
    left, _, right, _ = bar.bbox()
    assert right - left == pytest.approx(200.0, abs=0.01)
    with Image.open(io.BytesIO(board_png("A4"))) as picture:
        assert picture.size == (2970, 2100)  # ISO 216: A4 is 297 x 210 mm, at 10 pixels a mm
