"""Reading a file that may not be one: a pipe that never ends, a device, far too much."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from projector.errors import ProjectorError

__all__ = ["LARGEST_TEXT", "read_bytes", "read_text", "resolved"]

LARGEST_TEXT = 32_000_000
"""Bytes; a job of a hundred pieces has some 300,000."""


def resolved(path: Path) -> Path:
    """Where a path leads in the end. Raises `ProjectorError` for links in a circle."""
    try:
        return path.resolve()
    except (OSError, RuntimeError, ValueError) as error:
        told = "links lead in a circle" if isinstance(error, RuntimeError) else str(error)
        raise ProjectorError(f"{path}: cannot be reached ({told})") from error


def read_bytes(path: Path, most: int, what: str = "file") -> bytes:
    """The content of an ordinary file of no more than `most` bytes.

    Raises `ProjectorError`, one line with the path: it is not there, is a folder, a pipe or a
    device, which could keep the reader waiting or never end, cannot be read, or is larger.
    """
    # Opening a pipe would wait for its writer.
    way = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        handle = os.open(path, way)
    except FileNotFoundError as error:
        raise ProjectorError(f"{path}: there is no such {what}") from error
    except (OSError, ValueError) as error:  # a path with a zero in it is a ValueError
        raise _unreadable(path, error) from error
    try:
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode):
            kind = "folder" if stat.S_ISDIR(found.st_mode) else "pipe or device"
            raise ProjectorError(f"{path}: a {kind}; wanted a {what}")
        with os.fdopen(handle, "rb", closefd=False) as stream:
            content = stream.read(most + 1)
    except OSError as error:
        raise _unreadable(path, error) from error
    finally:
        os.close(handle)
    if len(content) > most:
        size = max(found.st_size, len(content)) / 1e6
        raise ProjectorError(
            f"{path}: {size:.0f} MB are more than the {most / 1e6:.0f} MB a {what} may have"
        )
    return content


def read_text(path: Path, what: str = "file") -> str:
    """The UTF-8 text of a file. Raises `ProjectorError`, one line, when it cannot be read."""
    content = read_bytes(path, LARGEST_TEXT, what)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ProjectorError(
            f"{path}: not a text file in UTF-8 (byte {error.start} cannot be read)"
        ) from error


def _unreadable(path: Path, error: Exception) -> ProjectorError:
    return ProjectorError(f"{path}: cannot be read ({getattr(error, 'strerror', None) or error})")
