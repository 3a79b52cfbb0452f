"""A search in its own process: polled without waiting, stopped at any moment."""

import time

from projector.cloth.clearance import missing, violations
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout
from projector.cloth.search_process import begin
from projector.cloth.yardage import used_length
from tests.projector.test_lay import BACK, SMALL, block

LAYOUT = Layout(Cloth(folded=False), (BACK, SMALL, block("cuff", 220, 120, count=4)))


def test_lays_arrive_while_the_caller_goes_on() -> None:
    search = begin(LAYOUT, seed=1, budget=6)
    try:
        lays, slowest, end = [], 0.0, time.monotonic() + 60
        while time.monotonic() < end:
            before = time.monotonic()
            news = search.poll()
            slowest = max(slowest, time.monotonic() - before)
            if news.layout is not None:
                lays.append(news.layout)
            if not news.running:
                break
            time.sleep(0.01)
    finally:
        search.stop()
    assert lays and not news.running and not news.failure
    assert all(not missing(lay) and not violations(lay) for lay in lays)
    assert news.length == used_length(lays[-1]) >= news.bound.length - 0.1


def test_a_search_can_be_stopped_before_it_has_begun() -> None:
    search = begin(LAYOUT, seed=1, budget=1000)
    search.stop()
    assert not search.poll().running
