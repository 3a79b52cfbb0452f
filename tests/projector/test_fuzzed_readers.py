"""Spoilt files of every kind: they read, or are refused in the program's own words, soon.

`python -m tests.benchmarks.fuzz_readers 5000` does the same for longer.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.benchmarks.fuzz_readers import SLOWEST, spoilt
from tests.readers import OWN, READERS

QUICK = settings(
    deadline=None, derandomize=True, max_examples=60, database=None,
    suppress_health_check=[HealthCheck.too_slow],
)  # fmt: skip


@pytest.mark.parametrize("name", READERS)
def test_sound_files_read(name: str, tmp_path: Path) -> None:
    for number, content in enumerate(READERS[name].sound()):
        folder = tmp_path / str(number)
        folder.mkdir()
        READERS[name].read(content, folder)


@pytest.mark.filterwarnings("ignore::UserWarning:PIL")
@pytest.mark.parametrize("name", READERS)
@QUICK
@given(seed=st.integers(0, 2**32))
def test_spoilt_files_are_read_or_refused(name: str, seed: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        began = time.process_time()
        try:
            READERS[name].read(spoilt(name, seed), Path(folder))
        except OWN as error:
            assert str(error).strip()
        assert time.process_time() - began < SLOWEST
