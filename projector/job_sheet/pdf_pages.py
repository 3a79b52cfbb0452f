"""A job sheet as a PDF on A4 or Letter."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import (
    Flowable,
    KeepTogether,
    ListFlowable,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
)
from reportlab.platypus import Table as Grid

from drafting.drawing import Drawing
from drafting.exchange.drawing_pdf import POINT_A_MM, draw, letters, writable
from drafting.exchange.sheets import PAPERS
from projector.errors import ProjectorError
from projector.job_sheet.parts import Block, Listing, Picture, Section, Table, Text

__all__ = ["pdf_pages"]

MARGIN = 16.0
TALLEST = 108.0


class _Shown(Flowable):  # type: ignore[misc]
    """A drawing scaled to the page's width, no taller than 108 mm."""

    def __init__(self, drawing: Drawing, room: float) -> None:
        super().__init__()
        box = drawing.box
        self.factor = min(room / box.width, TALLEST * POINT_A_MM / box.height)
        self.drawing = drawing
        self.width, self.height = self.factor * box.width, self.factor * box.height

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        canvas.saveState()
        canvas.scale(self.factor, self.factor)
        draw(canvas, self.drawing)
        canvas.restoreState()


def pdf_pages(title: str, told: str, sections: Sequence[Section], paper: str = "A4") -> bytes:
    """The sheet. Raises `ProjectorError` for a paper that is not A4 or Letter."""
    if paper not in ("A4", "Letter"):
        raise ProjectorError(f"--paper: found {paper!r}, wanted A4 or Letter")
    size = tuple(side * POINT_A_MM for side in PAPERS[paper])
    room = size[0] - 2 * MARGIN * POINT_A_MM
    target = io.BytesIO()
    plain, bold = letters(False), letters(True)
    body = ParagraphStyle("body", fontName=plain, fontSize=9, leading=12.5, spaceAfter=4)
    cell = ParagraphStyle("cell", parent=body, fontSize=8, leading=10, spaceAfter=0)
    head = ParagraphStyle("head", parent=cell, fontName=bold, textColor=HexColor("#4a6670"))
    section_style = ParagraphStyle(
        "section", parent=body, fontName=bold, fontSize=12.5, leading=16, spaceBefore=10
    )
    top = ParagraphStyle("top", parent=body, fontName=bold, fontSize=19, leading=24)
    quiet = ParagraphStyle("quiet", parent=body, textColor=HexColor("#5a6a72"))

    def words(text: str, style: ParagraphStyle) -> Paragraph:
        return Paragraph(escape(writable(text, style.fontName == bold)), style)

    def block_of(block: Block) -> list[Any]:
        match block:
            case Text():
                return [words(block.words, body)]
            case Listing():
                kind = "1" if block.numbered else "bullet"
                items = [words(item, body) for item in block.items]
                return [ListFlowable(items, bulletType=kind, bulletFontName=plain,
                                     bulletFontSize=9, leftIndent=16)]  # fmt: skip
            case Table():
                rows = [[words(text, head) for text in block.headings]]
                rows += [[words(text, cell) for text in row] for row in block.rows]
                grid = Grid(rows, colWidths=_widths(block, room), repeatRows=1, hAlign="LEFT")
                line = (0, 0), (-1, -1), 0.4, HexColor("#d8cdb6")
                grid.setStyle([("LINEBELOW", *line), ("VALIGN", (0, 0), (-1, -1), "TOP"),
                               ("TOPPADDING", (0, 0), (-1, -1), 2),
                               ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
                               ("LEFTPADDING", (0, 0), (-1, -1), 0)])  # fmt: skip
                return [grid, Spacer(1, 6)]
            case Picture():
                shown = _Shown(block.drawing, room)
                return [KeepTogether([shown, words(block.caption, quiet)])]

    story: list[Any] = [words(title, top), words(told, quiet)]
    for section in sections:
        held: list[Any] = [words(section.title, section_style)]
        for block in section.blocks:  # a heading or a sentence is not parted from what follows
            held += block_of(block)
            if not isinstance(block, Text):
                story.append(KeepTogether(held))
                held = []
        story += held

    def foot(canvas: Any, document: Any) -> None:
        canvas.setFont(plain, 7)
        canvas.setFillColor(HexColor("#5a6a72"))
        canvas.drawRightString(
            size[0] - MARGIN * POINT_A_MM, 8 * POINT_A_MM,
            writable(f"{title}, page {document.page}", False),
        )  # fmt: skip

    side = MARGIN * POINT_A_MM
    document = SimpleDocTemplate(
        target, pagesize=size, leftMargin=side, rightMargin=side, topMargin=side,
        bottomMargin=side, title=title, creator="Shearlight", invariant=1,
    )  # fmt: skip
    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return target.getvalue()


def _widths(table: Table, room: float) -> list[float]:
    """Columns as wide as what stands in them asks for, together no wider than the page."""
    columns = list(zip(table.headings, *table.rows, strict=True))
    wanted = [min(46, max(5, *(len(text) for text in column))) * 4.6 + 10 for column in columns]
    shrink = min(1.0, room / sum(wanted))
    return [shrink * width for width in wanted]
