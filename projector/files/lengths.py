"""Lengths as they are written in a file."""

from __future__ import annotations

import re

from projector.errors import ProjectorError

__all__ = ["length"]

_MILLIMETRES = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}


def length(text: str) -> float:
    """A length such as "92 cm" in mm."""
    found = re.fullmatch(r"\s*([-+]?[0-9.]+(?:e[-+]?[0-9]+)?)\s*([a-z]+)\s*", text)
    if not found or found[2] not in _MILLIMETRES:
        raise ProjectorError(f"{text!r} is not a length with its unit, such as 150 cm or 58 in")
    return float(found[1]) * _MILLIMETRES[found[2]]
