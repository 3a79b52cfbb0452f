"""Letters: how long a text is, where it breaks, and its picture."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from importlib.resources import as_file, files

import pygame

from projector.desk.areas import Area
from projector.desk.palette import Colour

__all__ = ["broken", "columns_for", "line_height", "written", "written_width"]


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


@lru_cache(maxsize=2048)
def _shortened(text: str, size_px: int, width_px: int, bold: bool) -> str:
    if written_width(text, size_px, bold) <= width_px:
        return text
    kept = text
    while kept and written_width(kept + "…", size_px, bold) > width_px:
        kept = kept[:-1]
    return kept.rstrip() + "…"


@lru_cache(maxsize=4096)
def written(
    text: str, size_px: int, colour: Colour, bold: bool = False, width_px: int = 0
) -> pygame.Surface:
    """One line of text as a picture; cut short with three dots where a width is given."""
    shown = _shortened(text, size_px, width_px, bold) if width_px else text
    return _font(size_px, bold).render(shown, True, colour)
