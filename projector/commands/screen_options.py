"""Options that several commands about the projector's screen share."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from projector.errors import ProjectorError
from projector.screen_size import parsed_size

if TYPE_CHECKING:
    from projector.desk.lamp import ProjectedLamp

__all__ = ["lamp_on", "parsed_hole", "parsed_screen", "parsed_taped"]


def parsed_screen(text: str) -> tuple[int, int]:
    """Width and height in pixels. Raises `ProjectorError` when the text is not "1920x1080"."""
    try:
        return parsed_size(text)
    except ProjectorError as error:
        raise ProjectorError(f"--screen: {error}") from None


def parsed_hole(text: str) -> tuple[float, float, float, float] | None:
    """Left, top, right and bottom in pixels; None for an empty text."""
    if not text:
        return None
    try:
        left, top, right, bottom = (float(part) for part in text.split(","))
    except ValueError:
        raise ProjectorError(
            f"--hole: found {text!r}, wanted left,top,right,bottom in pixels"
        ) from None
    return left, top, right, bottom


def parsed_taped(text: str) -> tuple[tuple[float, float], tuple[float, float], float]:
    """Two screen points and the millimetres between them: "x,y x,y 1200.5"."""
    try:
        first, second, length = text.split()
        ends = [tuple(float(part) for part in point.split(",")) for point in (first, second)]
        (a, b), (c, d) = ends
        return (a, b), (c, d), float(length)
    except ValueError:
        raise ProjectorError(
            f'--taped: found {text!r}, wanted two screen points and mm: "160,90 1760,990 1502.5"'
        ) from None


@contextmanager
def lamp_on(display: int | None) -> Iterator[ProjectedLamp | None]:
    """The projector on this display, dark again at the end; None where none is to light."""
    if display is None:
        yield None
        return
    from projector.desk.lamp import lamp_open  # windows are loaded only where one is wanted

    with lamp_open(display) as lamp:
        yield lamp
