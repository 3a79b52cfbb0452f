"""The printed board as a PDF page at true scale, with two bars to measure after printing."""

from __future__ import annotations

import io

import pypdfium2
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from calibration.board import PAPER, black_rectangles, printed_board

__all__ = ["ACROSS_BAR", "PNG_PX_PER_MM", "SCALE_BAR", "board_pdf", "board_png", "board_svg"]

SCALE_BAR = 200.0
"""Along the sheet, below the board, mm."""
ACROSS_BAR = 150.0
"""Up the sheet, left of the board, mm: printers shrink the two directions by different shares."""
BAR_INSET = 8.0
"""Of both bars from the edge of the sheet, mm: printers leave 5 mm blank."""
PNG_PX_PER_MM = 10
Line = tuple[tuple[float, float], tuple[float, float]]
ADVICE = (
    f"print at 100 %; measure this line, {SCALE_BAR:g} mm, and the one at the side, "
    f"{ACROSS_BAR:g} mm; enter both"
)


def board_pdf(paper: str, number: int = 0) -> bytes:
    """One landscape page; the bars are `SCALE_BAR` and `ACROSS_BAR` mm long if printed true."""
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
    canvas.setLineWidth(0.25 * mm)
    for (x0, y0), (x1, y1) in (line for bar in _bars(paper).values() for line in bar):
        canvas.line(x0 * mm, (height - y0) * mm, x1 * mm, (height - y1) * mm)
    canvas.setFont("Helvetica", 8)
    canvas.drawCentredString(
        width / 2 * mm, 4.2 * mm,
        f"Board {number + 1}: {ADVICE}",
    )  # fmt: skip
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _bars(paper: str) -> dict[str, tuple[Line, ...]]:
    """Both bars with their end marks, mm from the upper left corner of the sheet, y down."""
    width, height = PAPER[paper]
    low, left = height - BAR_INSET, BAR_INSET
    start, end = (width - SCALE_BAR) / 2, (width + SCALE_BAR) / 2
    top, bottom = (height - ACROSS_BAR) / 2, (height + ACROSS_BAR) / 2
    return {
        "scale-bar": (
            ((start, low), (end, low)),
            *(((x, low - 2.0), (x, low + 2.0)) for x in (start, end)),
        ),
        "scale-bar-across": (
            ((left, top), (left, bottom)),
            *(((left - 2.0, y), (left + 2.0, y)) for y in (top, bottom)),
        ),
    }


def board_svg(paper: str, number: int = 0) -> bytes:
    """The same sheet as SVG: width and height in mm, the viewBox in the same numbers, y down."""
    width, height = PAPER[paper]
    black = "".join(
        f"M{left:g} {top:g}H{right:g}V{bottom:g}H{left:g}Z"
        for left, top, right, bottom in black_rectangles(
            printed_board(paper, number=number)
        ).tolist()
    )
    bars = "".join(
        f'<path id="{name}" fill="none" stroke="#000000" stroke-width="0.25" d="'
        + "".join(f"M{x0:g} {y0:g}L{x1:g} {y1:g}" for (x0, y0), (x1, y1) in lines)
        + '"/>'
        for name, lines in _bars(paper).items()
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}">'
        f"<title>Printed board {number + 1}, {paper}</title>"
        f'<path id="board" d="{black}"/>'
        f"{bars}"
        f'<text x="{width / 2:g}" y="{height - 4.2:g}" font-size="2.8" text-anchor="middle" '
        f'font-family="sans-serif">Board {number + 1}: {ADVICE}</text></svg>\n'
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
