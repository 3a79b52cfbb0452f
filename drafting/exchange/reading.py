"""Linework out of any file that is read, known by its content and not by its name."""

from __future__ import annotations

from collections.abc import Sequence

from drafting.errors import DraftingError
from drafting.exchange.dxf_guard import looks_like_dxf
from drafting.exchange.dxf_reading import dxf_linework
from drafting.exchange.linework import Linework, legible
from drafting.exchange.pdf_reading import pdf_linework, pdf_pages
from drafting.exchange.svg_reading import DOTS_AN_INCH, svg_linework
from drafting.exchange.tiles import Tiles, put_together

__all__ = ["kind_of", "linework_of"]


def kind_of(content: bytes) -> str:
    """ "svg", "dxf" or "pdf". Raises `DraftingError`, one line, for anything else."""
    head = content[:4096].lstrip()
    if not head:
        raise DraftingError("the file is empty; wanted SVG, DXF or PDF")
    if b"%PDF-" in content[:1024]:
        return "pdf"
    if head[:2] in (b"\x1f\x8b", b"PK"):
        raise DraftingError("the file is packed; unpack it first, wanted SVG, DXF or PDF")
    if head[:1] == b"<" or head[:4] == b"\xef\xbb\xbf<" or head[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "svg"
    if looks_like_dxf(content):
        return "dxf"
    if head[:4] == b"\x89PNG" or head[:3] == b"\xff\xd8\xff":
        raise DraftingError(
            "a picture, not SVG, DXF or PDF; a piece in a photograph is traced with "
            "`shearlight trace`"
        )
    begins = head.splitlines()[0][:16].decode("ascii", "replace")
    raise DraftingError(f"neither SVG nor DXF nor PDF; it begins with {begins!r}")


def linework_of(
    content: bytes,
    dots_an_inch: float = DOTS_AN_INCH,
    unit: float | None = None,
    pages: Sequence[int] = (),
    tiles: Tiles | None = None,
) -> Linework:
    """The strokes of a file.

    `dots_an_inch` is for SVG, `unit` for DXF, `pages` and `tiles` for PDF.
    """
    match kind_of(content):
        case "svg":
            read = svg_linework(content, dots_an_inch)
        case "dxf":
            read = dxf_linework(content, unit)
        case "pdf" if tiles is not None:
            strokes = put_together(pdf_pages(content, pages), tiles)
            read = Linework(strokes, unit="points of 1/72 inch")
        case _:
            read = pdf_linework(content, pages)
    return legible(read)
