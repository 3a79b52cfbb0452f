"""The printed board as a PDF page at true scale, with a scale bar to measure after printing."""

from __future__ import annotations

import io

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from calibration.board import PAPER, black_rectangles, printed_board

__all__ = ["SCALE_BAR", "board_pdf"]

SCALE_BAR = 200.0


def board_pdf(paper: str) -> bytes:
    """One landscape page; the bar below the board is `SCALE_BAR` mm long when printed true."""
    board = printed_board(paper)
    width, height = PAPER[paper]
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(width * mm, height * mm), invariant=1)
    canvas.setTitle(f"Printed board, {paper}")
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
        f"{SCALE_BAR:g} mm: print at 100 %, measure this line, and enter what you measured",
    )  # fmt: skip
    canvas.showPage()
    canvas.save()
    return stream.getvalue()
