"""A crash loses at most the gesture under way; damage is told with what could be saved."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from drafting.plane import Motion
from drafting.style import Style
from drafting.survey import estimated_body
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Placement
from projector.errors import ProjectorError
from projector.files.job import read_job, write_job
from projector.files.journal import begin, journal_path, note, recovered, remove
from projector.files.opening import OpenJob
from projector.job import Job, Lay, Wearer

MOVER = """
import sys
from pathlib import Path
from drafting.plane import Motion
from drafting.style import Style
from drafting.survey import estimated_body
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Placement
from projector.files.journal import begin, note
from projector.job import Job, Lay
job = Path(sys.argv[1])
begin(job)
before = Job("choir")
for turn in range(1, 1_000_000):
    lay = Lay("main", (Placement("pocket M", 1, Motion(0.0, float(turn), 0.0)),))
    after = Job("choir", lays=(lay,))
    note(job, before, after)
    before = after
    print(turn, flush=True)
"""


CHOIR = Job("choir")


def with_lays(*lays: Lay) -> Job:
    return replace(CHOIR, lays=lays)


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
        found = recovered(job, CHOIR)
        assert found is not None and not found.problems
        last = found.job.lays[0].placements[0].cloth_from_piece.dx
        assert found.gestures == last and done <= last <= done + 1


def test_a_killed_session_loses_at_most_one_gesture(job: Path) -> None:
    killed_sessions(job, 8, 3)


def test_every_change_comes_back(job: Path) -> None:
    assert recovered(job, CHOIR) is None
    begin(job)
    assert recovered(job, CHOIR) is None
    body = estimated_body({"bust": 940.0, "waist": 780.0, "hip": 1020.0, "height": 1660.0})
    states = [
        CHOIR,
        with_lays(lay(1.0)),
        with_lays(lay(1.0), lay(-1.0, "lining")),
        replace(with_lays(lay(2.5), lay(-1.0, "lining")), style=Style(lift=0.75, sleeve=300.0)),
        Job("choir", (Wearer("M", body),), Style(lift=0.75), notes="wash first"),
        Job("matinee", (Wearer("M", body),), Style(), (Cloth(width=1400.0),), lays=(lay(3.0),)),
    ]
    for count, (before, after) in enumerate(pairwise(states), 1):
        note(job, before, after)
        found = recovered(job, CHOIR)
        assert found is not None and found.gestures == count and not found.problems
        kept = tuple(lay for lay in found.job.lays if lay.placements)
        assert replace(found.job, lays=kept) == after
    remove(job)
    assert recovered(job, CHOIR) is None


def test_a_change_to_the_same_is_not_written(job: Path) -> None:
    begin(job)
    note(job, CHOIR, Job("choir"))
    assert recovered(job, CHOIR) is None


def test_every_cut_of_the_journal_reads(job: Path) -> None:
    begin(job)
    for x in (1.0, 2.0, 3.0):
        note(job, CHOIR, with_lays(lay(x)))
    whole = journal_path(job).read_bytes()
    for size in range(len(whole)):
        journal_path(job).write_bytes(whole[:size])
        found = recovered(job, CHOIR)
        assert found is None or (found.gestures <= 3 and not found.problems)


def test_work_goes_on_after_a_line_that_was_cut_off(job: Path) -> None:
    """Two crashes one after the other, the first in the middle of writing a gesture."""
    begin(job)
    for x in (1.0, 2.0):
        note(job, CHOIR, with_lays(lay(x)))
    whole = journal_path(job).read_bytes()
    for size in range(whole.index(b"\n") + 1, len(whole), 29):
        journal_path(job).write_bytes(whole[:size])
        opened = OpenJob(job)
        opened.note(with_lays(lay(5.0)))
        opened._held.close()  # as a crash would
        again = OpenJob(job)
        assert again.job.lays == (lay(5.0),), size
        assert not any("damaged" in line for line in again.told)
        again._held.close()


def test_damage_is_told_and_the_rest_is_saved(job: Path) -> None:
    begin(job)
    for x in (1.0, 2.0, 3.0):
        note(job, CHOIR, with_lays(lay(x)))
    lines = journal_path(job).read_bytes().split(b"\n")
    lines[3] = lines[3].replace(b"3.0", b"9.0")
    journal_path(job).write_bytes(b"\n".join(lines))
    found = recovered(job, CHOIR)
    assert found is not None and found.gestures == 2
    assert found.job.lays == (lay(2.0),)
    assert ":4 is damaged" in found.problems[0]


@pytest.mark.parametrize("seed", range(20))
def test_random_damage_never_ends_in_a_traceback(job: Path, seed: int) -> None:
    begin(job)
    for x in (1.0, 2.0):
        note(job, CHOIR, with_lays(lay(x)))
    content = bytearray(journal_path(job).read_bytes())
    chance = random.Random(seed)
    for _ in range(chance.randrange(1, 6)):
        content[chance.randrange(len(content))] = chance.randrange(256)
    journal_path(job).write_bytes(content)
    recovered(job, CHOIR)
    opened = OpenJob(job)  # and the job can always be opened, the odd journal kept beside it
    opened.close()


def test_a_journal_left_when_the_job_was_saved_is_no_hindrance(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = OpenJob(job)
    opened.note(with_lays(lay(1.0)))
    monkeypatch.setattr("projector.files.journal.begin", lambda job: None)  # the crash is here
    opened.save()
    monkeypatch.undo()
    opened.note(with_lays(lay(2.0)))
    opened.close()
    again = OpenJob(job)
    assert again.job == with_lays(lay(2.0)) and again.saved == with_lays(lay(1.0))
    assert again.told == ("1 change since the job was last saved is back",)
    again.close()


def test_a_journal_of_another_state_is_kept_beside(job: Path) -> None:
    begin(job)
    note(job, CHOIR, with_lays(lay(1.0)))
    content = journal_path(job).read_bytes()
    write_job(job, Job("another"))
    opened = OpenJob(job)
    assert opened.job == Job("another") and "another state" in opened.told[0]
    assert journal_path(job).with_name(".choir.yaml.journal.kept-1").read_bytes() == content
    opened.note(replace(opened.job, notes="new"))
    opened.close()
    again = OpenJob(job)
    assert again.job.notes == "new"
    again.close()


def test_a_job_that_another_program_wrote_to_is_not_overwritten(job: Path) -> None:
    opened = OpenJob(job)
    opened.note(with_lays(lay(1.0)))
    write_job(job, Job("another"))
    with pytest.raises(ProjectorError, match="changed by another program"):
        opened.save()
    assert read_job(job) == Job("another")
    opened.close()


def test_a_journal_that_was_taken_away(job: Path) -> None:
    with pytest.raises(ProjectorError, match="save the job now"):
        note(job, CHOIR, with_lays(lay(1.0)))


def test_a_full_disk_is_told(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begin(job)

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ProjectorError, match="No space left"):
        note(job, CHOIR, with_lays(lay(1.0)))
    monkeypatch.undo()
    note(job, CHOIR, with_lays(lay(2.0)))
    found = recovered(job, CHOIR)
    assert found is not None and found.job.lays == (lay(2.0),) and not found.problems
