"""The record a route writes is the one in use; lamps that light boards and marks for a command."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pytest
from typer.testing import CliRunner

from calibration.record import Record
from calibration.tape import lit_marks
from projector.cli import app
from projector.desk import lamp
from projector.files.settings import read_settings
from projector.files.table import write_record
from tests.projector.choir import hall_map

SCREEN = (1280, 720)


class Lit:
    """A lamp whose worker closes the window at once."""

    shown: npt.NDArray[np.uint8] | None = None

    def __init__(self, display: int) -> None:
        self.size = SCREEN

    def light(self, image: npt.NDArray[np.uint8]) -> None:
        Lit.shown = image

    def stay(self) -> None:
        pass

    def close(self) -> None:
        pass


@pytest.fixture
def lit(monkeypatch: pytest.MonkeyPatch, null_driver: None) -> type[Lit]:
    monkeypatch.setattr(lamp, "ProjectedLamp", Lit)
    Lit.shown = None
    return Lit


def ran(*words: str) -> str:
    done = CliRunner().invoke(app, words)
    assert done.exit_code == 0, (words, done.output, done.exception)
    return done.output


def test_a_route_has_its_record_used_from_then_on(null_driver: None) -> None:
    assert read_settings().table == ""
    ran("tape", "lengths.yaml", "--screen", "1280x720")
    # A projector that hangs straight over the table: 1 mm a pixel, taped without error.
    places = dict(zip("ABCDEFGHI", lit_marks(SCREEN), strict=True))
    text = Path("lengths.yaml").read_text()
    for first, (x, y) in places.items():
        for second, (u, v) in places.items():
            apart = float(np.hypot(x - u, y - v))
            text = text.replace(f'[{first}, {second}, ""]', f"[{first}, {second}, {apart:.1f} mm]")
    Path("lengths.yaml").write_text(text)
    assert "light, sheet, ready and the desk take it" in ran(
        "tape", "lengths.yaml", "--out", "table.yaml"
    )
    assert read_settings().table == str(Path("table.yaml").resolve())
    assert "none" not in ran("ready").split("calibration")[1].splitlines()[0]


def test_the_light_takes_the_record_used_last(null_driver: None, choir: Path) -> None:
    done = CliRunner().invoke(app, ["light", str(choir)])
    assert "no calibration is in use" in str(done.exception)
    write_record(Path("table.yaml"), Record(hall_map(), "camera"))
    Path("settings.yaml").write_text(f"table: {Path('table.yaml').resolve()}\n")
    done = CliRunner().invoke(app, ["light", str(choir), "--display", "7"])
    assert "display 7 is not connected" in str(done.exception)


def test_the_board_that_is_lit_is_the_one_that_is_written(lit: type[Lit]) -> None:
    told = ran("boards", "--display", "0", "--hole", "500,250,780,470")
    assert "lit on display 0" in told and lit.shown is not None
    written = cv2.imread("boards/projected-board.png", cv2.IMREAD_GRAYSCALE)
    assert written.shape == (720, 1280) and np.array_equal(written, lit.shown)


def test_the_marks_that_are_lit_are_those_of_the_file(lit: type[Lit]) -> None:
    told = ran("tape", "lengths.yaml", "--display", "0")
    assert "fill in lengths.yaml" in told and lit.shown is not None
    for x, y in lit_marks(SCREEN):
        assert lit.shown[round(y), round(x)] == 255
    lit.shown = None
    ran("tape", "lengths.yaml", "--display", "0")  # a second time: the same file, lit again
    assert lit.shown is not None
    ran("tape", "other.yaml", "--screen", "1920x1080")
    done = CliRunner().invoke(app, ["tape", "other.yaml", "--display", "0"])
    assert "its marks are for 1920 x 1080" in str(done.exception)
