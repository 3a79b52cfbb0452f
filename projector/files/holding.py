"""One job, one open copy: the second is told, and nothing is overwritten unseen."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from projector.errors import ProjectorError
from projector.files.reading import LARGEST_TEXT, read_bytes, resolved

__all__ = ["fingerprint", "fingerprint_of", "held", "unchanged"]


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold a job while it is open. Raises `ProjectorError` when another copy holds it.

    The system lets go of the hold when the program ends in any way, a crash included.
    """
    path = resolved(path)
    lock = FileLock(path.with_name(f".{path.name}.held"))
    try:
        lock.acquire(timeout=0)
    except Timeout as error:
        raise ProjectorError(
            f"{path}: already open in another Shearlight; close it there, or work on a copy"
        ) from error
    except OSError as error:
        raise ProjectorError(
            f"{path}: its folder cannot be written ({error.strerror or error}); "
            "copy the job to a folder of your own"
        ) from error
    try:
        yield
    finally:
        lock.release()


def fingerprint(path: Path) -> str:
    """What tells one content of a job file from another; empty when there is no file."""
    return fingerprint_of(read_bytes(path, LARGEST_TEXT, "job file")) if path.exists() else ""


def fingerprint_of(content: bytes) -> str:
    """What a file with this content would be told by."""
    return hashlib.sha256(content).hexdigest()


def unchanged(path: Path, known: str) -> None:
    """Raise `ProjectorError` when the file is no longer the one that was read."""
    if fingerprint(path) != known:
        raise ProjectorError(
            f"{path}: changed by another program since it was read; "
            "save under another name, then compare the two"
        )
