"""The search for a shorter lay in a process of its own, so that no window ever waits for it.

search = begin(layout, seed=1, seconds=30.0)
while True:                      # the window's own loop, at its own pace
    news = search.poll()         # returns at once
    if news.layout is not None:  # a better lay, verified before it was sent
        ...
    if not news.running:
        break
search.stop()                    # at any moment; the best lay so far has been polled already
"""

from __future__ import annotations

import multiprocessing
import time
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess

from projector.cloth.autolayout import improving_lays
from projector.cloth.clearance import missing, violations
from projector.cloth.layout import Layout
from projector.cloth.yardage import LowerBound, lower_bound, used_length
from projector.errors import ProjectorError

__all__ = ["News", "Search", "begin"]


@dataclass(frozen=True, slots=True)
class News:
    """What a search has to tell since it was last asked.

    Parameters
    ----------
    layout
        The shortest new lay, None when there is none since the last call.
    length
        Length of the shortest lay so far, mm; infinite before the first.
    bound
        What no lay can be shorter than, and why.
    quiet
        Seconds since a shorter lay was found: "no shorter found for N s".
    running
        False once the search has ended of itself, was stopped or failed.
    failure
        One line when it failed, else empty.
    """

    layout: Layout | None
    length: float
    bound: LowerBound
    quiet: float
    running: bool
    failure: str = ""


class Search:
    """A running search; hold it, poll it, stop it. Made by `begin`."""

    def __init__(
        self, process: BaseProcess, lays: Connection, layout: Layout, bound: LowerBound
    ) -> None:
        whole = not missing(layout) and not violations(layout)
        self._length = used_length(layout) if whole else float("inf")
        self._process, self._lays, self._bound = process, lays, bound
        self._since = time.monotonic()
        self._failure = ""
        self._ended = False

    def poll(self) -> News:
        """What is new, without waiting."""
        newest: Layout | None = None
        while not self._ended and self._lays.poll():
            try:
                told = self._lays.recv()
            except (EOFError, OSError):
                self._ended = True
                break
            if isinstance(told, Layout):
                newest, self._length = told, used_length(told)
                self._since = time.monotonic()
            else:
                self._failure, self._ended = str(told), True
        quiet = time.monotonic() - self._since
        return News(newest, self._length, self._bound, quiet, not self._ended, self._failure)

    def stop(self) -> None:
        """End the search. What was not polled before is lost; nothing else is."""
        self._ended = True
        self._lays.close()
        self._process.terminate()
        self._process.join(2.0)


def begin(
    layout: Layout,
    seed: int = 0,
    budget: int = 1_000_000,
    seconds: float = float("inf"),
    processes: int = 2,
) -> Search:
    """Start a search from what lies there; placements that are locked stay."""
    context = multiprocessing.get_context("spawn")
    lays, told = context.Pipe(duplex=False)
    process = context.Process(
        target=_searched, args=(layout, seed, budget, seconds, processes, told), daemon=True
    )
    process.start()
    told.close()
    return Search(process, lays, layout, lower_bound(layout))


def _searched(
    layout: Layout, seed: int, budget: int, seconds: float, processes: int, told: Connection
) -> None:
    end = time.monotonic() + seconds
    try:
        for better in improving_lays(
            layout, seed, budget, processes, lambda: time.monotonic() > end
        ):
            told.send(better)
    except ProjectorError as error:
        told.send(str(error))
    except (BrokenPipeError, KeyboardInterrupt):
        pass
    finally:
        told.close()
