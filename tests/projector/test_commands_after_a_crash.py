"""A command that changes a job after the stage crashed brings the crashed gestures along."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from projector.cli import app
from projector.errors import ProjectorError
from projector.files.job import read_job
from projector.files.journal import journal_path, note
from projector.files.opening import OpenJob, changing
from tests.readers import READERS


@pytest.fixture
def crashed(choir: Path) -> Path:
    """A job whose notes were changed in a session that never saved."""
    opened = OpenJob(choir)
    note(choir, opened.job, replace(opened.job, notes="under way"))
    opened._held.close()
    return choir


def test_keeping_a_lay_brings_back_what_was_under_way(crashed: Path) -> None:
    told = CliRunner().invoke(app, ["lay", str(crashed), "--keep", "--budget", "0"])
    assert told.exit_code == 0 and "1 change since the job was last saved is back" in told.output
    job = read_job(crashed)
    assert job.notes == "under way" and job.lays and not journal_path(crashed).exists()


def test_importing_brings_it_back_too(crashed: Path, tmp_path: Path) -> None:
    (tmp_path / "front.svg").write_bytes(READERS["SVG"].sound()[1])
    told = CliRunner().invoke(
        app, ["import", str(tmp_path / "front.svg"), "--into", str(crashed), "--name", "yoke"]
    )
    assert told.exit_code == 0, told.output
    job = read_job(crashed)
    assert job.notes == "under way" and job.pieces


def test_only_looking_leaves_it_for_the_next_session(crashed: Path) -> None:
    before = {path: path.read_bytes() for path in crashed.parent.glob(".*journal")}
    for words in (["lay", str(crashed), "--budget", "0"], ["check", str(crashed)]):
        CliRunner().invoke(app, words)
    assert {path: path.read_bytes() for path in crashed.parent.glob(".*journal")} == before
    opened = OpenJob(crashed)
    assert opened.job.notes == "under way"
    opened.close()


def test_a_change_that_fails_leaves_file_and_journal(crashed: Path) -> None:
    before = crashed.read_bytes()
    with pytest.raises(ProjectorError, match="no such cloth"), changing(crashed):
        raise ProjectorError("no such cloth")
    assert crashed.read_bytes() == before
    with changing(crashed) as opened:
        assert opened.job.notes == "under way"


def test_the_second_of_two_is_told_and_nothing_is_overwritten(choir: Path) -> None:
    first = OpenJob(choir)
    before = choir.read_bytes()
    try:
        told = CliRunner().invoke(app, ["lay", str(choir), "--keep", "--budget", "0"])
        assert isinstance(told.exception, ProjectorError)
        assert "already open in another Shearlight" in str(told.exception)
        assert choir.read_bytes() == before
    finally:
        first.close()
