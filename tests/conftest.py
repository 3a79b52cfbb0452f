"""How hypothesis searches: the same examples every time, however slow the machine.

To search elsewhere: `pytest --hypothesis-profile=wide`. No test touches the worker's own settings,
and windows open where nobody looks unless a test has a display of its own.
"""

import os

import pytest
from hypothesis import settings

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")


@pytest.fixture(autouse=True, scope="session")
def own_settings(tmp_path_factory: pytest.TempPathFactory) -> None:
    os.environ["SHEARLIGHT_SETTINGS"] = str(tmp_path_factory.mktemp("own") / "settings.yaml")


settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.register_profile("wide", deadline=None)
settings.load_profile("repeatable")
