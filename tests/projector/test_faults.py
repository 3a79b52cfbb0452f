"""Things that fail around the program: killed, a full disk, files taken away, clocks, displays."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pygame
import pytest
from typer.testing import CliRunner

from calibration.record import Record
from projector.cli import app
from projector.errors import ProjectorError
from projector.files import journal, writing
from projector.files.job import read_job
from projector.files.opening import OpenJob
from projector.files.table import read_record, write_record
from projector.readiness import calibration_age
from projector.stage.window import StageWindow
from tests.projector.choir import choir_session, hall_map
from tests.test_architecture import FILES

ROOT = Path(__file__).resolve().parents[2]


def killed_stage(folder: Path, times: int, seed: int) -> str:
    """Kill so many sessions of the lit stage; the line that `tests.stage_sessions` ends with."""
    command = [sys.executable, "-m", "tests.stage_sessions", str(folder), str(times), str(seed)]
    done = subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, timeout=1500, check=False,
        env={**os.environ, "SDL_VIDEODRIVER": "dummy", "HOME": str(folder)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.strip().splitlines()[-1]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_stage_killed_at_any_moment_loses_at_most_the_gesture_under_way(tmp_path: Path) -> None:
    told = killed_stage(tmp_path, 6, 5)
    assert told.startswith("6 sessions killed") and told.endswith("none lost")


def test_after_a_full_disk_the_next_gesture_brings_the_lost_one_along(
    choir: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = OpenJob(choir)
    with monkeypatch.context() as full:
        full.setattr(os, "fsync", _full)
        with pytest.raises(ProjectorError, match="No space left on device"):
            opened.note(replace(opened.job, notes="lost?"))
    opened.note(replace(opened.job, name="found"))
    opened._held.close()  # as a crash would
    again = OpenJob(choir)
    assert (again.job.notes, again.job.name) == ("lost?", "found")
    again.close()


def _full(handle: int) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def test_what_cannot_be_saved_in_its_folder_is_kept_in_another(
    choir: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = tmp_path / "home"
    home.mkdir()
    monkeypatch.setenv("HOME", str(home))
    opened = OpenJob(choir)
    opened.note(replace(opened.job, notes="two hours of work"))
    before, written = choir.read_bytes(), writing.write_bytes

    def read_only(path: Path, content: bytes, private: bool = False) -> None:
        if path.parent == choir.parent:
            raise ProjectorError(f"{path}: cannot be written (Read-only file system)")
        written(path, content, private)

    monkeypatch.setattr(writing, "write_bytes", read_only)
    with pytest.raises(ProjectorError, match=r"Read-only.*kept as .*choir-kept\.yaml") as caught:
        opened.save_somewhere()
    assert "\n" not in str(caught.value)
    assert read_job(home / "choir-kept.yaml").notes == "two hours of work"
    if os.name == "posix":
        assert (home / "choir-kept.yaml").stat().st_mode & 0o777 == 0o600
    assert choir.read_bytes() == before
    opened.close()


@pytest.mark.skipif(sys.platform != "linux", reason="mounts of Linux")
def test_a_really_full_disk_and_a_really_read_only_one(choir: Path, tmp_path: Path) -> None:
    small = tmp_path / "small"
    small.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(small)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("this user may not mount")
    try:
        job = small / "choir.yaml"
        job.write_bytes(choir.read_bytes())
        opened = OpenJob(job)
        before = job.read_bytes()
        (small / "filler").write_bytes(b"x" * 40_000)
        with pytest.raises(ProjectorError, match="No space left"):
            for turn in range(200):
                opened.note(replace(opened.job, notes="n" * (turn + 1) * 100))
        with pytest.raises(ProjectorError, match="No space left"):
            opened.save()
        assert job.read_bytes() == before
        assert not list(small.glob(".*.new"))
        (small / "filler").unlink()
        opened.save()
        assert read_job(job).notes.endswith("n" * 100)
        opened.close()
        subprocess.run(["mount", "-o", "remount,ro", str(small)], check=True)
        with pytest.raises(ProjectorError, match=r"Read-only file system.*copy the job"):
            OpenJob(job)
        looked = CliRunner().invoke(app, ["check", str(job)])
        assert looked.exit_code in (0, 1) and not isinstance(looked.exception, ProjectorError)
    finally:
        subprocess.run(["umount", str(small)], check=True)


def test_a_job_taken_away_while_open_is_written_anew(choir: Path) -> None:
    opened = OpenJob(choir)
    opened.note(replace(opened.job, notes="kept"))
    choir.unlink()
    journal.journal_path(choir).unlink()
    opened.save()
    opened.close()
    assert read_job(choir).notes == "kept"


def test_a_damaged_record_is_refused_and_says_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "table.yaml"
    write_record(path, Record(hall_map()))
    whole = path.read_bytes()
    for share in (0.0, 0.1, 0.5, 0.9):
        path.write_bytes(whole[: int(share * len(whole))])
        with pytest.raises(ProjectorError, match=r"table\.yaml") as caught:
            read_record(path)
        assert "\n" not in str(caught.value)


def test_a_calibration_from_tomorrow_means_that_a_clock_was_wrong() -> None:
    now = datetime(2026, 5, 1, tzinfo=UTC)
    found = calibration_age(now + timedelta(days=2), now)
    assert found.severity == "warning" and "clock" in found.advice


def test_no_duration_is_taken_from_a_clock_that_can_be_set() -> None:
    for path in FILES:
        assert "time.time(" not in path.read_text(encoding="utf-8"), path


def test_a_display_that_changes_darkens_the_pieces_and_comes_back(
    monkeypatch: pytest.MonkeyPatch, null_driver: None
) -> None:
    size = pygame.display.get_desktop_sizes()[0]
    window = StageWindow(hall_map(size))
    session = choir_session()
    told = []
    for sizes in ([size], [(800, 600)], [size, (1024, 768)], [], [size]):
        monkeypatch.setattr(pygame.display, "get_desktop_sizes", lambda sizes=sizes: sizes)
        for command in window.turn(session, 1.5):
            session = replace(session, trouble=command.words)  # type: ignore[union-attr]
        window.show(session)
        told.append(session.trouble)
    assert told[0] == "" and told[-1] == ""
    assert "the calibration was made for" in told[1]
    assert "displays have changed" in told[2]
    assert "not connected" in told[3] and "Your work is kept" in told[3]
    assert session.layout == choir_session().layout
    window.close()


def test_no_display_at_all_is_told(tmp_path: Path) -> None:
    surroundings = {**os.environ, "SDL_VIDEODRIVER": "x11", "DISPLAY": ":987"}
    surroundings["SHEARLIGHT_SETTINGS"] = str(tmp_path / "settings.yaml")
    done = subprocess.run(
        [sys.executable, "-m", "projector", "desk"], cwd=ROOT, env=surroundings,
        capture_output=True, text=True, timeout=100, check=False,
    )  # fmt: skip
    assert done.returncode == 2 and "Traceback" not in done.stderr, done.stderr
    assert "connect a screen" in done.stderr
