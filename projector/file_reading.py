"""Files of other people read in a process of its own, which is ended when it takes too long.

A file may be made to keep a reader busy for ever or to fill the memory. The readers refuse what
they can see coming; this stops the rest.
"""

from __future__ import annotations

import multiprocessing
import sys
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from drafting.errors import DraftingError
from drafting.exchange.linework import LARGEST_FILE, Linework
from projector.errors import ProjectorError

__all__ = ["MEMORY", "PATIENCE", "read_linework"]

PATIENCE = 4.0
"""Seconds a file may take."""
MEMORY = 1_000_000_000
"""Bytes the reading may take on top of what the program takes."""
STARTING = 30.0


def read_linework(path: Path, patience: float = PATIENCE, **options: Any) -> Linework:
    """The strokes of a file, by `drafting.exchange.reading.linework_of` with these options.

    Raises `ProjectorError`, one line with the file's name: it is not there, cannot be read, takes
    longer than `patience` seconds or more than 1 GB.
    """
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise ProjectorError(
                f"{path}: {path.stat().st_size} bytes are more than {LARGEST_FILE}"
            )
        content = path.read_bytes()
    except OSError as error:
        raise ProjectorError(f"{path}: cannot be read ({error.strerror or error})") from error
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_read, args=(theirs,), daemon=True)
    process.start()
    theirs.close()
    try:
        if not ours.poll(STARTING):
            raise ProjectorError(f"{path}: the reader did not start; try again")
        ours.recv()
        ours.send((content, options))
        if not ours.poll(patience):
            raise ProjectorError(
                f"{path}: not read within {patience:g} s; keep only the pieces wanted in it"
            )
        answer = ours.recv()
    except EOFError as error:
        raise ProjectorError(f"{path}: reading it failed; was the file cut short?") from error
    finally:
        if process.is_alive():
            process.kill()
        process.join()
        ours.close()
    if isinstance(answer, Linework):
        return answer
    raise ProjectorError(f"{path}: {answer}")


def _read(pipe: Connection) -> None:
    from drafting.exchange.reading import linework_of

    pipe.send("ready")
    content, options = pipe.recv()
    _bounded()
    answer: Linework | str
    try:
        answer = linework_of(content, **options)
    except DraftingError as error:
        answer = str(error)
    except MemoryError:
        answer = "reading it takes more than 1 GB; keep only the pieces wanted in it"
    except RecursionError:
        answer = "its parts lie too deep in each other"
    pipe.send(answer)


def _bounded() -> None:
    """No more memory than is taken now and 1 GB; systems without such limits go without."""
    if sys.platform == "win32":
        return
    import resource

    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    except OSError:
        return
    limit = pages * resource.getpagesize() + MEMORY
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
