"""Characters that are no letters but command a terminal, or that cannot be saved."""

from __future__ import annotations

import re

__all__ = ["CONTROL", "stray_character", "without_stray"]

_RANGES = r"\x00-\x08\x0b-\x1f\x7f-\x9f"
CONTROL = re.compile(f"[{_RANGES}]")
"""Control characters but tabs and line ends. Names of files may hold lone halves of a pair."""
_STRAY = re.compile(rf"[{_RANGES}\ud800-\udfff]")
# The same, and lone halves of a pair (U+D800 to U+DFFF).


def stray_character(text: str) -> str | None:
    """The first character that does not belong in a text."""
    found = _STRAY.search(text)
    return found[0] if found else None


def without_stray(text: str) -> str:
    """The text without them."""
    return _STRAY.sub("", text)
