"""Settings: round trip, the usual ones without a file, problems with their place."""

from __future__ import annotations

from pathlib import Path

import pytest

from projector.errors import ProjectorError
from projector.files.settings import read_settings, settings_path, write_settings
from projector.settings import Settings, with_recent


def test_round_trip_and_the_usual_settings(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "settings.yaml"
    assert read_settings(path) == Settings()
    settings = Settings(display=1, camera=0, table="hall.yaml", theme="dark", recent=("a", "b"))
    write_settings(settings, path)
    assert read_settings(path) == settings


def test_recent_jobs_are_unique_newest_first_and_few() -> None:
    settings = Settings()
    for name in ["a", "b", "a", *"cdefghijklmn"]:
        settings = with_recent(settings, name)
    assert settings.recent[0] == "n" and len(settings.recent) == 12
    assert len(set(settings.recent)) == 12


def test_problems_have_their_place(tmp_path: Path) -> None:
    path = tmp_path / "settings.yaml"
    path.write_text("theme: purple\ndisplay: -1\nthemes: dark\n")
    with pytest.raises(ProjectorError) as caught:
        read_settings(path)
    told = str(caught.value).splitlines()
    assert len(told) == 3 and ":1:8 theme" in told[0] and "'theme'" in told[2]


def test_the_place_can_be_chosen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("SHEARLIGHT_SETTINGS", str(tmp_path / "mine.yaml"))
    assert settings_path() == tmp_path / "mine.yaml"
    monkeypatch.delenv("SHEARLIGHT_SETTINGS")
    assert settings_path().name == "settings.yaml"
