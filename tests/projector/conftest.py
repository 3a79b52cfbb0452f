"""What tests of the desk begin with: the null driver, and the example job in its own folder."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

import pytest

from projector.stage.displays import displays_open


@pytest.fixture
def null_driver(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setenv("SHEARLIGHT_SETTINGS", str(tmp_path / "settings.yaml"))
    monkeypatch.chdir(tmp_path)
    with displays_open():
        yield


@pytest.fixture
def choir(tmp_path: Path) -> Path:
    path = tmp_path / "choir.yaml"
    path.write_bytes(files("projector.demonstration").joinpath("choir.yaml").read_bytes())
    return path
