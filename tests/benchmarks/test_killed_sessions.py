"""200 sessions killed at random moments: none loses more than the gesture under way.

Run with `pytest tests/benchmarks/test_killed_sessions.py`; takes two to three minutes.
"""

from __future__ import annotations

from pathlib import Path

from projector.files.job import write_job
from projector.job import Job
from tests.projector.test_faults import killed_stage
from tests.projector.test_journal import killed_sessions


def test_two_hundred_killed_sessions(tmp_path: Path) -> None:
    path = tmp_path / "choir.yaml"
    write_job(path, Job("choir"))
    killed_sessions(path, 200, 11)


def test_two_hundred_killed_sessions_of_the_lit_stage(tmp_path: Path) -> None:
    told = killed_stage(tmp_path, 200, 12)
    print(told)
    assert told.startswith("200 sessions killed") and told.endswith("none lost")
