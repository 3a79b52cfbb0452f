"""The map without a camera, from the command line, against the rig's own geometry."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
import yaml
from typer.testing import CliRunner

from calibration.record import from_plain
from calibration.rig import true_screen_points, true_table_points
from calibration.rig_scenes import random_rig
from calibration.table_map import screen_points, table_points
from calibration.tape import lit_marks
from calibration.uncertainty import lit_grid, point_covariance
from drafting.errors import DraftingError
from projector.cli import app
from projector.errors import ProjectorError
from projector.files.marks import read_crosshairs, read_lengths
from projector.files.table import read_record, read_table
from projector.raised_cloth import on_cloth

RIG = random_rig(71)


def true_lengths(path: Path, chance: np.random.Generator) -> dict:
    plain = yaml.safe_load(path.read_text())
    for row in plain["lengths"]:
        ends = np.array([plain["marks"][letter] for letter in row[:2]])
        truly = true_table_points(RIG, ends)
        row[2] = f"{np.hypot(*(truly[1] - truly[0])) + chance.normal(0, 0.4):.1f} mm"
    return plain


def scale_error(path: Path) -> float:
    """Worst error of a length of about 1 m, mm, which a rigid motion of the table leaves alone."""
    table_map = read_table(path)
    screen = np.array([[200.0, 200], [1500, 300], [300, 900], [1700, 950]])
    ours, truly = table_points(table_map, screen), true_table_points(RIG, screen)
    pairs = [(0, 1), (0, 2), (1, 3), (2, 3), (0, 3), (1, 2)]
    lengths = [[np.hypot(*(p[b] - p[a])) for a, b in pairs] for p in (ours, truly)]
    return float(np.abs(np.subtract(*lengths)).max())


def assert_figures_hold_the_truth(figures: dict) -> None:
    """Points and lengths against the rig, by what the figures say of themselves alone."""
    ours, truly = (
        np.array(figures["table_mm"]),
        true_table_points(RIG, np.array(figures["screen_px"])),
    )
    a, b = ours - ours.mean(axis=0), truly - truly.mean(axis=0)
    u, _, v = np.linalg.svd(b.T @ a)  # Procrustes: the truth turned to lie on the map
    off = (b @ u @ v - a)[:, :, None]
    covariance, moves = np.array(figures["covariance_mm2"]), np.array(figures["moves_mm"])
    floor = figures["floor_mm"]
    held = np.swapaxes(off, 1, 2) @ np.linalg.inv(covariance) @ off <= 5.991
    assert held.mean() > 0.9
    whole = np.einsum("nik,njk->nij", moves, moves) + floor**2 * np.eye(2)
    assert np.allclose(whole, covariance, rtol=1e-9)
    one, other = np.random.default_rng(1).permuted(np.tile(np.arange(len(a)), (2, 1)), axis=1)
    apart = one != other
    one, other = one[apart], other[apart]
    way, true_way = a[other] - a[one], b[other] - b[one]
    length = np.hypot(*way.T)
    along = np.einsum("ni,nik->nk", way / length[:, None], moves[other] - moves[one])
    at_floor = 2.0 * (floor * np.minimum(length / 1000.0, 1.0)) ** 2
    error = 1.96 * np.sqrt((along**2).sum(axis=1) + at_floor)
    assert (np.abs(np.hypot(*true_way.T) - length) <= error).mean() > 0.9
    assert set(figures) >= set(figures["about"])


def test_tape_alone(tmp_path: Path) -> None:
    file = tmp_path / "lengths.yaml"
    begun = CliRunner().invoke(app, ["tape", str(file)])
    assert begun.exit_code == 0, begun.output
    lit = cv2.imread(str(tmp_path / "lengths.png"), cv2.IMREAD_GRAYSCALE)
    assert lit.shape == (1080, 1920)
    for x, y in lit_marks((1920, 1080)).astype(int):
        assert lit[y, x] == 255 and lit[y + 5, x + 5] == 0
    plain = true_lengths(file, np.random.default_rng(3))
    file.write_text(yaml.safe_dump(plain))
    done = CliRunner().invoke(app, ["tape", str(file), "--out", str(tmp_path / "table.yaml")])
    assert done.exit_code == 0, done.output
    assert "right to" in done.output and "contradicts" not in done.output
    assert scale_error(tmp_path / "table.yaml") < 3.0
    assert read_record(tmp_path / "table.yaml").route == "tape"

    plain["lengths"][4][2] = f"{float(plain['lengths'][4][2].split()[0]) + 10:.1f} mm"
    file.write_text(yaml.safe_dump(plain))
    slipped = CliRunner().invoke(app, ["tape", str(file)])
    assert "A to I" in slipped.output and "contradicts" in slipped.output


def test_crosshairs_on_a_mat(tmp_path: Path) -> None:
    marks = [(x, y) for y in (75.0, 450.0, 825.0) for x in (200.0, 800.0, 1400.0)]
    seen = true_screen_points(RIG, np.array(marks))
    rows = [
        {"mark": [f"{x} mm", f"{y} mm"], "px": [round(float(u), 1), round(float(v), 1)]}
        for (x, y), (u, v) in zip(marks, seen, strict=True)
    ]
    file = tmp_path / "mat.yaml"
    file.write_text(yaml.safe_dump({"screen": "1920x1080", "crosshairs": rows}))
    done = CliRunner().invoke(
        app, ["crosshairs", str(file), "--json", "--out", str(tmp_path / "table.yaml")]
    )
    assert done.exit_code == 0, done.output
    told = json.loads(done.output)
    assert told["route"] == "by hand"
    assert_figures_hold_the_truth(told["figures"])
    again, table = from_plain(told).table_map, told["figures"]["table_mm"]
    assert np.allclose(table_points(again, told["figures"]["screen_px"]), table)
    assert np.allclose(point_covariance(again, table), told["figures"]["covariance_mm2"])
    assert scale_error(tmp_path / "table.yaml") < 2.5
    file.write_text(
        yaml.safe_dump({"screen": "1920x1080", "crosshairs": [rows[i] for i in (0, 2, 6, 8)]})
    )
    four = CliRunner().invoke(app, ["crosshairs", str(file)])
    assert "4 marks tell neither a mistake" in four.output


def test_a_map_is_checked_again(tmp_path: Path) -> None:
    test_crosshairs_on_a_mat(tmp_path)
    table = str(tmp_path / "table.yaml")
    good = CliRunner().invoke(app, ["recheck", table, "--tape", "600.3, 599.8, 600.1, 599.9"])
    assert good.exit_code == 0 and "holds" in good.output
    bad = CliRunner().invoke(app, ["recheck", table, "--tape", "609, 609.5, 609, 609, 861, 861"])
    assert bad.exit_code == 1 and "moved" in bad.output
    same = CliRunner().invoke(app, ["recheck", table, "--fresh", table, "--json"])
    assert json.loads(same.output)["holds"]


def test_thick_cloth_lifts_the_map(tmp_path: Path) -> None:
    test_crosshairs_on_a_mat(tmp_path)
    flat = read_table(tmp_path / "table.yaml")
    thick = on_cloth(flat, "5 mm", "190 cm")
    grid = lit_grid(flat)
    a, b = (table_points(m, screen_points(flat, grid)) for m in (flat, thick))
    shrunk = np.ptp(b[:, 0]) / np.ptp(a[:, 0])
    assert shrunk == pytest.approx(1 - 5 / 1900, abs=1e-6)  # similar triangles
    words = ["height", str(tmp_path / "table.yaml"), "--lens", "190 cm", "--json"]
    told = json.loads(CliRunner().invoke(app, [*words, "--thickness", "10 mm"]).output)["on_cloth"]
    sizes = [np.ptp(p, axis=0) for p in (told["table_mm"], table_points(flat, told["screen_px"]))]
    assert sizes[0] / sizes[1] == pytest.approx([1 - 10 / 1900] * 2, abs=1e-9)
    with pytest.raises(ProjectorError, match="lens-height is missing"):
        on_cloth(flat, "5 mm", "")
    with pytest.raises(DraftingError, match="not a length"):
        on_cloth(flat, "5", "1900 mm")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("screen: big\nmarks: {A: [1, 2]}\nlengths: []\n", "WIDTHxHEIGHT"),
        ("screen: 100x100\nmarks: {A: [1]}\nlengths: []\n", "two numbers"),
        ("screen: 100x100\nmarks: {A: [1, 2]}\nlengths: [[A, Q, 3 mm]]\n", "'Q' is not one of A"),
        ("screen: 100x100\nmarks: {A: [1, 2], B: [5, 5]}\nlengths: [[A, B, 3]]\n", "unit"),
    ],
)
def test_faults_of_a_file_of_lengths(tmp_path: Path, text: str, said: str) -> None:
    file = tmp_path / "lengths.yaml"
    file.write_text(text)
    with pytest.raises(ProjectorError, match=said):
        read_lengths(file)
    file.write_text("screen: 100x100\ncrosshairs: [{mark: [1 cm], px: [1, 2]}]\n")
    with pytest.raises(ProjectorError, match="two lengths"):
        read_crosshairs(file)
