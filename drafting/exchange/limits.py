"""How large a drawing file may be, and the words in which one is refused."""

from __future__ import annotations

from drafting.errors import DraftingError

__all__ = ["LARGEST_FILE", "MOST_POINTS", "check_points", "check_size", "one_line"]

LARGEST_FILE = 40_000_000
"""Bytes; a lay of a hundred pieces takes about two million."""
MOST_POINTS = 200_000
"""Points of all strokes together; a hundred finely flattened pieces have some 50,000."""


def check_size(content: bytes) -> None:
    """Raise `DraftingError` for a file of more than 40 MB."""
    if len(content) > LARGEST_FILE:
        raise DraftingError(f"{len(content)} bytes are more than {LARGEST_FILE}")


def check_points(count: int) -> None:
    """Raise `DraftingError` for a file whose strokes have more than 200,000 points."""
    if count > MOST_POINTS:
        raise DraftingError(f"more than {MOST_POINTS} points; keep only the pieces wanted")


def one_line(error: Exception) -> str:
    """What a library's parser tripped over, in at most 120 letters."""
    return f"{type(error).__name__} {error}".replace("\n", " ")[:120]
