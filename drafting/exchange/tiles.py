"""The pages of a tiled PDF put together: every page shows a window, neighbours overlap."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely

from drafting.chains import moved_chain
from drafting.errors import DraftingError
from drafting.exchange.clipping import clipped
from drafting.exchange.linework import Stroke
from drafting.exchange.pdf_reading import PdfPage
from drafting.plane import Motion

__all__ = ["Tiles", "put_together"]

_PLACE = re.compile(r"column (\d{1,3}) of \d+, row (\d{1,3}) of \d+")


@dataclass(frozen=True, slots=True)
class Tiles:
    """How the pages lie: row by row from the top left, `columns` in each.

    Pages that say "column 2 of 4, row 1 of 3" are put there instead; some may be missing then.

    `margin` is the blank border of a page and `overlap` what neighbouring windows both show, mm.
    """

    columns: int
    overlap: float = 10.0
    margin: float = 12.0

    def __post_init__(self) -> None:
        if not (1 <= self.columns <= 100 and 0 <= self.overlap <= 100 and 0 <= self.margin <= 100):
            raise DraftingError(
                f"tiles of {self.columns} columns, overlap {self.overlap:g} mm, margin "
                f"{self.margin:g} mm: wanted 1 to 100 columns and 0 to 100 mm"
            )


def put_together(pages: Sequence[PdfPage], tiles: Tiles) -> tuple[Stroke, ...]:
    """The strokes of all pages in one frame, each window cut in the middle of its overlaps.

    What stands at the same place of every page, such as a frame or a test square, is left out.
    Raises `DraftingError` when the pages differ in size or the windows vanish.
    """
    sizes = {(round(page.width, 1), round(page.height, 1)) for page in pages}
    if len(sizes) > 1:
        raise DraftingError(f"tiles of {len(sizes)} different page sizes cannot be put together")
    width, height = pages[0].width - 2 * tiles.margin, pages[0].height - 2 * tiles.margin
    step = (width - tiles.overlap, height - tiles.overlap)
    if min(step) <= 0.0:
        raise DraftingError("margin and overlap leave nothing of a page; state smaller ones")
    everywhere = _on_every_page(pages)
    places = _places(pages, tiles.columns)
    columns, rows = (1 + max(place[k] for place in places) for k in (0, 1))
    made: list[Stroke] = []
    for page, (column, row) in zip(pages, places, strict=True):
        half, low = tiles.overlap / 2, tiles.margin
        window = shapely.box(
            low + (half if column > 0 else 0.0),
            low + (half if row < rows - 1 else 0.0),
            low + width - (half if column < columns - 1 else 0.0),
            low + height - (half if row > 0 else 0.0),
        )
        shift = Motion(0.0, column * step[0] - low, (rows - 1 - row) * step[1] - low)
        for stroke in page.strokes:
            if _key(stroke) in everywhere:
                continue
            for part in clipped(stroke, (window,)):
                made.append(replace(part, segments=moved_chain(part.segments, shift)))
    return tuple(made)


def _places(pages: Sequence[PdfPage], columns: int) -> list[tuple[int, int]]:
    """Column and row of every page: as it says itself, otherwise by its turn."""
    said = [
        match
        for page in pages
        for match in [next(filter(None, (_PLACE.search(w.text) for w in page.words)), None)]
        if match is not None
    ]
    if len(said) == len(pages):
        return [(int(match[1]) - 1, int(match[2]) - 1) for match in said]
    return [(number % columns, number // columns) for number in range(len(pages))]


def _key(stroke: Stroke) -> tuple[float, ...]:
    ends = [(s.start.x, s.start.y, s.end.x, s.end.y) for s in stroke.segments]
    return tuple(round(value, 2) for end in ends for value in end)


def _on_every_page(pages: Sequence[PdfPage]) -> set[tuple[float, ...]]:
    if len(pages) < 2:
        return set()
    times = Counter(key for page in pages for key in {_key(stroke) for stroke in page.strokes})
    return {key for key, count in times.items() if count == len(pages)}
