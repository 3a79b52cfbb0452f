"""Drawings written as SVG and PDF, read back by svgelements, pypdf and pdfium."""

import io
import math

import numpy as np
import pypdf
import pypdfium2
import pytest
import svgelements

from drafting.curves import Cubic
from drafting.drawing import (
    Box,
    Curve,
    Drawing,
    Layer,
    Pen,
    Polyline,
    Words,
    moved_mark,
    rectangle,
    scaled,
)
from drafting.errors import DraftingError
from drafting.exchange.drawing_pdf import fitting_text, pdf_bytes, text_width
from drafting.exchange.drawing_svg import svg_bytes
from drafting.exchange.piece_drawing import nested_drawing, piece_drawing, pieces_drawing
from drafting.plane import Motion, Point
from tests.drafting.exchange.test_svg import PIECE

QUARTER = Cubic(Point(100, 0), Point(100, 55.228475), Point(55.228475, 100), Point(0, 100))
DRAWING = Drawing(
    Box(-20, -10, 143.217, 120.5),
    (
        Layer("outline", (Curve((QUARTER,), name="quarter"),)),
        Layer("square", (rectangle(Box(0, 0, 100, 100), Pen(0.2)),)),
        Layer("words", (Words(Point(5, 5), "Ärmel <3> & ősz", 5.0),)),
    ),
    "trial",
)
QUARTER_LENGTH = 157.10166980738558  # by SciPy quad, svgpathtools, fontTools and bezier alike


def test_svg_curve_has_its_exact_length_and_the_page_its_size() -> None:
    page = svgelements.SVG.parse(io.BytesIO(svg_bytes(DRAWING)), ppi=25.4)
    curve = next(e for e in page.elements() if e.id == "quarter")
    assert svgelements.Path(curve).length(error=1e-8) == pytest.approx(QUARTER_LENGTH, abs=1e-3)
    assert (page.width, page.height) == pytest.approx((163.217, 130.5), abs=1e-3)


def test_svg_carries_text_that_would_break_xml() -> None:
    strange = Drawing(Box(0, 0, 10, 10), (Layer('a"<b', (Words(Point(1, 1), "\x00]]>&"),)),))
    page = svgelements.SVG.parse(io.BytesIO(svg_bytes(strange)), ppi=25.4)
    assert [e.text for e in page.elements() if isinstance(e, svgelements.Text)] == ["?]]>&"]


def test_pdf_page_is_true_to_a_hundredth_of_a_millimetre() -> None:
    box = pypdf.PdfReader(io.BytesIO(pdf_bytes(DRAWING))).pages[0].mediabox
    in_mm = float(box.width) * 25.4 / 72, float(box.height) * 25.4 / 72
    assert in_mm == pytest.approx((163.217, 130.5), abs=0.01)


def test_pdf_lines_are_where_they_should_be_when_rendered() -> None:
    alone = Drawing(DRAWING.box, (DRAWING.layers[1],))
    image = np.asarray(pypdfium2.PdfDocument(pdf_bytes(alone))[0].render(scale=600 / 72).to_pil())
    dark = np.argwhere(image.min(axis=2) < 128)
    per_mm = 600 / 25.4
    (top, left), (bottom, right) = dark.min(axis=0), dark.max(axis=0) + 1
    assert (right - left) / per_mm == pytest.approx(100.2, abs=0.1)
    assert (bottom - top) / per_mm == pytest.approx(100.2, abs=0.1)
    assert left / per_mm == pytest.approx(19.9, abs=0.1)
    assert top / per_mm == pytest.approx(20.4, abs=0.1)


def test_pdf_text_can_be_found_and_its_font_is_embedded() -> None:
    page = pypdf.PdfReader(io.BytesIO(pdf_bytes(DRAWING))).pages[0]
    assert "Ärmel <3> & ősz" in page.extract_text()
    fonts = page["/Resources"]["/Font"]  # type: ignore[index]
    used = [f.get_object() for f in fonts.values() if "DejaVu" in str(f.get_object()["/BaseFont"])]
    assert used and all("/FontFile2" in f["/FontDescriptor"].get_object() for f in used)


def test_half_scale_halves_every_length() -> None:
    half = svgelements.SVG.parse(io.BytesIO(svg_bytes(scaled(DRAWING, 0.5))), ppi=25.4)
    curve = next(e for e in half.elements() if e.id == "quarter")
    assert svgelements.Path(curve).length(error=1e-8) == pytest.approx(QUARTER_LENGTH / 2, abs=1e-3)


def test_a_page_longer_than_pdf_allows_is_refused_with_the_mend() -> None:
    long = Drawing(Box(0, 0, 6000, 100), DRAWING.layers)
    with pytest.raises(DraftingError, match="tiles or at half scale"):
        pdf_bytes(long)


def test_words_stay_readable_when_mirrored_and_turned_over() -> None:
    for motion in (Motion(math.pi), Motion(0.0, 0, 0, True), Motion(3.0, 1, 2, True)):
        words = moved_mark(Words(Point(1, 0), "front"), motion)
        assert isinstance(words, Words) and math.cos(words.angle) > 0


def test_clipped_layers_stay_inside_their_window() -> None:
    line = Polyline((Point(0, 50), Point(100, 50)), Pen(1.0))
    clipped = Drawing(Box(0, 0, 100, 100), (Layer("a", (line,), Box(20, 0, 60, 100)),))
    image = np.asarray(pypdfium2.PdfDocument(pdf_bytes(clipped))[0].render(scale=4).to_pil())
    columns = np.argwhere((image.min(axis=2) < 128).any(axis=0)).ravel() / (4 * 72 / 25.4)
    assert (columns.min(), columns.max()) == pytest.approx((20, 60), abs=0.2)


def test_long_text_is_shortened_to_its_room() -> None:
    short = fitting_text("the left front of the tunic", 5.0, 40.0)
    assert short.endswith("…") and text_width(short, 5.0) <= 40.0


def test_pieces_side_by_side_and_nested_draw_every_edge() -> None:
    beside = pieces_drawing((PIECE, PIECE))
    names = [m.name for m in beside.layers[1].marks if not isinstance(m, Words)]
    assert len(names) == 2 * len(PIECE.edges)
    assert beside.box.width > 2 * (piece_drawing(PIECE).box.width - 20)
    nest = nested_drawing((PIECE, PIECE))
    assert [layer.name for layer in nest.layers][-1] == "words"
