"""Tiled PDF files put together: one made by reportlab, one by our own writer."""

import io
import math

import pytest
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from drafting.curves import Cubic, length
from drafting.drawing import Box, Drawing, Layer, Polyline
from drafting.errors import DraftingError
from drafting.exchange.drawing_pdf import pdf_bytes
from drafting.exchange.outlines import outlines
from drafting.exchange.pdf_reading import pdf_pages
from drafting.exchange.sheets import sheets
from drafting.exchange.tiles import Tiles, put_together
from drafting.plane import Point


def tiled_by_reportlab() -> bytes:
    """A circle of 300 mm on 2 x 2 pages of 200 mm: margin 10, overlap 20."""
    target = io.BytesIO()
    page = Canvas(target, pagesize=(200 * mm, 200 * mm))
    for row in range(2):
        for column in range(2):
            page.rect(10 * mm, 10 * mm, 180 * mm, 180 * mm)
            path = page.beginPath()
            path.rect(10 * mm, 10 * mm, 180 * mm, 180 * mm)
            page.clipPath(path, stroke=0)
            page.translate((10 - 160 * column) * mm, (10 - 160 * (1 - row)) * mm)
            page.circle(170 * mm, 170 * mm, 150 * mm)
            page.showPage()
    page.save()
    return target.getvalue()


def test_pages_of_reportlab_become_one_circle() -> None:
    strokes = put_together(pdf_pages(tiled_by_reportlab()), Tiles(2, 20.0, 10.0))
    found = outlines(strokes, 0.1)
    (circle,) = found.outlines
    assert not found.faults
    assert all(isinstance(segment, Cubic) for segment in circle.segments)
    total = sum(length(segment) for segment in circle.segments)
    assert total == pytest.approx(2 * math.pi * 150, rel=5e-4)
    assert circle.area == pytest.approx(math.pi * 150**2, rel=1e-3)


def test_our_own_sheets_come_back_at_true_scale() -> None:
    corners = tuple(Point(*p) for p in ((15, 20), (600, 30), (620, 90), (40, 580)))
    drawing = Drawing(Box(0, 0, 640, 600), (Layer("cut", (Polyline(corners, closed=True),)),), "t")
    made = sheets(drawing, "A4")
    assert len(made.pages) < made.columns * made.rows  # the empty ones are left out
    pages = pdf_pages(pdf_bytes(made.pages))
    strokes = [s for s in put_together(pages, Tiles(made.columns, made.overlap)) if
               s.colour == "#1b2a33"]  # fmt: skip
    (outline,) = outlines(strokes, 0.1).outlines
    sides = [math.dist((a.x, a.y), (b.x, b.y)) for a, b in zip(
        corners, (*corners[1:], corners[0]), strict=True)]  # fmt: skip
    assert sum(length(s) for s in outline.segments) == pytest.approx(sum(sides), abs=0.1)


def test_tiles_that_cannot_be_are_refused() -> None:
    with pytest.raises(DraftingError, match="columns"):
        Tiles(0)
    with pytest.raises(DraftingError, match="smaller ones"):
        put_together(pdf_pages(tiled_by_reportlab()), Tiles(2, 60.0, 90.0))
