"""The lay command: yardage between its bound and what is bought; cloth too narrow says so."""

import json
import subprocess
import sys
from pathlib import Path

from projector.files.job import read_job

JOB = (
    "shearlight_job: 1\nname: tunic\nwearers:\n- name: S\n"
    "  body: {bust: 84 cm, waist: 68 cm, hip: 92 cm, height: 160 cm}\nstyle: {sleeve: 36 cm}\n"
    "cloths: [{width: 150 cm, folded: yes, one_way: yes}]\n"
)


def run(folder: Path, *words: str, job: str = JOB) -> subprocess.CompletedProcess[str]:
    file = folder / "tunic.yaml"
    file.write_text(job)
    command = [sys.executable, "-m", "projector", "lay", str(file), *words]
    return subprocess.run(command, capture_output=True, text=True)


def test_yardage_lies_between_its_bound_and_what_is_bought(tmp_path: Path) -> None:
    figures = json.loads(run(tmp_path, "--json").stdout)
    assert figures["lower_bound_mm"] <= figures["yardage_mm"] + 0.1
    assert figures["yardage_mm"] <= figures["bought_mm"] < figures["yardage_mm"] + 100
    assert {p["piece"] for p in figures["placements"]} == {"back S", "front S"}
    assert not any(p["cloth_from_piece"]["mirrored"] for p in figures["placements"])


def test_the_lay_is_kept_in_the_job_when_asked(tmp_path: Path) -> None:
    assert run(tmp_path).returncode == 0
    assert not read_job(tmp_path / "tunic.yaml").lays
    assert run(tmp_path, "--keep").returncode == 0
    (lay,) = read_job(tmp_path / "tunic.yaml").lays
    assert {placement.piece for placement in lay.placements} == {"back S", "front S"}


def test_cloth_too_narrow_or_without_a_unit_is_one_line(tmp_path: Path) -> None:
    for width, said in (("60 cm", "do not fit"), ("150", "unit")):
        done = run(tmp_path, job=JOB.replace("150 cm", width))
        assert done.returncode == 2 and said in done.stderr
        assert len(done.stderr.strip().splitlines()) == 1
