"""Work in a process of its own, so that no window waits for it."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

__all__ = ["Work"]


class Work:
    """Work under way in a process: `progress` while it runs, `poll` for what has come of it.

    What it tells of a kind in `several` is one of many results; anything else ends it.
    """

    def __init__(self, *several: type) -> None:
        self._several = several
        self._process: Any = None
        self._told: Connection | None = None
        self.progress: tuple[str, float] | None = None

    def begin(self, work: Callable[..., None], *given: Any) -> None:
        """Do `work(*given, told)` in a process; it tells what is done, then what came of it."""
        self.stop()
        context = multiprocessing.get_context("spawn")
        self._told, told = context.Pipe(duplex=False)
        self._process = context.Process(target=work, args=(*given, told), daemon=True)
        self._process.start()
        told.close()
        self.progress = ("beginning", 0.0)

    def poll(self) -> Any:
        """What has come of it, or in words why it ended; None before that."""
        result = None
        while self._told is not None and self._told.poll():
            try:
                news = self._told.recv()
            except (EOFError, OSError):
                self.stop()
                return "the work ended without a result; try again"
            if isinstance(news, tuple):
                self.progress = news
                continue
            result = news
            if isinstance(news, self._several):
                break
            self.stop()
        return result

    def stop(self) -> None:
        """End it, whatever has been done."""
        if self._told is not None:
            self._told.close()
            self._process.terminate()
            self._process.join(2.0)
        self._told, self.progress = None, None
