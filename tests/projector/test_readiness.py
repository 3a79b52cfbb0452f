"""What is told missing before work begins."""

from __future__ import annotations

import errno
import json
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from calibration.record import Record
from projector.cli import app
from projector.files.table import write_record
from projector.readiness import calibration_age, calibration_fits, camera_found, displays_found
from tests.projector.choir import hall_map

NOW = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("sizes", "chosen", "severity"),
    [
        ((), None, "stop"),
        (((1920, 1080),), None, "warning"),
        (((1920, 1080), (1280, 800)), None, "fine"),
        (((1920, 1080), (1280, 800)), 1, "fine"),
        (((1920, 1080), (1280, 800)), 2, "warning"),
    ],
)
def test_displays(sizes: tuple[tuple[int, int], ...], chosen: int | None, severity: str) -> None:
    finding = displays_found(sizes, chosen)
    assert finding.severity == severity
    assert bool(finding.advice) == (severity != "fine")


@pytest.mark.parametrize(
    ("days", "severity"), [(0, "fine"), (29, "fine"), (45, "warning"), (-2, "warning")]
)
def test_age_of_the_calibration(days: int, severity: str) -> None:
    assert calibration_age(NOW - timedelta(days=days), NOW).severity == severity
    assert calibration_age(None, NOW).severity == "warning"


def test_camera() -> None:
    assert camera_found(None, 0).severity == "note"
    assert "1280 x 720" in camera_found((1280, 720), 1).measured


@pytest.mark.parametrize(
    ("sizes", "chosen", "severity", "said"),
    [
        (((1280, 800), (1920, 1080)), None, "fine", "display 1"),
        (((1280, 800), (1920, 1080)), 1, "fine", "display 1"),
        (((1920, 1080), (1280, 800)), 1, "warning", "--display 0"),
        (((1280, 800),), None, "warning", "calibrate again"),
        ((), None, "warning", "calibrate again"),
    ],
)
def test_the_display_the_map_was_made_for(
    sizes: tuple[tuple[int, int], ...], chosen: int | None, severity: str, said: str
) -> None:
    found = calibration_fits((1920, 1080), sizes, chosen)
    assert found.severity == severity and said in found.measured + found.advice


def told(*words: str) -> dict[str, dict[str, str]]:
    done = CliRunner().invoke(app, ["ready", "--json", *words])
    assert done.exit_code in (0, 1), done.output
    return {each["subject"]: each for each in json.loads(done.stdout)["findings"]}


def test_a_record_is_judged_by_what_it_says(tmp_path: Path, null_driver: None) -> None:
    table = tmp_path / "table.yaml"
    write_record(table, Record(hall_map((1920, 1080)), "camera", "2020-01-02 10:00 +0100"))
    found = told("--table", str(table))
    assert "1 m is right to" in found["record"]["measured"]
    assert "days old" in found["calibration"]["measured"]
    assert found["map and display"]["severity"] == "warning"
    table.write_text("screen_size: [1920")
    found = told("--table", str(table))
    assert found["record"]["severity"] == "stop" and "table.yaml" in found["record"]["measured"]
    assert told("--table", str(tmp_path / "none.yaml"))["record"]["severity"] == "stop"


def test_a_folder_that_takes_nothing_is_told(
    null_driver: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(**words: Any) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    assert told()["folder of jobs"]["severity"] == "fine"
    monkeypatch.setattr(tempfile, "NamedTemporaryFile", full)
    found = told()["folder of jobs"]
    assert "Read-only" in found["measured"] and "folder of your own" in found["advice"]


def test_everything_that_is_not_fine_says_how_to_mend_it(null_driver: None) -> None:
    found = told()
    assert {"displays", "camera 0", "calibration", "letters", "search for short lays"} <= set(found)
    assert all(each["advice"] for each in found.values() if each["severity"] != "fine")
