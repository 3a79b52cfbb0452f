"""Files of other people read in a process of its own, which is ended when it takes too long.

A file may be made to keep a reader busy for ever or to fill the memory. The readers refuse what
they can see coming; this stops the rest.
"""

from __future__ import annotations

import multiprocessing
import sys
import time
import warnings
from collections.abc import Sequence
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from drafting.errors import DraftingError
from drafting.exchange.limits import LARGEST_FILE, one_line
from drafting.exchange.linework import Linework, Stroke
from drafting.exchange.outlines import Found, outlines
from projector.errors import ProjectorError
from projector.files.reading import read_bytes

__all__ = ["MEMORY", "PATIENCE", "found_outlines", "read_linework"]

PATIENCE = 3.0
"""Seconds a file may take, the start of the reading process among them."""
LEAST = 1.5
"""Seconds a file has at least, however slowly the process started."""
MEMORY = 600_000_000
"""Bytes the reading may take on top of what the program takes."""
STARTING = 30.0
FEW = 2_000
"""Segments whose outlines are looked for at once; more get a process that can be ended."""


def read_linework(path: Path, patience: float = PATIENCE, **options: Any) -> Linework:
    """The strokes of a file, by `drafting.exchange.reading.linework_of` with these options.

    Raises `ProjectorError`, one line with the file's name: it is not there, cannot be read, takes
    longer than `patience` seconds or more memory than `MEMORY`.
    """
    content = read_bytes(path, LARGEST_FILE, "drawing")
    answer = _answer(path, patience, "linework", (content, options))
    assert isinstance(answer, Linework)
    return answer


def found_outlines(
    path: Path, strokes: Sequence[Stroke], tolerance: float, patience: float = PATIENCE
) -> Found:
    """The outlines among the strokes of a file, as `drafting.exchange.outlines.outlines` has them.

    Raises `ProjectorError` as `read_linework` does.
    """
    if sum(len(stroke.segments) for stroke in strokes) <= FEW:
        return outlines(strokes, tolerance)
    answer = _answer(path, patience, "outlines", (tuple(strokes), tolerance))
    assert isinstance(answer, Found)
    return answer


def _answer(path: Path, patience: float, task: str, given: tuple[Any, ...]) -> Linework | Found:
    began = time.monotonic()
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_serve, args=(theirs,), daemon=True)
    process.start()
    theirs.close()
    try:
        if not ours.poll(STARTING):
            raise ProjectorError(f"{path}: the reader did not start; try again")
        ours.recv()
        ours.send((task, given))
        if not ours.poll(max(LEAST, patience - (time.monotonic() - began))):
            raise ProjectorError(
                f"{path}: not read within {patience:g} s; keep only the pieces wanted in it, or "
                "give it more --patience"
            )
        answer = ours.recv()
    except (EOFError, OSError) as error:
        raise ProjectorError(
            f"{path}: reading it failed, or took more memory than a file may; was it cut short?"
        ) from error
    finally:
        if process.is_alive():
            process.kill()
        process.join()
        ours.close()
    if isinstance(answer, Linework | Found):
        return answer
    raise ProjectorError(f"{path}: {answer}")


def _serve(pipe: Connection) -> None:
    from drafting.exchange.reading import linework_of

    warnings.simplefilter("ignore")  # one line is told, not what a library mutters on the way
    pipe.send("ready")
    task, given = pipe.recv()
    _bounded()
    answer: Linework | Found | str
    try:
        if task == "linework":
            content, options = given
            answer = linework_of(content, **options)
        else:
            answer = outlines(*given)
    except DraftingError as error:
        answer = str(error)
        if answer.endswith("is not finite"):
            answer = f"a place in it is no number ({answer})"
    except MemoryError:
        size = MEMORY // 1_000_000
        answer = f"reading it takes more than {size} MB; keep only the pieces wanted in it"
    except RecursionError:
        answer = "its parts lie too deep in each other"
    except Exception as error:  # the process ends here; whatever it was is told in one line
        answer = f"reading it failed ({one_line(error)}); keep only the pieces wanted in it"
    pipe.send(answer)


def _bounded() -> None:
    """No more memory than is taken now and `MEMORY`; systems without such limits go without."""
    if sys.platform == "win32":
        return
    import resource

    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    except OSError:
        return
    limit = pages * resource.getpagesize() + MEMORY
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
