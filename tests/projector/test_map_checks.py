"""A map doubted from the command line: taped, photographed again, at another height."""

import json
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
import yaml
from typer.testing import CliRunner

from calibration.board import printed_board, screen_board
from calibration.errors import CalibrationError
from calibration.nudging import solve
from calibration.record import Record, from_plain, to_plain
from calibration.rig import Rig, Table, true_screen_points
from calibration.rig_scenes import random_rig
from calibration.table_map import TableMap, table_points
from projector.cli import app
from projector.files.table import read_record, write_record
from projector.raised_cloth import on_cloth
from tests.calibration.test_sighting import HOLE, photograph, truth

SCREEN = ["--screen", "1280x720", "--hole", ",".join(str(edge) for edge in HOLE)]


def run(*words: object) -> tuple[int, str]:
    done = CliRunner().invoke(app, [str(word) for word in words])
    if isinstance(done.exception, CalibrationError):  # `main` tells these in one line
        return 2, str(done.exception)
    return done.exit_code, done.output


@pytest.fixture(scope="module")
def calibrated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with one photograph and the record made of it."""
    folder = tmp_path_factory.mktemp("calibrated")
    board = screen_board((1280, 720), hole=HOLE)
    for seed in (3, 4):
        seen = photograph(board, printed_board("A4"), seed)
        cv2.imwrite(str(folder / f"photo-{seed}.png"), seen)
    code, said = run("calibrate", folder / "photo-3.png", *SCREEN, "--out", folder / "table.yaml")
    assert code == 0, said
    return folder


def test_two_marks_at_a_taped_distance_cross_check_the_map(calibrated: Path) -> None:
    """The distance is that of the homography that the photograph was rendered with."""
    ends = np.array([[[200.0, 150.0], [1100.0, 600.0]]])
    on_table = cv2.perspectiveTransform(ends, truth(3)[0])[0]
    distance = float(np.hypot(*(on_table[1] - on_table[0])))
    words = ["calibrate", calibrated / "photo-3.png", *SCREEN, "--taped"]
    code, said = run(*words, f"200,150 1100,600 {distance:.1f}")
    assert code == 0 and "by the tape" in said and "not to be cut by" not in said
    code, said = run(*words, f"200,150 1100,600 {distance + 12:.1f}")
    assert "by the tape" in said and "not to be cut by" in " ".join(said.split())
    code, said = run(*words, f"200,150 1100,600 {distance + 12:.1f}", "--json")
    assert any(line.startswith("stop: the taped length") for line in json.loads(said)["findings"])


def test_one_photograph_checks_the_map(calibrated: Path) -> None:
    words = ["recheck", calibrated / "table.yaml", *SCREEN[2:], "--photo"]
    code, said = run(*words, calibrated / "photo-3.png")
    assert code == 0 and "the map holds" in said
    # A board longer by a hundredth than the bar is told lies as under a picture grown by that.
    code, said = run(*words, calibrated / "photo-3.png", "--bar", 202, "--json")
    verdict = json.loads(said)
    assert code == 1 and not verdict["holds"]
    assert verdict["scale"] == pytest.approx(0.01, abs=0.002)
    assert "mm in a metre; calibrate again" in verdict["told"]


def test_the_other_photograph_is_of_a_picture_that_moved(calibrated: Path) -> None:
    """Photograph 4 was rendered with other corners of the lit area, up to 12 mm away."""
    words = ["recheck", calibrated / "table.yaml", *SCREEN[2:], "--photo"]
    code, said = run(*words, calibrated / "photo-4.png")
    assert code == 1 and "has moved" in said


@pytest.mark.parametrize("screen", ["1024x768", "1920x1200"])
def test_a_photograph_of_another_screen_is_refused(calibrated: Path, screen: str) -> None:
    """Boards for screens of another shape have other rows: no plane has them where they are."""
    code, said = run("calibrate", calibrated / "photo-3.png", "--screen", screen)
    assert code == 2 and len(said.strip().splitlines()) == 1
    assert "a photograph of another screen" in said and "give --screen" in said


def test_a_screen_of_the_same_shape_is_named(calibrated: Path) -> None:
    """Its board has the same squares, scaled, and its markers in another order."""
    code, said = run("calibrate", calibrated / "photo-3.png", "--screen", "1920x1080")
    assert code == 2 and len(said.strip().splitlines()) == 1
    assert "of a screen of 1280x720, wanted 1920x1080" in said and "--screen 1280x720" in said


def mat(rig: Rig, height: float = 0.0) -> TableMap:
    """By hand on nine exact marks, on the table or on a board over it."""
    x, y = np.meshgrid([200.0, 800.0, 1400.0], [75.0, 450.0, 825.0])
    marks = np.column_stack([x.ravel(), y.ravel()])
    placed = true_screen_points(replace(rig, table=Table(raised=height)), marks)
    return solve(marks, placed, (1920, 1080), 0.2).table_map


def test_the_height_by_two_maps_is_kept_and_used(tmp_path: Path) -> None:
    rig = random_rig(73, projector_lens=0.0)
    truly = float(rig.projector.view.position[2])
    for name, height in (("table", 0.0), ("upper", 150.0)):
        write_record(tmp_path / f"{name}.yaml", Record(mat(rig, height), "by hand"))
    words = ["height", tmp_path / "table.yaml", "--upper", tmp_path / "upper.yaml"]
    code, said = run(*words, "--raised-by", "150 mm", "--json")
    figures = json.loads(said)
    assert code == 0 and abs(figures["height_mm"] - truly) < 3 * figures["sd_mm"] < 60.0
    assert figures["cost_of_ignoring_mm"] == pytest.approx(5000 / truly, abs=0.1)
    assert figures["metre_error_mm"] > 0.0
    kept = tmp_path / "kept.yaml"
    code, said = run(*words, "--raised-by", "150 mm", "--out", kept)
    assert code == 0 and "mm too short" in said and "over the table" in said
    record = read_record(kept)
    assert record.projector is not None and record.projector.foot is not None
    thick = on_cloth(record.table_map, "5 mm", "", record.projector)
    screen = np.array([[200.0, 500.0], [1700.0, 500.0]])
    lit = [table_points(m, screen) for m in (record.table_map, thick)]
    shrunk, whole = (np.hypot(*(part[1] - part[0])) for part in reversed(lit))
    assert shrunk / whole == pytest.approx(1 - 5 / truly, abs=1e-4)  # similar triangles


def test_the_taped_height_is_kept_and_its_error_counts(tmp_path: Path) -> None:
    table = tmp_path / "table.yaml"
    write_record(table, Record(mat(random_rig(74)), "by hand"))
    code, said = run("height", table, "--lens", "190 cm", "--lens-error", "40 mm", "--out", table)
    assert code == 0 and "1900 ± 78 mm" in said and "every metre 2.63 mm too short" in said
    code, again = run("height", table, "--thickness", "10 mm")  # the record tells the height now
    assert code == 0 and "every metre 5.26 mm too short" in again


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], "wanted --lens"),
        (["--lens", "19 mm"], "wanted 100 to 20000"),
        (["--upper", "table.yaml"], "--raised-by is missing"),
        (["--upper", "table.yaml", "--raised-by", "100 mm"], "too little to tell"),
        (["--upper", "table.yaml", "--lens", "2 m"], "found both"),
        (["--lens", "190 cm", "--thickness", "900 mm"], "less than a fifth"),
    ],
)
def test_what_is_no_height_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    write_record(Path("table.yaml"), Record(mat(random_rig(74)), "by hand"))
    done = CliRunner().invoke(app, ["height", "table.yaml", *words])
    assert done.exit_code != 0 and told in str(done.exception)


def test_older_records_are_read_unless_their_lens_was_another(tmp_path: Path) -> None:
    plain = to_plain(Record(mat(random_rig(74)), "by hand"))
    assert plain["version"] == 4
    assert from_plain(plain | {"version": 2}).table_map.terms
    short = [{"name": "corners", "covariance": np.eye(12).tolist()}]
    for old in ({"lens": [0.01, 0.0, 0.0, 0.2]}, {"lens": {"radial": [0.1]}}, {"terms": short}):
        (tmp_path / "old.yaml").write_text(yaml.safe_dump(plain | {"version": 2} | old))
        done = CliRunner().invoke(app, ["recheck", str(tmp_path / "old.yaml"), "--tape", "600"])
        said = str(done.exception)
        assert "found 2" in said and said.endswith("calibrate again") and "\n" not in said
