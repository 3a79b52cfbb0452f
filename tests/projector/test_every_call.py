"""The session stops, or the disk is full, at each call to the system in turn: nothing is lost."""

from __future__ import annotations

import errno
import os
import signal
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from projector.errors import ProjectorError
from projector.files.job import write_job
from projector.files.opening import OpenJob
from tests.projector.choir import choir_job

CALLS = (
    "open", "write", "fsync", "replace", "unlink", "ftruncate", "chmod", "lseek", "read",
)  # fmt: skip
FAILING = ("open", "write", "fsync", "replace", "unlink", "ftruncate", "chmod")
STATES = ("as it was", "one", "two", "three")


def worked_on(path: Path) -> None:
    """Two gestures, saved, and one more."""
    opened = OpenJob(path)
    try:
        for notes in STATES[1:3]:
            opened.note(replace(opened.job, notes=notes))
        opened.save()
        opened.note(replace(opened.job, notes=STATES[3]))
    finally:
        opened.close()


def interrupted(path: Path, last: int, way: str) -> int:
    """Work on the job until the call of this number; how many calls were made."""
    real = {name: getattr(os, name) for name in CALLS}
    count = 0

    def watched(name: str) -> Any:
        def call(*given: Any, **more: Any) -> Any:
            nonlocal count
            count += 1
            if count == last and (way == "killed" or name in FAILING):
                if name == "write":
                    real["write"](given[0], given[1][: len(given[1]) // 2])
                if way == "killed":
                    os.kill(os.getpid(), signal.SIGKILL)
                raise OSError(errno.ENOSPC, "No space left on device")
            return real[name](*given, **more)

        return call

    try:
        for name in CALLS:
            setattr(os, name, watched(name))
        worked_on(path)
    finally:
        for name in CALLS:
            setattr(os, name, real[name])
    return count


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a process that is killed half-way")
@pytest.mark.parametrize("way", ["killed", "disk full"])
def test_no_call_at_which_work_stops_loses_what_was_done(way: str, tmp_path: Path) -> None:
    job = replace(choir_job(), notes=STATES[0], wearers=choir_job().wearers[:1])
    path = tmp_path / "job.yaml"
    write_job(path, job)
    calls = interrupted(path, 0, way)
    assert calls > 30
    reached = 0
    for last in range(1, calls + 1):
        folder = tmp_path / str(last)
        folder.mkdir()
        path = folder / "job.yaml"
        write_job(path, job)
        child = os.fork()
        if not child:
            code = 9
            try:
                interrupted(path, last, way)
                code = 0
            except ProjectorError as error:
                code = 9 if "\n" in str(error) else 2
            finally:
                os._exit(code)
        ended = os.waitpid(child, 0)[1]
        assert os.WIFSIGNALED(ended) if way == "killed" else os.WEXITSTATUS(ended) in (0, 2), last
        opened = OpenJob(path)
        state = STATES.index(opened.job.notes)
        # The later it stopped, the more is there; a gesture is lost only while it was under way.
        if way == "killed" or os.WEXITSTATUS(ended) == 2:
            assert state >= reached, last
            reached = state
        assert not any("damaged" in line for line in opened.told), (last, opened.told)
        opened.close()
        if way != "killed":
            assert not list(folder.glob("*.new")) and not list(folder.glob(".*.new")), last
    assert reached >= 2
