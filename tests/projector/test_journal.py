"""A crash loses at most the gesture under way; damage is told with what could be saved."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from drafting.plane import Motion
from projector.cloth.layout import Placement
from projector.errors import ProjectorError
from projector.files.job import write_job
from projector.files.journal import begin, journal_path, note, recovered, remove
from projector.job import Job, Lay

MOVER = """
import sys
from pathlib import Path
from drafting.plane import Motion
from projector.cloth.layout import Placement
from projector.files.journal import begin, note
from projector.job import Lay
job = Path(sys.argv[1])
begin(job)
for turn in range(1, 1_000_000):
    note(job, Lay("main", (Placement("pocket M", 1, Motion(0.0, float(turn), 0.0)),)))
    print(turn, flush=True)
"""


def lay(x: float, cloth: str = "main") -> Lay:
    return Lay(cloth, (Placement("pocket M", 1, Motion(0.5, x, 1 / 3, True), cut=True),))


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "choir.yaml"
    write_job(path, Job("choir"))
    return path


def killed_sessions(job: Path, times: int, seed: int) -> None:
    """Kill a session of moves at random moments; what it had told done must be there."""
    chance = random.Random(seed)
    for _ in range(times):
        command = [sys.executable, "-c", MOVER, str(job)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as mover:
            assert mover.stdout is not None
            first = mover.stdout.readline()
            time.sleep(chance.uniform(0.0, 0.02))
            mover.send_signal(signal.SIGKILL)
            told = [first, *mover.stdout.read().split(b"\n")]
        done = max(int(line) for line in told if line.strip())
        found = recovered(job)
        assert found is not None and not found.problems
        last = found.lays[0].placements[0].cloth_from_piece.dx
        assert found.gestures == last and done <= last <= done + 1


def test_a_killed_session_loses_at_most_one_gesture(job: Path) -> None:
    killed_sessions(job, 8, 3)


def test_the_last_lay_of_each_cloth_comes_back(job: Path) -> None:
    assert recovered(job) is None
    begin(job)
    assert recovered(job) is None
    for x in (1.0, 2.5):
        note(job, lay(x))
        note(job, lay(-x, "lining"))
    found = recovered(job)
    assert found is not None and found.gestures == 4 and not found.problems
    assert {kept.cloth: kept for kept in found.lays} == {
        "main": lay(2.5),
        "lining": lay(-2.5, "lining"),
    }
    remove(job)
    assert recovered(job) is None


def test_every_cut_of_the_journal_reads(job: Path) -> None:
    begin(job)
    for x in (1.0, 2.0, 3.0):
        note(job, lay(x))
    whole = journal_path(job).read_bytes()
    for size in range(len(whole)):
        journal_path(job).write_bytes(whole[:size])
        found = recovered(job)
        assert found is None or (found.gestures <= 3 and not found.problems)


def test_damage_is_told_and_the_rest_is_saved(job: Path) -> None:
    begin(job)
    for x in (1.0, 2.0, 3.0):
        note(job, lay(x))
    lines = journal_path(job).read_bytes().split(b"\n")
    lines[3] = lines[3].replace(b"3.0", b"9.0")
    journal_path(job).write_bytes(b"\n".join(lines))
    found = recovered(job)
    assert found is not None and found.gestures == 2
    assert found.lays == (lay(2.0),)
    assert ":4 is damaged" in found.problems[0]


@pytest.mark.parametrize("seed", range(20))
def test_random_damage_never_ends_in_a_traceback(job: Path, seed: int) -> None:
    begin(job)
    for x in (1.0, 2.0):
        note(job, lay(x))
    content = bytearray(journal_path(job).read_bytes())
    chance = random.Random(seed)
    for _ in range(chance.randrange(1, 6)):
        content[chance.randrange(len(content))] = chance.randrange(256)
    journal_path(job).write_bytes(content)
    recovered(job)


def test_a_journal_of_another_state_is_told(job: Path) -> None:
    begin(job)
    note(job, lay(1.0))
    write_job(job, Job("another"))
    found = recovered(job)
    assert found is not None and "another state" in found.problems[0]


def test_a_journal_that_was_taken_away(job: Path) -> None:
    with pytest.raises(ProjectorError, match="save the job now"):
        note(job, lay(1.0))


def test_a_full_disk_is_told(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begin(job)

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ProjectorError, match="No space left"):
        note(job, lay(1.0))
    monkeypatch.undo()
    note(job, lay(2.0))
    found = recovered(job)
    assert found is not None and found.lays == (lay(2.0),) and not found.problems
