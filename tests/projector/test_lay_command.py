"""The lay command: yardage between its bound and what is bought; cloth too narrow says so."""

import json
import subprocess
import sys
from pathlib import Path

BODY = "body: {bust: 84 cm, waist: 68 cm, hip: 92 cm, height: 160 cm}\nstyle: {sleeve: 36 cm}\n"


def run(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    file = folder / "singer.yaml"
    file.write_text(BODY)
    command = [sys.executable, "-m", "projector", "lay", str(file), *words]
    return subprocess.run(command, capture_output=True, text=True)


def test_yardage_lies_between_its_bound_and_what_is_bought(tmp_path: Path) -> None:
    figures = json.loads(run(tmp_path, "--json", "--one-way").stdout)
    assert figures["lower_bound_mm"] <= figures["yardage_mm"] + 0.1
    assert figures["yardage_mm"] <= figures["bought_mm"] < figures["yardage_mm"] + 100
    assert {p["piece"] for p in figures["placements"]} == {"back", "front"}
    assert not any(p["cloth_from_piece"]["mirrored"] for p in figures["placements"])


def test_cloth_too_narrow_or_without_a_unit_is_one_line(tmp_path: Path) -> None:
    for words, said in ((("--width", "60 cm"), "do not fit"), (("--width", "150"), "unit")):
        done = run(tmp_path, *words)
        assert done.returncode == 2 and said in done.stderr
        assert len(done.stderr.strip().splitlines()) == 1
