"""Boards written and photographs read from the command line."""

import json
from pathlib import Path

import cv2
import numpy as np
import pypdf
import pytest
from typer.testing import CliRunner

from calibration.board import printed_board, screen_board
from projector.board_sheet import board_pdf
from projector.cli import app
from projector.errors import ProjectorError
from projector.photo import read_photo
from tests.calibration.test_sighting import HOLE, photograph, truth

HOLE_TEXT = ",".join(str(edge) for edge in HOLE)


def test_a_photograph_becomes_a_map(tmp_path: Path) -> None:
    board = screen_board((1280, 720), hole=HOLE)
    seen = photograph(board, printed_board("A4"), 3)
    cv2.imwrite(str(tmp_path / "table.png"), seen)
    told = CliRunner().invoke(
        app,
        ["calibrate", str(tmp_path / "table.png"), "--screen", "1280x720", "--hole", HOLE_TEXT,
         "--json", "--picture", str(tmp_path / "corners.png")],
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    matrix = np.array(json.loads(told.stdout)["table_from_screen"])
    middle = np.array([[[640.0, 360.0]]])
    error = cv2.perspectiveTransform(middle, matrix) - cv2.perspectiveTransform(middle, truth(3)[0])
    assert np.abs(error).max() < 0.5
    assert (tmp_path / "corners.png").exists()


def test_boards_are_written_as_lit(tmp_path: Path) -> None:
    told = CliRunner().invoke(app, ["boards", "--out", str(tmp_path), "--screen", "1280x720"])
    assert told.exit_code == 0, told.output
    assert cv2.imread(str(tmp_path / "projected-board.png"), 0).shape == (720, 1280)


@pytest.mark.parametrize(("paper", "width"), [("A4", 297.0), ("A3", 420.0), ("Letter", 279.4)])
def test_the_printed_page_has_its_paper_size(tmp_path: Path, paper: str, width: float) -> None:
    (tmp_path / "page.pdf").write_bytes(board_pdf(paper))
    box = pypdf.PdfReader(tmp_path / "page.pdf").pages[0].mediabox
    assert float(box.width) * 25.4 / 72 == pytest.approx(width, abs=0.05)


def test_what_is_not_a_photograph_is_refused(tmp_path: Path) -> None:
    for name, words in (("a.jpg", "not a photograph"), ("a.heic", "take JPEG")):
        (tmp_path / name).write_bytes(b"words")
        with pytest.raises(ProjectorError, match=words):
            read_photo(tmp_path / name)
    with pytest.raises(ProjectorError, match="cannot be read"):
        read_photo(tmp_path / "missing.jpg")
