"""Sheets rendered by pdfium and put together again as a picture, then measured."""

import io

import numpy as np
import pypdf
import pypdfium2
import pytest

from drafting.curves import Line
from drafting.drawing import Box, Curve, Drawing, Layer, Pen, Polyline
from drafting.errors import DraftingError
from drafting.exchange.drawing_pdf import pdf_bytes
from drafting.exchange.sheets import PAPERS, sheets, with_test_square
from drafting.plane import Point

DPI = 600
PER_MM = DPI / 25.4


def cross(x: float, y: float) -> tuple[Polyline, ...]:
    pen = Pen(0.3, "#000000")
    return (
        Polyline((Point(x - 6, y), Point(x + 6, y)), pen),
        Polyline((Point(x, y - 6), Point(x, y + 6)), pen),
    )


CROSSES = ((15.0, 15.0), (385.0, 18.0), (380.0, 505.0), (12.0, 508.0), (205.3, 260.7))
DRAWING = Drawing(
    Box(0, 0, 400, 520),
    (
        Layer("crosses", tuple(mark for x, y in CROSSES for mark in cross(x, y))),
        Layer("line", (Curve((Line(Point(15, 15), Point(380, 505)),), Pen(0.3, "#000000")),)),
    ),
    "trial",
)


def pictures(pages: tuple[Drawing, ...], dpi: int = DPI) -> list[np.ndarray]:
    document = pypdfium2.PdfDocument(pdf_bytes(pages))
    scale = dpi / 72
    return [np.asarray(page.render(scale=scale, grayscale=True).to_pil()) for page in document]


def put_together() -> np.ndarray:
    """Dark where any sheet is; the picture's corner is the drawing's upper left one."""
    full = sheets(DRAWING, "A4", 10.0)
    assert len(full.pages) == full.columns * full.rows
    clear = [
        Drawing(page.box, tuple(x for x in page.layers if x.name == "crosses"))
        for page in full.pages
    ]
    width, height = full.pages[0].box.width, full.pages[0].box.height
    step = [round(each * PER_MM) for each in full.step]
    margin = round(12.0 * PER_MM)
    window = (round((width - 24) * PER_MM), round((height - 24) * PER_MM))
    whole = np.full(
        (step[1] * (full.rows - 1) + window[1], step[0] * (full.columns - 1) + window[0]),
        255,
        np.uint8,
    )
    for number, picture in enumerate(pictures(tuple(clear))):
        row, column = divmod(number, full.columns)
        part = picture[margin : margin + window[1], margin : margin + window[0]]
        top, left = row * step[1], column * step[0]
        place = whole[top : top + part.shape[0], left : left + part.shape[1]]
        np.minimum(place, part, out=place)
    return whole


def test_tiles_put_together_at_600_dpi_measure_true() -> None:
    whole = put_together()
    found = []
    for x, y in CROSSES:
        column, row = x * PER_MM, (DRAWING.box.top - y) * PER_MM
        reach = int(8 * PER_MM)
        a, b = max(0, int(row) - reach), max(0, int(column) - reach)
        patch = whole[a : int(row) + reach, b : int(column) + reach] < 128
        rows, columns = np.argwhere(patch.any(axis=1)), np.argwhere(patch.any(axis=0))
        found.append(
            (
                (b + (columns.min() + columns.max() + 1) / 2) / PER_MM,
                DRAWING.box.top - (a + (rows.min() + rows.max() + 1) / 2) / PER_MM,
            )
        )
    assert np.array(found) == pytest.approx(np.array(CROSSES), abs=0.1)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_paper_sizes_are_true_and_every_sheet_has_its_test_square(paper: str) -> None:
    made = sheets(DRAWING, paper)
    reader = pypdf.PdfReader(io.BytesIO(pdf_bytes(made.pages)))
    for page, drawing in zip(reader.pages, made.pages, strict=True):
        sides = sorted(float(v) * 25.4 / 72 for v in (page.mediabox.width, page.mediabox.height))
        assert sides == pytest.approx(sorted(PAPERS[paper]), abs=0.01)
        assert "test square: 100 mm" in page.extract_text()
        assert any(layer.name == "test square" for layer in drawing.layers)


def test_the_test_square_measures_100_mm_at_any_scale() -> None:
    for scale in (1.0, 0.25):
        page = sheets(DRAWING, "A4", scale=scale).pages[0]
        square = Drawing(page.box, tuple(x for x in page.layers if x.name == "test square"))
        square = Drawing(page.box, (Layer("square", tuple(m for m in square.layers[0].marks[:1])),))
        dark = np.argwhere(pictures((square,), 300)[0] < 200)
        extent = (dark.max(axis=0) - dark.min(axis=0)) / (300 / 25.4)
        assert extent == pytest.approx((100.0, 100.0), abs=0.3)


def test_quarter_scale_takes_one_sheet() -> None:
    assert len(sheets(DRAWING, "A4", scale=0.25).pages) == 1


def test_sheets_on_which_nothing_is_drawn_are_left_out() -> None:
    slant = Curve((Line(Point(0, 0), Point(2000, 2000)),))
    made = sheets(Drawing(Box(0, 0, 2000, 2000), (Layer("slant", (slant,)),)))
    assert len(made.pages) < made.columns * made.rows / 2


def test_too_many_sheets_and_unknown_paper_are_refused() -> None:
    with pytest.raises(DraftingError, match="larger paper"):
        sheets(Drawing(Box(0, 0, 20_000, 20_000), DRAWING.layers), "A4")
    with pytest.raises(DraftingError, match="choose from"):
        sheets(DRAWING, "B7")


def test_one_large_page_carries_the_square_below_the_drawing() -> None:
    page = with_test_square(DRAWING)
    assert page.box.bottom < DRAWING.box.bottom - 100
