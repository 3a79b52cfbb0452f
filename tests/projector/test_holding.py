"""Two copies on one job: the second is told, nothing is overwritten."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from projector.errors import ProjectorError
from projector.files.holding import fingerprint, held, unchanged

HOLDER = """
import sys, time
from pathlib import Path
from projector.files.holding import held
with held(Path(sys.argv[1])):
    print("held", flush=True)
    time.sleep(60)
"""


def test_a_second_copy_is_told_and_a_killed_one_lets_go(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text("x")
    command = [sys.executable, "-c", HOLDER, str(path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE) as holder:
        assert holder.stdout is not None
        holder.stdout.readline()
        with pytest.raises(ProjectorError, match="already open"), held(path):
            pass
        holder.send_signal(signal.SIGKILL)
        holder.wait()
        with held(path):
            assert path.read_text() == "x"


def test_a_folder_that_is_gone(tmp_path: Path) -> None:
    path = tmp_path / "file" / "job.yaml"
    (tmp_path / "file").write_text("a file where a folder should be")
    with pytest.raises(ProjectorError, match="cannot be written"), held(path):
        pass


def test_changes_by_others_are_noticed(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    assert fingerprint(path) == ""
    path.write_text("x")
    known = fingerprint(path)
    unchanged(path, known)
    path.write_text("y")
    with pytest.raises(ProjectorError, match="changed by another program"):
        unchanged(path, known)
