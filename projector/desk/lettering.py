"""Letters: how long a text is, where it breaks, and its picture."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from importlib.resources import as_file, files

import pygame

from projector.desk.areas import Area
from projector.desk.palette import Colour

__all__ = ["broken", "columns_for", "line_height", "shortened", "written", "written_width"]


@lru_cache(maxsize=64)
def _font(size_px: int, bold: bool) -> pygame.font.Font:
    pygame.font.init()
    name = "NotoSans-Bold.ttf" if bold else "NotoSans-Regular.ttf"
    with as_file(files("pygame_gui.data").joinpath(name)) as path:
        return pygame.font.Font(str(path), max(6, size_px))


def line_height(size_px: int) -> int:
    """From one line of text to the next."""
    return round(1.32 * size_px)


@lru_cache(maxsize=8192)
def written_width(text: str, size_px: int, bold: bool = False) -> int:
    """How wide one line is, in pixels."""
    return _font(size_px, bold).size(text)[0]


def columns_for(area: Area, texts: Sequence[str], size_px: int, gap: int = 0) -> tuple[Area, ...]:
    """A column for each text, as wide as it asks for, what is left shared out evenly."""
    if not texts:
        return ()
    asked = [written_width(text, size_px, True) for text in texts]
    share = (area.width - gap * (len(texts) - 1) - sum(asked)) / len(texts)
    found, x = [], float(area.x)
    for width in asked:
        end = x + width + share
        found.append(Area(round(x), area.y, round(end) - round(x), area.height))
        x = end + gap
    return tuple(found)


@lru_cache(maxsize=2048)
def broken(text: str, size_px: int, width_px: int, bold: bool = False) -> tuple[str, ...]:
    """The text in lines that fit the width; a word longer than that stands alone."""
    lines: list[str] = []
    for part in text.split("\n"):
        line = ""
        for word in part.split():
            longer = f"{line} {word}".strip()
            if line and written_width(longer, size_px, bold) > width_px:
                lines.append(line)
                line = word
            else:
                line = longer
        lines.append(line)
    return tuple(lines)


@lru_cache(maxsize=4096)
def shortened(
    text: str, size_px: int, width_px: int, bold: bool = False, ends: bool = False
) -> str:
    """The text, cut short with three dots where it is wider than `width_px`.

    With `ends` the dots stand in its middle: names of files and folders differ at their ends.
    """
    if written_width(text, size_px, bold) <= width_px:
        return text
    short, long = 0, len(text)  # how many letters are kept: some that fit, some that do not
    while long - short > 1:
        kept = (short + long) // 2
        if written_width(_with_dots(text, kept, ends), size_px, bold) <= width_px:
            short = kept
        else:
            long = kept
    return _with_dots(text, short, ends)


def _with_dots(text: str, kept: int, ends: bool) -> str:
    if not ends:
        return text[:kept].rstrip() + "…"
    last = (2 * kept + 2) // 3
    return text[: kept - last].rstrip() + "…" + text[len(text) - last :].lstrip()


@lru_cache(maxsize=4096)
def written(
    text: str,
    size_px: int,
    colour: Colour,
    bold: bool = False,
    width_px: int = 0,
    ends: bool = False,
) -> pygame.Surface:
    """One line of text as a picture; `shortened` where a width is given."""
    shown = shortened(text, size_px, width_px, bold, ends) if width_px else text
    return _font(size_px, bold).render(shown, True, colour)
