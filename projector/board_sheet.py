"""The printed board as a PDF page at true scale, with a scale bar to measure after printing."""

from __future__ import annotations

import io

import pypdfium2
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from calibration.board import PAPER, black_rectangles, printed_board

__all__ = ["PNG_PX_PER_MM", "SCALE_BAR", "board_pdf", "board_png", "board_svg"]

SCALE_BAR = 200.0
PNG_PX_PER_MM = 10
ADVICE = "print at 100 %, measure this line, and enter what you measured"


def board_pdf(paper: str, number: int = 0) -> bytes:
    """One landscape page; the bar below the board is `SCALE_BAR` mm long when printed true."""
    board = printed_board(paper, number=number)
    width, height = PAPER[paper]
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(width * mm, height * mm), invariant=1)
    canvas.setTitle(f"Printed board {number + 1}, {paper}")
    for left, top, right, bottom in black_rectangles(board):
        canvas.rect(
            left * mm, (height - bottom) * mm, (right - left) * mm, (bottom - top) * mm,
            stroke=0, fill=1,
        )  # fmt: skip
    start = (width - SCALE_BAR) / 2
    canvas.setLineWidth(0.25 * mm)
    canvas.line(start * mm, 8 * mm, (start + SCALE_BAR) * mm, 8 * mm)
    for end in (start, start + SCALE_BAR):
        canvas.line(end * mm, 6 * mm, end * mm, 10 * mm)
    canvas.setFont("Helvetica", 8)
    canvas.drawCentredString(
        width / 2 * mm, 4.2 * mm,
        f"Board {number + 1}, {SCALE_BAR:g} mm: {ADVICE}",
    )  # fmt: skip
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def board_svg(paper: str, number: int = 0) -> bytes:
    """The same sheet as SVG: width and height in mm, the viewBox in the same numbers, y down."""
    width, height = PAPER[paper]
    start = (width - SCALE_BAR) / 2
    bar = height - 8.0
    black = "".join(
        f"M{left:g} {top:g}H{right:g}V{bottom:g}H{left:g}Z"
        for left, top, right, bottom in black_rectangles(
            printed_board(paper, number=number)
        ).tolist()
    )
    ends = "".join(f"M{x:g} {bar - 2:g}V{bar + 2:g}" for x in (start, start + SCALE_BAR))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}">'
        f"<title>Printed board {number + 1}, {paper}</title>"
        f'<path id="board" d="{black}"/>'
        f'<path id="scale-bar" fill="none" stroke="#000000" stroke-width="0.25" '
        f'd="M{start:g} {bar:g}H{start + SCALE_BAR:g}{ends}"/>'
        f'<text x="{width / 2:g}" y="{height - 4.2:g}" font-size="2.8" text-anchor="middle" '
        f'font-family="sans-serif">Board {number + 1}, {SCALE_BAR:g} mm: {ADVICE}</text></svg>\n'
    ).encode()


def board_png(paper: str, number: int = 0) -> bytes:
    """The PDF page as a picture with a whole number of pixels a millimetre, `PNG_PX_PER_MM`."""
    pixels_an_inch = 25.4 * PNG_PX_PER_MM
    document = pypdfium2.PdfDocument(board_pdf(paper, number))
    try:
        # The renderer rounds the size up and stretches the page to it: a hair less keeps it exact.
        scale = pixels_an_inch / 72.0 * (1.0 - 1e-6)
        picture = document[0].render(scale=scale, grayscale=True).to_pil()
    finally:
        document.close()
    target = io.BytesIO()
    picture.save(target, "PNG", dpi=(pixels_an_inch, pixels_an_inch))
    return target.getvalue()
