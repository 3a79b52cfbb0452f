"""The parts a job sheet is made of, whatever it is written as."""

from __future__ import annotations

from dataclasses import dataclass

from drafting.drawing import Drawing

__all__ = ["Block", "Columns", "Figures", "Listing", "Picture", "Section", "Table", "Text"]


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
    """A drawing fitted to the page, not at true scale, and what it shows.

    `tallest` is its greatest height on paper, mm.
    """

    drawing: Drawing
    caption: str
    tallest: float = 100.0


@dataclass(frozen=True, slots=True)
class Figures:
    """A few figures to be read first: what each is, and how much."""

    items: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Columns:
    """Blocks side by side, a column for each, as wide in proportion as `widths`."""

    columns: tuple[tuple[Block, ...], ...]
    widths: tuple[float, ...]


Block = Text | Listing | Table | Picture | Figures | Columns


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it; `beside` when it stands to the right of the last one."""

    title: str
    blocks: tuple[Block, ...]
    beside: bool = False
