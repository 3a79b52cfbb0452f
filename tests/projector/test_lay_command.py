"""The lay command: yardage between its bound and what is bought; cloth too narrow says so."""

import json
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from threading import Timer

import pytest

from projector.cli import main
from projector.cloth.search.island_process import IslandProcess
from projector.demonstration import demonstration_text
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
    for width, said in (("60 cm", "across the cloth"), ("150", "unit")):
        done = run(tmp_path, job=JOB.replace("150 cm", width))
        assert done.returncode == 2 and said in done.stderr
        assert len(done.stderr.strip().splitlines()) == 1


def test_a_drawing_advice_and_several_cloths(tmp_path: Path) -> None:
    job = JOB.replace("one_way: yes}]", "one_way: yes}, {name: lining, width: 140 cm}]")
    out = tmp_path / "lay.svg"
    figures = json.loads(run(tmp_path, "--json", "--advice", "--out", str(out), job=job).stdout)
    assert out.read_bytes().startswith(b"<")
    choices = {choice["what"]: choice for choice in figures["advice"]}
    assert choices["as it is"]["length"] >= figures["lower_bound_mm"] - 0.1
    assert choices["with a centre seam"]["length"] > 0
    assert any("wide" in what for what in choices) and any("sleeve" in what for what in choices)
    assert choices["with a join across the sleeve"]["length"] > 0
    # A seam in the back alone cannot save more than seams in back and front do, by much.
    back, both = (
        choices[f"with a {what}"]["length"] for what in ("seam in the back", "centre seam")
    )
    assert 0.97 * both < back <= choices["as it is"]["length"] + 0.5


def test_the_same_seed_and_budget_give_the_same_lay_on_one_process_and_on_two(
    tmp_path: Path,
) -> None:
    words = ("--json", "--budget", "6", "--seed", "3", "--processes")
    one, two = (run(tmp_path, *words, n).stdout for n in ("1", "2"))
    assert one and one == two


def test_a_piece_left_over_of_a_short_cloth_is_named(tmp_path: Path) -> None:
    job = JOB.replace("folded: yes", "folded: yes, length: 100 cm")
    done = run(tmp_path, "--budget", "2", job=job)
    assert done.returncode == 2 and "all but" in done.stderr


@pytest.mark.parametrize("by_hand", [True, False])
def test_a_search_that_is_stopped_keeps_the_lay_found_until_then(
    by_hand: bool,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    job = tmp_path / "choir.yaml"
    job.write_text(demonstration_text().replace("folded: yes", "folded: no"))
    begin = IslandProcess.__init__

    def short_lived(island: IslandProcess, arrived: Callable[[bytes | None], None]) -> None:
        begin(island, arrived)
        stop = (lambda: signal.raise_signal(signal.SIGINT)) if by_hand else island._process.kill
        if not stopping:
            stopping.append(Timer(1.0, stop))
            stopping[0].start()

    stopping: list[Timer] = []
    monkeypatch.setattr(IslandProcess, "__init__", short_lived)
    monkeypatch.setattr(sys, "argv", ["shearlight", "lay", str(job), "--keep", "--seconds", "60"])
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # a test runner may ignore it
    try:
        with pytest.raises(SystemExit) as ended:
            main()
    finally:
        signal.signal(signal.SIGINT, before)
    assert not ended.value.code
    told = "stopped by hand" if by_hand else "the search ended early"
    assert told in capfd.readouterr().err
    assert read_job(job).lays
