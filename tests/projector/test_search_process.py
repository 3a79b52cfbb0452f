"""A search in its own process: polled without waiting, stopped at any moment."""

import os
import signal
import time
from contextlib import suppress
from pathlib import Path

import pytest

from projector.cloth.autolayout import arrange
from projector.cloth.clearance import missing, violations
from projector.cloth.cloth import Cloth, Match
from projector.cloth.layout import Layout
from projector.cloth.search_process import begin
from projector.cloth.yardage import lower_bound, used_length
from tests.projector.blocks import block
from tests.projector.test_lay import BACK, SMALL

LAYOUT = Layout(Cloth(folded=False), (BACK, SMALL, block("cuff", 220, 120, count=4)))
LONG = Layout(
    Cloth(width=900, folded=False),
    tuple(block(f"part {i}", 110 + 53 * i, 400 - 31 * i, count=2) for i in range(9)),
)
"""A job whose search does not end by itself for a while."""


def test_lays_arrive_while_the_caller_goes_on() -> None:
    search = begin(LAYOUT, seed=1, budget=6)
    try:
        lays, end = [], time.monotonic() + 60
        while time.monotonic() < end:
            news = search.poll()
            if news.layout is not None:
                lays.append(news.layout)
            if not news.running:
                break
            time.sleep(0.01)
    finally:
        search.stop()
    assert lays and not news.running and not news.failure
    assert all(not missing(lay) and not violations(lay) for lay in lays)
    assert news.length == used_length(lays[-1]) >= lower_bound(LAYOUT).length - 0.1


def test_a_search_can_be_stopped_before_it_has_begun() -> None:
    search = begin(LAYOUT, seed=1, budget=1000)
    search.stop()
    assert not search.poll().running


def test_a_lay_that_nobody_waits_for_any_more_is_not_searched_for() -> None:
    asked: list[bool] = []
    lay = arrange(LONG, budget=1000, stopped=lambda: not asked.append(True))
    assert len(asked) < 5 and not missing(lay) and not violations(lay)


def family(pid: int) -> set[int]:
    """A process and what it has begun, by the system's own list; finished ones are not counted."""
    found = set()
    for entry in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):  # it has ended meanwhile
            name, fields = entry.read_text().rsplit(")", 1)
            state, parent = fields.split()[:2]
            own = int(name.split()[0])
            if state != "Z" and (own == pid or int(parent) == pid):
                found.add(own)
    return found


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="no list of processes")
def test_a_stopped_search_leaves_no_process_behind() -> None:
    search = begin(LONG, seed=1)
    begun, end = set[int](), time.monotonic() + 60
    while len(begun) < 3 and time.monotonic() < end:  # itself and an island for each core
        time.sleep(0.05)
        begun = family(search._process.pid)
    assert len(begun) == 3
    search.stop()
    while (left := begun & set().union(*map(family, begun))) and time.monotonic() < end:
        time.sleep(0.05)
    assert not left


def test_what_cannot_be_laid_is_told_in_one_line() -> None:
    cloth = Cloth(
        folded=False, repeat_along=30.0, matches=(Match("facing", "nowhere", across=False),)
    )
    search, end = begin(Layout(cloth, LAYOUT.pieces)), time.monotonic() + 60
    while (news := search.poll()).running and time.monotonic() < end:
        time.sleep(0.02)
    assert "nowhere" in news.failure and "\n" not in news.failure


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="no list of processes")
@pytest.mark.parametrize("own", [True, False])
def test_a_search_that_the_system_stops_says_so_and_keeps_what_was_found(own: bool) -> None:
    search = begin(LONG, seed=1)
    found, news, end = None, search.poll(), time.monotonic() + 60
    try:
        while news.running and time.monotonic() < end:
            found = news.layout or found
            begun = family(search._process.pid)
            if found is not None and len(begun) == 3:
                # Children are numbered later: the last one is an island.
                os.kill(search._process.pid if own else max(begun), signal.SIGKILL)
            time.sleep(0.02)
            news = search.poll()
    finally:
        search.stop()
    assert "the search ended early" in news.failure
    assert found is not None and not missing(found) and not violations(found)
