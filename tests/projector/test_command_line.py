"""The command line as a worker meets it: help, one clear line, exit codes, figures."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def shearlight(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    surroundings = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "SDL_VIDEODRIVER": "dummy",
        "SHEARLIGHT_SETTINGS": str(folder / "settings.yaml"),
    }
    return subprocess.run(
        [sys.executable, "-m", "projector", *words],
        cwd=folder, env=surroundings, capture_output=True, text=True, timeout=280, check=False,
    )  # fmt: skip


def one_clear_line(done: subprocess.CompletedProcess[str]) -> str:
    assert done.returncode == 2, done
    lines = done.stderr.strip().splitlines()
    assert len(lines) == 1 and "Traceback" not in done.stderr, done.stderr
    return lines[0]


def test_help_names_every_command_and_each_has_an_example(tmp_path: Path) -> None:
    helped = shearlight("--help", folder=tmp_path)
    assert helped.returncode == 0
    commands = [
        line.split()[0] for line in helped.stdout.split("Commands:")[1].splitlines() if line.strip()
    ]
    assert "rehearse" in commands and "ready" in commands
    for command in commands:
        told = shearlight(command, "--help", folder=tmp_path)
        assert told.returncode == 0
        assert f"Example: shearlight {command}" in told.stdout, told.stdout


def test_help_waits_for_no_large_library() -> None:
    code = (
        "import atexit, sys; atexit.register(lambda: print(*sys.modules))\n"
        "sys.argv = ['shearlight', '--help']\n"
        "from projector.cli import main; main()"
    )
    told = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    assert "Usage" in told
    # What makes a start slow; a command imports it when it runs.
    slow = {"numpy", "cv2", "scipy", "shapely", "pygame", "yaml", "reportlab", "numba", "ezdxf"}
    assert not slow & set(told.splitlines()[-1].split())


def test_ready_tells_and_gives_figures(tmp_path: Path) -> None:
    told = shearlight("ready", folder=tmp_path)
    assert "calibration: none" in told.stdout and "Make one" in told.stdout
    figures = json.loads(shearlight("ready", "--json", folder=tmp_path).stdout)
    subjects = {finding["subject"] for finding in figures["findings"]}
    assert {"displays", "camera 0", "calibration"} <= subjects


def test_broken_settings_are_one_clear_line(tmp_path: Path) -> None:
    (tmp_path / "settings.yaml").write_text("theme: purple\n")
    line = one_clear_line(shearlight("ready", folder=tmp_path))
    assert "settings.yaml:1:8 theme: 'purple' is not one of light, dark" in line


def test_an_unknown_command_and_option(tmp_path: Path) -> None:
    for words in (("rehearze",), ("ready", "--sed")):
        done = shearlight(*words, folder=tmp_path)
        assert done.returncode == 2 and "Traceback" not in done.stderr


@pytest.mark.parametrize("out", ["/proc/nowhere", "file/below"])
def test_a_folder_that_cannot_be_made(tmp_path: Path, out: str) -> None:
    (tmp_path / "file").write_text("")
    line = one_clear_line(shearlight("rehearse", "--out", out, folder=tmp_path))
    assert "cannot be made" in line


def test_rehearsal_lights_at_true_scale(tmp_path: Path) -> None:
    done = shearlight("rehearse", "--out", "r", "--seed", "11", "--json", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    figures = json.loads((tmp_path / "r" / "rehearsal.json").read_text())
    assert figures == json.loads(done.stdout)
    error = figures["true_scale_error_mm"]
    assert 0.0 < error["median"] <= error["p95"] <= error["max"]
    assert error["p95"] <= 1.0
    for measured in figures["measured_on"].values():
        assert measured["seen"] > 0.9 * measured["looked"] > 5


def test_the_list_of_commands_breaks_no_sentence_off(tmp_path: Path) -> None:
    helped = shearlight("--help", folder=tmp_path).stdout.split("Commands:")[1]
    assert "..." not in helped
    assert all(len(line) <= 80 for line in helped.splitlines())


def test_a_record_or_file_that_is_not_there_says_how_to_make_one(tmp_path: Path) -> None:
    (tmp_path / "job.yaml").write_text("shearlight_job: 1\nname: a\n")
    told = one_clear_line(shearlight("recheck", "none.yaml", "--tape", "600", folder=tmp_path))
    assert "make one with calibrate" in told
    told = one_clear_line(shearlight("crosshairs", "none.yaml", folder=tmp_path))
    assert "crosshairs --help" in told
