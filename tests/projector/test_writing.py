"""Files are replaced whole or not at all, and only inside the job's folder."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from projector.errors import ProjectorError
from projector.files.reading import read_text
from projector.files.writing import write_bytes, write_text

SAVER = """
import sys
from pathlib import Path
from projector.files.writing import write_text
path, turn = Path(sys.argv[1]), 0
print("saving", flush=True)
while True:
    turn += 1
    write_text(path, f"{turn % 10}" * 200_000)
"""


def test_kill_while_saving_leaves_one_whole_file(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text("0" * 200_000)
    chance = random.Random(7)
    for _ in range(8):
        command = [sys.executable, "-c", SAVER, str(path)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as saver:
            assert saver.stdout is not None
            saver.stdout.readline()
            time.sleep(chance.uniform(0.0, 0.02))
            saver.send_signal(signal.SIGKILL)
        content = path.read_text()
        assert len(content) == 200_000 and len(set(content)) == 1


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "job.yaml"
    write_text(path, "old")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ProjectorError, match=r"No space left on device.*left as it was"):
        write_text(path, "new")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_cannot_be_written_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(ProjectorError, match="cannot be written") as caught:
        write_text(tmp_path / "missing" / "job.yaml", "x")
    assert "\n" not in str(caught.value)


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
def test_a_read_only_folder(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    write_text(path, "old")
    tmp_path.chmod(0o555)
    try:
        if os.access(tmp_path, os.W_OK):
            pytest.skip("this user may write everywhere")
        with pytest.raises(ProjectorError, match="Permission denied"):
            write_text(path, "new")
        assert path.read_text() == "old"
    finally:
        tmp_path.chmod(0o755)


def test_permissions_and_links_are_kept(tmp_path: Path) -> None:
    path, link = tmp_path / "job.yaml", tmp_path / "link.yaml"
    path.write_text("old")
    path.chmod(0o600)
    link.symlink_to(path)
    write_bytes(link, b"new")
    assert link.is_symlink() and path.read_text() == "new"
    assert path.stat().st_mode & 0o777 == 0o600


def test_reading_what_is_not_there_or_not_text(tmp_path: Path) -> None:
    with pytest.raises(ProjectorError, match="there is no such job file"):
        read_text(tmp_path / "none.yaml", "job file")
    with pytest.raises(ProjectorError, match="a folder; wanted a file"):
        read_text(tmp_path)
    (tmp_path / "picture").write_bytes(b"\x89PNG\xff\xfe")
    with pytest.raises(ProjectorError, match="not a text file"):
        read_text(tmp_path / "picture")
