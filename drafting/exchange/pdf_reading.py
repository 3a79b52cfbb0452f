"""Strokes out of the pages of a vector PDF at true scale, by pdfium.

A unit is 1/72 inch, or `UserUnit` of them (PDF 32000-1, 8.3.2.3). Every path comes through its
own transform and those of the forms it lies in, and is cut to what its clip lets through.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

import pypdfium2

from drafting.chains import moved_chain
from drafting.errors import DraftingError
from drafting.exchange.limits import check_size
from drafting.exchange.linework import Lettering, Linework, Stroke
from drafting.exchange.pdf_objects import Found, add_objects
from drafting.plane import Motion, Point

__all__ = ["PdfPage", "pdf_linework", "pdf_pages"]

POINT = 25.4 / 72.0
MOST_PAGES = 1_000
GAP = 20.0
_USER_UNIT = re.compile(rb"/UserUnit\s+([\d.]+)")
_PACKED = re.compile(rb"/ObjStm\b.*?stream\r?\n", re.DOTALL)


@dataclass(frozen=True, slots=True)
class PdfPage:
    """One page upright: size in mm, strokes and words with the origin at the lower left."""

    number: int
    width: float
    height: float
    strokes: tuple[Stroke, ...]
    words: tuple[Lettering, ...]
    pictures: int = 0


def pdf_linework(content: bytes, pages: Sequence[int] = ()) -> Linework:
    """The strokes of a PDF; pages (from 1, all when none is named) side by side, 20 mm apart.

    Raises `DraftingError`, one line: too large, no PDF, locked, or without vector lines.
    """
    read = pdf_pages(content, pages)
    strokes: list[Stroke] = []
    words: list[Lettering] = []
    reach = 0.0
    for page in read:
        shift = Motion(dx=reach)
        for stroke in page.strokes:
            data = (*stroke.data, ("page", str(page.number)))
            shifted = moved_chain(stroke.segments, shift)
            strokes.append(replace(stroke, segments=shifted, data=data))
        words += [replace(each, point=shift(each.point)) for each in page.words]
        reach += page.width + GAP
    pictures = sum(page.pictures for page in read)
    if not strokes and pictures:
        raise DraftingError(
            "it holds pictures and no vector lines; a scanned piece is traced with "
            "`shearlight trace`"
        )
    told = (f"{pictures} pictures were left out",) if pictures else ()
    return Linework(tuple(strokes), tuple(words), (), "points of 1/72 inch", True, told)


def pdf_pages(content: bytes, pages: Sequence[int] = ()) -> tuple[PdfPage, ...]:
    """Every page by itself, or the pages named (from 1). Raises as `pdf_linework`."""
    check_size(content)
    if b"%PDF-" not in content[:1024]:
        raise DraftingError("not readable as PDF: it does not begin with %PDF-")
    unit = _user_unit(content)
    try:
        document = pypdfium2.PdfDocument(content)
    except pypdfium2.PdfiumError as error:
        what = "it is locked by a password" if "assword" in str(error) else "was it cut short?"
        raise DraftingError(f"not readable as PDF ({error}); {what}") from error
    try:
        count = len(document)
        if not 1 <= count <= MOST_PAGES:
            raise DraftingError(f"{count} pages, wanted 1 to {MOST_PAGES}")
        wanted = tuple(pages) or tuple(range(1, count + 1))
        strange = next((n for n in wanted if not 1 <= n <= count), None)
        if strange is not None:
            raise DraftingError(f"there is no page {strange}; the file has {count}")
        read, points = [], 0
        for number in wanted:
            page, points = _page(document, number, unit, points)
            read.append(page)
        return tuple(read)
    except pypdfium2.PdfiumError as error:
        raise DraftingError(f"not readable as PDF ({error}); was it cut short?") from error
    finally:
        document.close()


def _user_unit(content: bytes) -> float:
    """How many 1/72 inch a unit is. pdfium passes this over, so that it is looked for here."""
    found = {float(value) for value in _USER_UNIT.findall(content)}
    for match in _PACKED.finditer(content):
        try:
            unpacked = zlib.decompressobj().decompress(content[match.end() :], 5_000_000)
        except zlib.error:
            continue
        found |= {float(value) for value in _USER_UNIT.findall(unpacked)}
    if len(found) > 1:
        raise DraftingError("its pages have units of different sizes; save them one by one")
    unit = found.pop() if found else 1.0
    if not 0.01 <= unit <= 1000.0:
        raise DraftingError(f"UserUnit: found {unit:g}, wanted 0.01 to 1000")
    return unit


def _page(
    document: pypdfium2.PdfDocument, number: int, unit: float, points: int
) -> tuple[PdfPage, int]:
    page = document[number - 1]
    try:
        left, bottom, right, top = page.get_cropbox()
        turn = page.get_rotation()
        size = unit * POINT

        def place(x: float, y: float) -> Point:
            x, y = (x - left) * size, (y - bottom) * size
            wide, high = (right - left) * size, (top - bottom) * size
            match turn:  # the page is shown turned clockwise
                case 90:
                    return Point(y, wide - x)
                case 180:
                    return Point(wide - x, high - y)
                case 270:
                    return Point(high - y, x)
            return Point(x, y)

        found = Found(place, points=points)
        add_objects(page, found)
        wide, high = abs(right - left) * size, abs(top - bottom) * size
        if turn in (90, 270):
            wide, high = high, wide
        made = PdfPage(number, wide, high, tuple(found.strokes), tuple(found.words), found.pictures)
        return made, found.points
    finally:
        page.close()
