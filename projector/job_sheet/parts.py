"""The parts a job sheet is made of, whatever it is written as."""

from __future__ import annotations

from dataclasses import dataclass

from drafting.drawing import Drawing

__all__ = ["Block", "Listing", "Picture", "Section", "Table", "Text"]


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph."""

    words: str


@dataclass(frozen=True, slots=True)
class Listing:
    """Numbered steps, or points when `numbered` is False."""

    items: tuple[str, ...]
    numbered: bool = True


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of text under headings, as many cells in each."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing fitted to the page, not at true scale, and what it shows."""

    drawing: Drawing
    caption: str


Block = Text | Listing | Table | Picture


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it."""

    title: str
    blocks: tuple[Block, ...]
