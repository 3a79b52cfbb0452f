"""What no lay can be shorter than, and what a lay leaves over: reckoned beside the windows,
which never wait for it."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from typing import Generic, TypeVar

from projector.cloth.clearance import missing
from projector.cloth.layout import Layout
from projector.cloth.leftover import Leftover, largest_leftover
from projector.cloth.yardage import LowerBound, lower_bound

__all__ = ["Reckoning"]

REST = 0.3
"""Seconds that cloth and pieces stay as they are before their bound is begun."""


Of = TypeVar("Of")
Result = TypeVar("Result")


class _Awaited(Generic[Of, Result]):
    """One thing reckoned of another at a time; another is begun once it stayed for `REST`."""

    def __init__(self, reckon: Callable[[Of], Result], workers: ThreadPoolExecutor) -> None:
        self._reckon, self._workers = reckon, workers
        self._of: Of | None = None
        self._changed = 0.0
        self._found: Future[Result] | None = None

    @property
    def busy(self) -> bool:
        """Whether it is about to be reckoned, or is."""
        return self._of is not None and (self._found is None or not self._found.done())

    def of(self, of: Of | None) -> Result | None:
        """What was found of this; None while it is not known, or of nothing."""
        if of is None:
            self._of = self._found = None
            return None
        now = time.monotonic()
        if of != self._of:
            self._of, self._changed, self._found = of, now, None
        if self._found is None and now - self._changed > REST:
            self._found = self._workers.submit(self._reckon, of)
        if self._found is None or not self._found.done() or self._found.exception() is not None:
            return None
        return self._found.result()


class Reckoning:
    """The bound of one cloth and its pieces, and what is left over of one lay, at a time."""

    def __init__(self) -> None:
        self._workers = ThreadPoolExecutor(1, "bound")
        self._bound = _Awaited(lower_bound, self._workers)
        self._left = _Awaited(largest_leftover, self._workers)

    @property
    def busy(self) -> bool:
        """Whether something is about to be reckoned, or is."""
        return self._bound.busy or self._left.busy

    def bound(self, layout: Layout) -> LowerBound | None:
        """The bound of a complete lay; None while it is not known, or pieces are missing."""
        if not layout.placements or missing(layout):
            return self._bound.of(None)
        fixed = tuple(replace(p, cut=False) for p in layout.placements if p.locked)
        return self._bound.of(Layout(layout.cloth, layout.pieces, fixed))

    def leftover(self, layout: Layout) -> Leftover | None:
        """What a complete lay leaves in one piece; None while it is not known."""
        whole = layout.placements and not missing(layout)
        return self._left.of(layout if whole else None)

    def close(self) -> None:
        """Let go of the thread."""
        self._workers.shutdown(wait=False, cancel_futures=True)
