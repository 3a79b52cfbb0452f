"""What no lay can be shorter than, and what a lay leaves over: reckoned beside the windows,
which never wait for it."""

from __future__ import annotations

import time
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace

from projector.cloth.clearance import missing
from projector.cloth.layout import Layout
from projector.cloth.leftover import Leftover, largest_leftover
from projector.cloth.yardage import LowerBound, lower_bound

__all__ = ["Reckoning"]

REST = 0.3
"""Seconds that cloth and pieces stay as they are before their bound is begun."""


class Reckoning:
    """The bound of one cloth and its pieces at a time; a change of either begins anew. The same
    for what is left over of one lay."""

    def __init__(self) -> None:
        self._workers = ThreadPoolExecutor(1, "bound")
        self._of: Layout | None = None
        self._changed = 0.0
        self._bound: Future[LowerBound] | None = None
        self._lay: Layout | None = None
        self._moved = 0.0
        self._left: Future[Leftover] | None = None

    @property
    def busy(self) -> bool:
        """Whether something is about to be reckoned, or is."""
        both = ((self._of, self._bound), (self._lay, self._left))
        return any(of is not None and (got is None or not got.done()) for of, got in both)

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

    def leftover(self, layout: Layout) -> Leftover | None:
        """What a complete lay leaves in one piece; None while it is not known."""
        if not layout.placements or missing(layout):
            self._lay = self._left = None
            return None
        now = time.monotonic()
        if layout != self._lay:
            self._lay, self._moved, self._left = layout, now, None
        if self._left is None and now - self._moved > REST:
            self._left = self._workers.submit(largest_leftover, layout)
        if self._left is None or not self._left.done() or self._left.exception() is not None:
            return None
        return self._left.result()

    def close(self) -> None:
        """Let go of the thread."""
        self._workers.shutdown(wait=False, cancel_futures=True)
