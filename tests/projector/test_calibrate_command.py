"""Boards written and photographs read from the command line."""

import json
from pathlib import Path

import cv2
import numpy as np
import pypdf
import pytest
from PIL import Image
from typer.testing import CliRunner

from calibration.board import printed_board, screen_board, stated_board
from projector import camera
from projector.board_sheet import board_pdf
from projector.camera import frames
from projector.cli import app
from projector.errors import ProjectorError
from projector.files.table import read_record, read_table
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
         "--json", "--pictures", str(tmp_path / "seen"), "--out", str(tmp_path / "table.yaml")],
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    figures = json.loads(told.stdout)
    matrix = np.array(figures["table_from_screen"])
    middle = np.array([[[640.0, 360.0]]])
    error = cv2.perspectiveTransform(middle, matrix) - cv2.perspectiveTransform(middle, truth(3)[0])
    assert np.abs(error).max() < 0.5
    assert (tmp_path / "seen" / "corners-1.png").exists()
    assert cv2.imread(str(tmp_path / "seen" / "error-map.png")) is not None
    kept = read_record(tmp_path / "table.yaml")
    assert np.array_equal(kept.table_map.table_from_screen, matrix)
    assert kept.route == "camera" and any("photographs" in line for line in kept.findings)
    (tmp_path / "table.json").write_text(told.stdout)
    assert np.array_equal(read_table(tmp_path / "table.json").table_from_screen, matrix)


def test_a_board_that_others_printed_becomes_a_map(tmp_path: Path) -> None:
    board, sheet = screen_board((1280, 720), hole=HOLE), stated_board(7, 5, 38.0, 28.0, "5X5_100")
    cv2.imwrite(str(tmp_path / "table.png"), photograph(board, sheet, 3))
    told = CliRunner().invoke(
        app,
        ["calibrate", str(tmp_path / "table.png"), "--screen", "1280x720", "--hole", HOLE_TEXT,
         "--board", "7x5,38,28,5X5_100", "--json"],
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    figures = json.loads(told.stdout)["figures"]
    true = cv2.perspectiveTransform(np.array([figures["screen_px"]]), truth(3)[0])[0]
    error = np.hypot(*(np.array(figures["table_mm"]) - true).T)
    assert np.percentile(error, 95) < 1.5
    radius = np.sqrt(5.99 * np.linalg.eigvalsh(np.array(figures["covariance_mm2"]))[:, -1])
    assert figures["weak"] and (error < 2.0 * radius.max()).all()


def test_frames_come_from_a_video_as_from_a_camera(tmp_path: Path) -> None:
    board = screen_board((1280, 720), hole=HOLE)
    writer = cv2.VideoWriter(
        str(tmp_path / "table.avi"), cv2.VideoWriter_fourcc(*"MJPG"), 5.0, (2000, 1400)
    )
    seen = photograph(board, printed_board("A4"), 3)
    for _ in range(6):
        writer.write(cv2.cvtColor(seen, cv2.COLOR_GRAY2BGR))
    writer.release()
    told = CliRunner().invoke(
        app,
        ["calibrate", "--camera", str(tmp_path / "table.avi"), "--shots", "2", "--screen",
         "1280x720", "--hole", HOLE_TEXT, "--json"],
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    matrix = np.array(json.loads(told.stdout)["table_from_screen"])
    middle = np.array([[[640.0, 360.0]]])
    error = cv2.perspectiveTransform(middle, matrix) - cv2.perspectiveTransform(middle, truth(3)[0])
    assert np.abs(error).max() < 0.7


def test_a_camera_that_is_not_there_shows_nothing_or_black_is_told(tmp_path: Path) -> None:
    for source in ("63", "97", "9" * 30, str(tmp_path / "none.avi"), "http://127.0.0.1/a.avi"):
        with pytest.raises(ProjectorError, match="camera"):
            frames(source, 1)
    writer = cv2.VideoWriter(
        str(tmp_path / "dark.avi"), cv2.VideoWriter_fourcc(*"MJPG"), 5.0, (320, 240)
    )
    for _ in range(3):
        writer.write(np.zeros((240, 320, 3), np.uint8))
    writer.release()
    with pytest.raises(ProjectorError, match="black"):
        frames(str(tmp_path / "dark.avi"), 1)
    (tmp_path / "words.avi").write_text("not a video")
    with pytest.raises(ProjectorError, match="can be read"):
        frames(str(tmp_path / "words.avi"), 1)


@pytest.mark.parametrize("gives", [0, 5, 30])
def test_a_camera_that_stalls_or_goes_away_is_told_and_let_go(
    gives: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Stalling:
        """A camera that hands out so many pictures, and then nothing."""

        left, open = gives, True

        def __init__(self, number: int) -> None:
            Stalling.left, Stalling.open = gives, True

        def isOpened(self) -> bool:  # noqa: N802
            return True

        def read(self) -> tuple[bool, np.ndarray | None]:
            Stalling.left -= 1
            return (True, np.full((24, 32, 3), 90, np.uint8)) if self.left >= 0 else (False, None)

        def release(self) -> None:
            Stalling.open = False

    monkeypatch.setattr(cv2, "VideoCapture", Stalling)
    monkeypatch.setattr(camera, "PATIENCE", 0.2)
    with pytest.raises(ProjectorError, match=r"no picture for .* plug it in again"):
        frames("0", 1 if gives < 12 else 3)  # a camera is given twelve pictures to settle
    assert not Stalling.open


def test_the_focal_length_a_phone_notes_is_read_and_its_turn_is_not_followed(
    tmp_path: Path,
) -> None:
    picture = Image.new("RGB", (400, 300), (90, 90, 90))
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter (Exif 2.3, Orientation)
    exif.get_ifd(0x8769)[0xA405] = 26  # FocalLengthIn35mmFilm
    picture.save(tmp_path / "a.jpg", exif=exif)
    photo = read_photo(tmp_path / "a.jpg")
    assert photo.image.shape == (300, 400, 3)
    # By definition the field of view over the diagonal is that of 26 mm on a film of 36 x 24 mm.
    assert photo.focal_px == pytest.approx(26 / np.hypot(36, 24) * 500, rel=1e-4)


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
    with pytest.raises(ProjectorError, match="no such photograph"):
        read_photo(tmp_path / "missing.jpg")
