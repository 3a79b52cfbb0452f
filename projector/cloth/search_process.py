"""The search for a shorter lay in a process of its own, so that no window ever waits for it.

search = begin(layout, seed=1, seconds=30.0)
while True:                      # the window's own loop, at its own pace
    news = search.poll()         # returns at once
    if news.layout is not None:  # a better lay, verified before it was sent
        ...
    if not news.running:
        break
search.stop()                    # at any moment; the best lay so far has been polled already

A plain child process is used, not a fork of the caller: it shares no window, lock or random
state with it and needs no guard in the caller's main file. It searches for as long as its line
from the caller is open. Nothing of geometry is reckoned on the caller's side; a thread of its
own passes the lines on.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, replace
from multiprocessing.reduction import ForkingPickler
from typing import IO, Any

from drafting.plane import Motion
from projector.cloth.layout import Layout, Placement
from projector.cloth.search.child_process import child_process

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
    quiet
        Seconds since a shorter lay was found: "no shorter found for N s".
    running
        False once the search has ended of itself, was stopped or failed.
    failure
        One line when it failed, else empty.
    """

    layout: Layout | None
    length: float
    quiet: float
    running: bool
    failure: str = ""


class Search:
    """A running search; hold it, poll it, stop it. Made by `begin`."""

    def __init__(self, process: subprocess.Popen[bytes], layout: Layout, asked: Any) -> None:
        assert process.stdin is not None and process.stdout is not None
        self._process, self._layout = process, layout
        self._told: IO[bytes] = process.stdin
        self._lines: queue.SimpleQueue[bytes | None] = queue.SimpleQueue()
        self._told_all = False
        self._lock = threading.Lock()
        self._length = float("inf")
        self._since = time.monotonic()
        self._failure = ""
        self._ended = False
        threading.Thread(target=self._passed_on, args=(asked,), daemon=True).start()

    def poll(self) -> News:
        """What is new, without waiting."""
        newest: Layout | None = None
        while not self._ended and not self._lines.empty():
            line = self._lines.get()
            if line is None:
                self._ended = True
                break
            told = json.loads(line)
            self._length = told.get("length", self._length)
            self._failure = told.get("failure", "")
            if "placements" in told:
                placements = tuple(_placement(row) for row in told["placements"])
                newest = replace(self._layout, placements=placements)
                self._since = time.monotonic()
        quiet = time.monotonic() - self._since
        return News(newest, self._length, quiet, not self._ended, self._failure)

    def stop(self) -> None:
        """End the search. What was not polled before is lost; nothing else is."""
        self._ended = True
        with self._lock, contextlib.suppress(OSError):
            if self._told_all:
                self._told.close()  # it ends by itself, and ends what it has begun
            else:
                self._process.kill()

    def _passed_on(self, asked: Any) -> None:
        """Tell the process what to search for and keep what it answers; in a thread."""
        with contextlib.suppress(OSError):
            content = bytes(ForkingPickler.dumps(asked))
            self._told.write(len(content).to_bytes(8, "big") + content)
            self._told.flush()
        with self._lock:
            self._told_all = True
        if self._ended:
            self.stop()
        assert self._process.stdout is not None
        with self._process.stdout as answers:
            for line in answers:
                self._lines.put(line)
        if self._process.wait() and not self._ended:
            told = "the search ended early: the system stopped its process; close other programs"
            self._lines.put(json.dumps({"failure": told}).encode())
        self._lines.put(None)


def begin(
    layout: Layout,
    seed: int = 0,
    budget: int = 1_000_000,
    seconds: float = float("inf"),
    processes: int = 2,
) -> Search:
    """Start a search from what lies there; placements that are locked stay."""
    process = child_process(__name__)
    return Search(process, layout, (layout, seed, budget, seconds, processes))


def _row(placed: Placement) -> list[Any]:
    motion = placed.cloth_from_piece
    where = [motion.angle, motion.dx, motion.dy, motion.mirrored]
    return [placed.piece, placed.copy, where, placed.locked, placed.cut]


def _placement(row: list[Any]) -> Placement:
    piece, copy, where, locked, cut = row
    return Placement(piece, copy, Motion(*where), locked, cut)


def _serve(line: IO[bytes], told: IO[str]) -> None:
    """Search for what is asked until it is found, or the line of the asker is closed."""
    from projector.cloth.autolayout import improving_lays
    from projector.cloth.clearance import may_be_cut
    from projector.cloth.yardage import used_length
    from projector.errors import ProjectorError

    size = int.from_bytes(line.read(8), "big")
    layout, seed, budget, seconds, processes = ForkingPickler.loads(line.read(size))
    end = time.monotonic() + seconds
    left = threading.Event()

    def watched() -> None:
        line.read(1)  # nothing more is asked: this is the end of the line
        left.set()

    def tell(**what: Any) -> None:
        told.write(json.dumps(what) + "\n")
        told.flush()

    threading.Thread(target=watched, daemon=True).start()
    try:
        if may_be_cut(layout):
            tell(length=used_length(layout))
        for better in improving_lays(
            layout, seed, budget, processes, lambda: left.is_set() or time.monotonic() > end
        ):
            tell(length=used_length(better), placements=[_row(p) for p in better.placements])
    except ProjectorError as error:
        tell(failure=str(error))


if __name__ == "__main__":
    if hasattr(os, "nice"):
        os.nice(10)  # windows and the beam go first
    with contextlib.suppress(BrokenPipeError, KeyboardInterrupt):
        _serve(sys.stdin.buffer, sys.stdout)
    sys.stdout = None  # a closed line is not flushed at the end
    os._exit(0)  # the watching thread holds the other line
