"""What no lay can be shorter than, reckoned beside the windows, which never wait for it."""

from __future__ import annotations

import time
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace

from projector.cloth.clearance import missing
from projector.cloth.layout import Layout
from projector.cloth.yardage import LowerBound, lower_bound

__all__ = ["Reckoning"]

REST = 0.3
"""Seconds that cloth and pieces stay as they are before their bound is begun."""


class Reckoning:
    """The bound of one cloth and its pieces at a time; a change of either begins anew."""

    def __init__(self) -> None:
        self._workers = ThreadPoolExecutor(1, "bound")
        self._of: Layout | None = None
        self._changed = 0.0
        self._bound: Future[LowerBound] | None = None

    @property
    def busy(self) -> bool:
        """Whether a bound is about to be reckoned, or is."""
        return self._of is not None and (self._bound is None or not self._bound.done())

    def bound(self, layout: Layout) -> LowerBound | None:
        """The bound of a complete lay; None while it is not known, or pieces are missing."""
        if not layout.placements or missing(layout):
            self._of = self._bound = None
            return None
        fixed = tuple(replace(p, cut=False) for p in layout.placements if p.locked)
        of, now = Layout(layout.cloth, layout.pieces, fixed), time.monotonic()
        if of != self._of:
            self._of, self._changed, self._bound = of, now, None
        if self._bound is None and now - self._changed > REST:
            self._bound = self._workers.submit(lower_bound, of)
        if self._bound is None or not self._bound.done() or self._bound.exception() is not None:
            return None
        return self._bound.result()

    def close(self) -> None:
        """Let go of the thread."""
        self._workers.shutdown(wait=False, cancel_futures=True)
