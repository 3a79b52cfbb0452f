"""Numbers as they are typed in a window: a decimal comma is as good as a point."""

from __future__ import annotations

import re

__all__ = ["with_point"]

_COMMA = re.compile(r"(?<=\d),(?=\d{1,2}(?!\d))")


def with_point(text: str) -> str:
    """The text with a point for a decimal comma: "94,5 cm" becomes "94.5 cm".

    A comma before three digits or more stays, so that "1,250 mm" is asked about, not guessed.
    """
    return _COMMA.sub(".", text)
