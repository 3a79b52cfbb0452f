"""Writing a file so that it is replaced whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from projector.errors import ProjectorError
from projector.files.reading import resolved

__all__ = ["write_bytes", "write_text"]


def write_bytes(path: Path, content: bytes, private: bool = False) -> None:
    """Replace a file atomically; one that is `private` is its owner's alone to read.

    A private file, whose name nobody chose, takes the place of a link of its name: it is never
    written through one into another folder.

    The content goes to a private file in the same folder, is pushed to the disk, and takes the
    old file's place in one step; when anything fails the old file stays as it was. Raises
    `ProjectorError`, one line with the place and the reason.
    """
    if not private:
        path = resolved(path)  # a link keeps pointing at the file it names
    temporary = ""
    try:
        handle, temporary = tempfile.mkstemp(
            prefix=f".{path.name}.", suffix=".new", dir=path.parent
        )
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(_mode(path, private))
        Path(temporary).replace(path)
        temporary = ""
        _push_folder(path.parent)
    except OSError as error:
        raise ProjectorError(
            f"{path}: cannot be written ({error.strerror or error}); the file was left as it was"
        ) from error
    finally:
        if temporary:
            Path(temporary).unlink(missing_ok=True)


def write_text(path: Path, content: str, private: bool = False) -> None:
    """Replace a UTF-8 text file atomically, as `write_bytes` does."""
    write_bytes(path, content.encode("utf-8"), private)


def _mode(path: Path, private: bool) -> int:
    """Who may read a file afterwards: its owner alone, as before, or as the system's habit is."""
    if private:
        return 0o600
    if path.exists():
        return path.stat().st_mode & 0o777
    hidden = os.umask(0o077)  # it can be asked for only by setting it
    os.umask(hidden)
    return 0o666 & ~hidden


def _push_folder(folder: Path) -> None:
    # The renaming itself reaches the disk with the folder; Windows cannot open one.
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
