"""A job sheet as a PDF on A4 or Letter."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import (
    Flowable,
    HRFlowable,
    KeepTogether,
    ListFlowable,
    ListItem,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
)
from reportlab.platypus import Table as Grid

from drafting.drawing import Drawing
from drafting.exchange.drawing_pdf import POINT_A_MM, draw, letters, text_width, writable
from drafting.exchange.sheets import PAPERS
from projector.errors import ProjectorError
from projector.job_sheet.parts import (
    Block,
    Columns,
    Figures,
    Listing,
    Picture,
    Section,
    Table,
    Text,
)

__all__ = ["pdf_pages"]

MARGIN = 15.0
GAP = 7.0 * POINT_A_MM
LONGEST_ROW = 225.0 * POINT_A_MM
"""What stands side by side must fit on one page."""
LONGEST = 120
"""Characters of a figure at the head; the names of very many wearers are cut off."""
INK, QUIET, LINE, WARM = (HexColor(c) for c in ("#1b2a33", "#5a6a72", "#d8cdb6", "#b3461e"))
_BARE = [("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0),
         ("TOPPADDING", (0, 0), (-1, -1), 0), ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
         ("VALIGN", (0, 0), (-1, -1), "TOP")]  # fmt: skip


class _Shown(Flowable):  # type: ignore[misc]
    """A drawing scaled to the room it has."""

    def __init__(self, drawing: Drawing, room: float, tallest: float) -> None:
        super().__init__()
        box = drawing.box
        self.factor = min(room / box.width, tallest * POINT_A_MM / box.height)
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


def _style(name: str, size: float, leading: float, bold: bool = False, **more: Any) -> Any:
    known = {"textColor": INK, "spaceAfter": 0, **more}
    return ParagraphStyle(name, fontName=letters(bold), fontSize=size, leading=leading, **known)


@dataclass(frozen=True, slots=True)
class _Styles:
    top: Any
    told: Any
    section: Any
    body: Any
    cell: Any
    head: Any
    what: Any
    much: Any
    caption: Any


def _styles() -> _Styles:
    return _Styles(
        top=_style("top", 22, 26, True),
        told=_style("told", 8.5, 12, textColor=QUIET, spaceAfter=5),
        section=_style("section", 11.5, 14, True, spaceAfter=3),
        body=_style("body", 8.6, 11.6, spaceAfter=3),
        cell=_style("cell", 7.8, 9.6),
        head=_style("head", 7.0, 9.0, True, textColor=QUIET),
        what=_style("what", 7.0, 9.0, textColor=QUIET),
        much=_style("much", 10.5, 13.5, True),
        caption=_style("caption", 7.4, 10, textColor=QUIET, spaceAfter=3),
    )


def _words(text: str, style: Any) -> Paragraph:
    return Paragraph(escape(writable(text, style.fontName == letters(True))), style)


def _flowed(block: Block, room: float, styles: _Styles) -> list[Any]:
    match block:
        case Text():
            return [_words(block.words, styles.body)]
        case Listing():
            kind = "1" if block.numbered else "bullet"
            items = [ListItem(_words(item, styles.body), bulletColor=WARM) for item in block.items]
            return [ListFlowable(items, bulletType=kind, bulletFontName=letters(True),
                                 bulletFontSize=8 if block.numbered else 6, bulletColor=WARM,
                                 bulletOffsetY=0 if block.numbered else -2,
                                 leftIndent=15)]  # fmt: skip
        case Table():
            return [_grid(block, room, styles), Spacer(1, 4)]
        case Figures():
            return [_figures(block, room, styles), Spacer(1, 5)]
        case Columns():
            whole = room - GAP * (len(block.columns) - 1)
            widths = [whole * width / sum(block.widths) for width in block.widths]
            cells = [
                [part for each in column for part in _flowed(each, width, styles)]
                for column, width in zip(block.columns, widths, strict=True)
            ]
            return _beside(cells, widths)
        case Picture():
            shown = _Shown(block.drawing, room, block.tallest)
            return [shown, Spacer(1, 2), _words(block.caption, styles.caption)]


def _beside(cells: list[list[Any]], widths: list[float]) -> list[Any]:
    """The cells side by side, or one under the other when a page is not tall enough for that."""
    row: list[Any] = []
    sizes: list[float] = []
    for cell, width in zip(cells, widths, strict=True):
        if row:
            row.append("")
            sizes.append(GAP)
        row.append(cell)
        sizes.append(width)
    made = Grid([row], colWidths=sizes, hAlign="LEFT", style=_BARE)
    tall = made.wrap(sum(sizes), 1e6)[1] > LONGEST_ROW
    return [part for cell in cells for part in cell] if tall else [made]


def _grid(table: Table, room: float, styles: _Styles) -> Grid:
    rows: list[list[Any]] = []
    if any(table.headings):
        rows.append([_words(text, styles.head) for text in table.headings])
    for row in table.rows:
        rows.append([_words(text, styles.cell) for text in row])
    grid = Grid(rows, colWidths=_widths(table, room), repeatRows=int(any(table.headings)),
                hAlign="LEFT")  # fmt: skip
    grid.setStyle([*_BARE, ("LINEBELOW", (0, 0), (-1, -1), 0.35, LINE),
                   ("TOPPADDING", (0, 0), (-1, -1), 1.4), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
                   ("RIGHTPADDING", (0, 0), (-2, -1), 7)])  # fmt: skip
    return grid


def _widths(table: Table, room: float) -> list[float]:
    """Columns as wide as what stands in them asks for, together as wide as the room."""
    columns = list(zip(table.headings, *table.rows, strict=True))
    wanted = [min(150.0, max(text_width(text, 7.8) for text in column)) + 9.0 for column in columns]
    if sum(wanted) <= room:
        spare = room - sum(wanted)
        return [width + spare * width / sum(wanted) for width in wanted]
    fair = room / len(wanted)  # the wide ones give way; a narrow one keeps what it asks for
    narrow = sum(width for width in wanted if width <= fair)
    wide = sum(width for width in wanted if width > fair)
    return [w if w <= fair else w * (room - narrow) / wide for w in wanted]


def _figures(figures: Figures, room: float, styles: _Styles) -> Grid:
    items = [(what, much if len(much) < LONGEST else much[:LONGEST] + " …")
             for what, much in figures.items]  # fmt: skip
    cells = [[_words(what, styles.what), _words(much, styles.much)] for what, much in items]
    asked = [  # the names of many wearers leave room for the rest
        min(max(text_width(much, 10.5, True), text_width(what, 7.0)) + 16.0, room / 2)
        for what, much in items
    ]
    widths = [room * width / sum(asked) for width in asked]
    return Grid(
        [cells], colWidths=widths, hAlign="LEFT",
        style=[*_BARE, ("BOX", (0, 0), (-1, -1), 0.5, LINE),
               ("LINEAFTER", (0, 0), (-2, -1), 0.35, LINE),
               ("LEFTPADDING", (0, 0), (-1, -1), 7), ("RIGHTPADDING", (0, 0), (-1, -1), 4),
               ("TOPPADDING", (0, 0), (-1, -1), 4), ("BOTTOMPADDING", (0, 0), (-1, -1), 5)],
    )  # fmt: skip


def _headed(title: str, styles: _Styles) -> list[Any]:
    if not title:
        return []
    rule = HRFlowable("100%", 1.1, color=INK, spaceBefore=7, spaceAfter=2.5, lineCap="butt")
    return [rule, _words(title, styles.section)]


def pdf_pages(title: str, told: str, sections: Sequence[Section], paper: str = "A4") -> bytes:
    """The sheet. Raises `ProjectorError` for a paper that is not A4 or Letter."""
    if paper not in ("A4", "Letter"):
        raise ProjectorError(f"--paper: found {paper!r}, wanted A4 or Letter")
    size = tuple(side * POINT_A_MM for side in PAPERS[paper])
    side = MARGIN * POINT_A_MM
    room = size[0] - 2 * side
    target = io.BytesIO()
    styles = _styles()
    band = HRFlowable("100%", 3.0, color=WARM, spaceAfter=5, lineCap="butt")
    story: list[Any] = [band, _words(title, styles.top), _words(told, styles.told)]
    number = 0
    while number < len(sections):
        section = sections[number]
        if number + 1 < len(sections) and sections[number + 1].beside:
            half = (room - GAP) / 2
            cells = [
                _headed(each.title, styles)
                + [part for block in each.blocks for part in _flowed(block, half, styles)]
                for each in (section, sections[number + 1])
            ]
            story += [*_beside(cells, [half, half]), Spacer(1, 9)]
            number += 2
            continue
        held = _headed(section.title, styles)
        for block in section.blocks:  # a heading or a sentence is not parted from what follows
            held += _flowed(block, room, styles)
            if not isinstance(block, Text):
                story.append(KeepTogether(held))
                held = []
        story += held
        number += 1

    def foot(canvas: Any, document: Any) -> None:
        canvas.setFont(letters(False), 7)
        canvas.setFillColor(QUIET)
        canvas.drawString(side, 8 * POINT_A_MM, writable(told, False))
        canvas.drawRightString(
            size[0] - side, 8 * POINT_A_MM, writable(f"{title}, page {document.page}", False)
        )

    document = SimpleDocTemplate(
        target, pagesize=size, leftMargin=side - 6, rightMargin=side - 6, topMargin=side - 6,
        bottomMargin=side, title=title, creator="Shearlight", invariant=1,
    )  # fmt: skip
    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return target.getvalue()
