"""Drawings as the pages of a PDF at true scale, text in an embedded font.

The letters are DejaVu Sans 2.37, which comes with this package under its free licence
(letters/LICENCE.txt): Latin, Greek, Cyrillic and more. Letters it does not hold, such as Chinese
ones, are written by their plain letter or as a question mark.
"""

from __future__ import annotations

import io
import math
import unicodedata
from collections.abc import Sequence
from functools import cache
from importlib import resources

from reportlab.lib.colors import HexColor
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from drafting.curves import Cubic
from drafting.drawing import Box, Curve, Drawing, Layer, Mark, Words
from drafting.errors import DraftingError

__all__ = [
    "LONGEST", "POINT_A_MM", "draw", "fitting_text", "letters", "pdf_bytes", "text_width",
    "writable",
]  # fmt: skip

POINT_A_MM = 72.0 / 25.4
LONGEST = 14_400 / POINT_A_MM
"""A side of a PDF page is at most 14,400 units of 1/72 in (PDF 32000-1, annex C): 5,080 mm."""


def pdf_bytes(pages: Drawing | Sequence[Drawing], title: str = "") -> bytes:
    """One page a drawing, as large as its box.

    Raises `DraftingError` when a page is longer than a PDF page can be.
    """
    drawings = (pages,) if isinstance(pages, Drawing) else tuple(pages)
    if not drawings:
        raise DraftingError("a PDF of no pages cannot be written")
    target = io.BytesIO()
    canvas = Canvas(target, pageCompression=1, invariant=1)
    canvas.setTitle(title or drawings[0].title or "drawing")
    canvas.setCreator("Shearlight")
    for drawing in drawings:
        box = drawing.box
        if max(box.width, box.height) > LONGEST:
            raise DraftingError(
                f"a page of {box.width:.0f} x {box.height:.0f} mm is longer than a PDF page can "
                f"be ({LONGEST:.0f} mm); print it in tiles or at half scale"
            )
        canvas.setPageSize((box.width * POINT_A_MM, box.height * POINT_A_MM))
        canvas.scale(POINT_A_MM, POINT_A_MM)
        draw(canvas, drawing)
        canvas.showPage()
    canvas.save()
    return target.getvalue()


def draw(canvas: Canvas, drawing: Drawing) -> None:
    """Draw on a canvas whose unit is 1 mm, the lower left corner of the box at its origin."""
    canvas.translate(-drawing.box.left, -drawing.box.bottom)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    for layer in drawing.layers:
        _draw_layer(canvas, layer)


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width of a line of text in the embedded font, mm."""
    return float(pdfmetrics.stringWidth(writable(text, bold), letters(bold), size))


def fitting_text(text: str, size: float, width: float, bold: bool = False) -> str:
    """The text, or its beginning and an ellipsis, no wider than `width` mm."""
    if text_width(text, size, bold) <= width:
        return text
    while text and text_width(text + "…", size, bold) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def _draw_layer(canvas: Canvas, layer: Layer) -> None:
    canvas.saveState()
    if layer.clip is not None:
        _clip(canvas, layer.clip)
    for mark in layer.marks:
        if isinstance(mark, Words):
            _draw_words(canvas, mark)
        else:
            _draw_line(canvas, mark)
    canvas.restoreState()


def _clip(canvas: Canvas, box: Box) -> None:
    path = canvas.beginPath()
    path.rect(box.left, box.bottom, box.width, box.height)
    canvas.clipPath(path, stroke=0, fill=0)


def _draw_line(canvas: Canvas, mark: Mark) -> None:
    assert not isinstance(mark, Words)
    path = canvas.beginPath()
    if isinstance(mark, Curve):
        _trace(path, mark)
    else:
        path.moveTo(mark.points[0].x, mark.points[0].y)
        for point in mark.points[1:]:
            path.lineTo(point.x, point.y)
    if mark.closed:
        path.close()
    if mark.pen is not None:
        canvas.setStrokeColor(HexColor(mark.pen.colour))
        canvas.setLineWidth(mark.pen.width)
        canvas.setDash(*([list(mark.pen.dash)] if mark.pen.dash else []))
    if mark.fill is not None:
        canvas.setFillColor(HexColor(mark.fill))
    canvas.drawPath(path, stroke=int(mark.pen is not None), fill=int(mark.fill is not None))


def _trace(path: PDFPathObject, curve: Curve) -> None:
    path.moveTo(curve.segments[0].start.x, curve.segments[0].start.y)
    for segment in curve.segments:
        if isinstance(segment, Cubic):
            first, second, end = segment.control_1, segment.control_2, segment.end
            path.curveTo(first.x, first.y, second.x, second.y, end.x, end.y)
        else:
            path.lineTo(segment.end.x, segment.end.y)


def _draw_words(canvas: Canvas, words: Words) -> None:
    canvas.saveState()
    canvas.translate(words.point.x, words.point.y)
    canvas.rotate(math.degrees(words.angle))
    canvas.setFillColor(HexColor(words.colour))
    canvas.setFont(letters(words.bold), words.size)
    text = writable(words.text, words.bold)
    if words.anchor == "middle":
        canvas.drawCentredString(0, 0, text)
    elif words.anchor == "end":
        canvas.drawRightString(0, 0, text)
    else:
        canvas.drawString(0, 0, text)
    canvas.restoreState()


@cache
def letters(bold: bool) -> str:
    """The name under which the embedded letters are known to reportlab."""
    name = "DejaVuSans-Bold" if bold else "DejaVuSans"
    file = resources.files("drafting.exchange").joinpath(f"letters/{name}.ttf")
    pdfmetrics.registerFont(TTFont(name, io.BytesIO(file.read_bytes())))
    return name


def writable(text: str, bold: bool) -> str:
    """The text in letters that the font holds."""
    held = pdfmetrics.getFont(letters(bold)).face.charToGlyph
    written = []
    for letter in text:
        plain = unicodedata.normalize("NFKD", letter)[:1]
        written.append(next((each for each in (letter, plain) if ord(each) in held), "?"))
    return "".join(written)
