"""The check command: what is wrong with a job is told, and stops with exit code 1 where it must."""

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

from drafting.plane import Motion
from projector.cloth.autolayout import arrange
from projector.demonstration import demonstration_job
from projector.files.job import write_job
from projector.job import layout_of, pieces_of, with_layout


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "projector", "check", *words], capture_output=True, text=True
    )


def test_a_sound_job_passes_and_a_shifted_piece_stops_it(tmp_path: Path) -> None:
    job = demonstration_job()
    laid = arrange(layout_of(job, pieces_of(job)))
    file = tmp_path / "choir.yaml"
    write_job(file, with_layout(job, laid))
    done = run(str(file), "--json")
    assert done.returncode == 0, done.stderr
    severities = {f["severity"] for f in json.loads(done.stdout)["findings"]}
    assert "stop" not in severities

    first, second, *rest = laid.placements
    onto = replace(second, cloth_from_piece=first.cloth_from_piece)
    write_job(file, with_layout(job, replace(laid, placements=(first, onto, *rest))))
    done = run(str(file))
    assert done.returncode == 1 and "overlap" in done.stdout

    off = replace(first, cloth_from_piece=Motion(0.3, 900.0, 40.0))
    write_job(file, with_layout(job, replace(laid, placements=(off, second, *rest))))
    done = run(str(file))
    assert done.returncode == 1
    assert "off the grain" in done.stdout and "off the fold" in done.stdout


def test_cloth_too_narrow_is_told(tmp_path: Path) -> None:
    job = demonstration_job()
    narrow = replace(job, cloths=(replace(job.cloths[0], width=900.0),))
    file = tmp_path / "choir.yaml"
    write_job(file, narrow)
    done = run(str(file))
    assert done.returncode == 0  # a warning: a join mends it
    assert "width of the cloth" in done.stdout
