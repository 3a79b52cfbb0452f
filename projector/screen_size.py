"""The size of a screen or window as the worker types it."""

from __future__ import annotations

from projector.errors import ProjectorError

__all__ = ["parsed_size"]


def parsed_size(text: str, example: str = "1920x1080") -> tuple[int, int]:
    """Width and height in pixels. Raises `ProjectorError` when the text is not WIDTHxHEIGHT."""
    width, _, height = text.lower().partition("x")
    if not (width.isdecimal() and height.isdecimal() and len(text) < 13):
        raise ProjectorError(f"found {text!r}, wanted WIDTHxHEIGHT such as {example}")
    return int(width), int(height)
