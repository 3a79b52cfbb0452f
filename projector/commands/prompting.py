"""Waiting for the worker at the command line while a window stays alive."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import typer

from projector.errors import ProjectorError

__all__ = ["prompted"]


def prompted(words: str, alive: Callable[[], None] = lambda: None) -> None:
    """Say what to do and wait for Enter; `alive` is called meanwhile.

    Raises `ProjectorError` when there is nobody who could press it.
    """
    typer.echo(f"{words}, then press Enter ", nl=False, err=True)
    answer: list[bool] = []

    def read() -> None:
        try:
            input()
            answer.append(True)
        except EOFError:
            answer.append(False)

    # Reading waits and would let the window starve, so it has a thread of its own.
    threading.Thread(target=read, daemon=True).start()
    while not answer:
        alive()
        time.sleep(0.03)
    if not answer[0]:
        raise ProjectorError("nobody presses Enter; run this where it can be typed")
