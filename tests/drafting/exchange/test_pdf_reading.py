"""PDF files written by reportlab and by hand; compared with closed forms."""

import io
import math
import zlib

import pytest
from reportlab.lib.units import inch, mm
from reportlab.pdfgen.canvas import Canvas

from drafting.curves import Cubic, length
from drafting.errors import DraftingError
from drafting.exchange.limits import MOST_POINTS
from drafting.exchange.linework import linework_box
from drafting.exchange.pdf_reading import pdf_linework, pdf_pages

PAGE = (400 * mm, 300 * mm)


def total(stroke) -> float:
    return sum(length(segment) for segment in stroke.segments)


def canvas() -> tuple[io.BytesIO, Canvas]:
    target = io.BytesIO()
    return target, Canvas(target, pagesize=PAGE)


def by_hand(stream: bytes, box: str = "0 0 720 720", more: str = "", extra: bytes = b"") -> bytes:
    """A PDF with one page, its stream as it is; `extra` are further objects from number 5."""
    parts = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        f"<< /Type /Page /Parent 2 0 R /MediaBox [{box}] /Contents 4 0 R {more} >>".encode(),
        b"<< /Length %d >>\nstream\n" % len(stream) + stream + b"\nendstream",
    ]
    out = b"%PDF-1.4\n"
    for number, part in enumerate(parts, 1):
        out += b"%d 0 obj\n" % number + part + b"\nendobj\n"
    return out + extra + b"trailer << /Root 1 0 R >>\n"


def test_transforms_and_curves_at_true_scale() -> None:
    target, page = canvas()
    page.translate(50 * mm, 20 * mm)
    page.rotate(30)
    page.scale(2, 2)
    page.rect(0, 0, 50 * mm, 25 * mm)
    page.setStrokeColorRGB(1, 0, 0)
    page.bezier(0, 0, 0, 50 * mm, 50 * mm, 50 * mm, 50 * mm, 0)
    page.circle(20 * mm, 20 * mm, inch)
    page.showPage()
    page.save()
    square, curve, circle = pdf_linework(target.getvalue()).strokes
    assert square.closed and total(square) == pytest.approx(300, abs=0.01)
    corner = square.segments[0].end
    along = corner if abs(corner.y - square.start.y) > 1 else square.segments[1].end
    assert math.hypot(along.x - square.start.x, along.y - square.start.y) in (
        pytest.approx(100, abs=0.01), pytest.approx(50, abs=0.01),
    )  # fmt: skip
    assert isinstance(curve.segments[0], Cubic) and curve.colour == "#ff0000"
    assert total(curve) == pytest.approx(200, abs=0.01)  # such an arch is twice its width long
    assert total(circle) == pytest.approx(2 * math.pi * 50.8, rel=5e-4)


def test_forms_inside_forms_bring_their_transforms() -> None:
    target, page = canvas()
    page.beginForm("inner")
    page.line(0, 0, 10 * mm, 0)
    page.endForm()
    page.beginForm("outer")
    page.saveState()
    page.translate(5 * mm, 0)
    page.rotate(90)
    page.doForm("inner")
    page.restoreState()
    page.endForm()
    page.scale(3, 3)
    page.doForm("outer")
    page.save()
    (stroke,) = pdf_linework(target.getvalue()).strokes
    ends = [(stroke.start.x, stroke.start.y), (stroke.end.x, stroke.end.y)]
    assert ends == [pytest.approx((15, 0), abs=0.01), pytest.approx((15, 30), abs=0.01)]


def test_clips_cut_curves_and_lines_where_they_cross() -> None:
    target, page = canvas()
    path = page.beginPath()
    path.rect(100 * mm, 50 * mm, 100 * mm, 100 * mm)
    page.clipPath(path, stroke=0)
    page.line(0, 100 * mm, 400 * mm, 100 * mm)
    page.line(0, 10 * mm, 400 * mm, 10 * mm)
    page.bezier(100 * mm, 50 * mm, 200 * mm, 50 * mm, 100 * mm, 250 * mm, 200 * mm, 250 * mm)
    page.save()
    line, curve = pdf_linework(target.getvalue()).strokes
    assert (line.start.x, line.end.x, total(line)) == pytest.approx((100, 200, 100), abs=0.01)
    assert isinstance(curve.segments[0], Cubic)
    # The curve rises evenly, so that height 150 is its middle, x = 150.
    assert (curve.end.x, curve.end.y) == pytest.approx((150, 150), abs=0.02)


def test_a_clip_inside_a_form_is_in_the_frame_of_the_form() -> None:
    target, page = canvas()
    page.beginForm("cut")
    path = page.beginPath()
    path.rect(10 * mm, 0, 20 * mm, 20 * mm)
    page.clipPath(path, stroke=0)
    page.saveState()
    page.translate(0, 5 * mm)
    page.line(0, 0, 100 * mm, 0)
    page.restoreState()
    page.endForm()
    page.translate(40 * mm, 0)
    page.scale(3, 3)
    page.doForm("cut")
    page.save()
    (line,) = pdf_linework(target.getvalue()).strokes
    assert (line.start.x, line.end.x, line.start.y) == pytest.approx((70, 130, 15), abs=0.01)


def test_turned_pages_crop_boxes_and_user_units() -> None:
    stream = b"1 w 100 200 m 172 200 l S"
    plain = pdf_pages(by_hand(stream))[0]
    assert total(plain.strokes[0]) == pytest.approx(25.4, abs=1e-3)
    turned = pdf_pages(by_hand(stream, "0 0 720 360", "/Rotate 90"))[0]
    assert (turned.width, turned.height) == pytest.approx((127, 254), abs=0.01)
    start, end = turned.strokes[0].start, turned.strokes[0].end
    assert (end.y - start.y, start.x) == pytest.approx((-25.4, 200 / 72 * 25.4), abs=0.01)
    cropped = pdf_pages(by_hand(stream, more="/CropBox [72 72 360 360]"))[0]
    assert cropped.strokes[0].start.x == pytest.approx(28 / 72 * 25.4, abs=1e-3)
    assert total(pdf_pages(by_hand(stream, more="/UserUnit 2.5"))[0].strokes[0]) == pytest.approx(
        63.5, abs=1e-3
    )


def test_user_unit_inside_a_packed_object_is_seen() -> None:
    packed = zlib.compress(b"99 0 << /UserUnit 10 >>")
    extra = b"9 0 obj << /Type /ObjStm /N 1 /First 4 /Filter /FlateDecode /Length %d >>\nstream\n"
    content = by_hand(
        b"0 0 m 72 0 l S", extra=extra % len(packed) + packed + b"\nendstream\nendobj\n"
    )
    assert total(pdf_linework(content).strokes[0]) == pytest.approx(254, abs=1e-2)


def test_pages_side_by_side_and_chosen() -> None:
    target, page = canvas()
    for reach in (10, 20, 30):
        page.line(0, 0, reach * mm, 0)
        page.drawString(10 * mm, 10 * mm, f"page of {reach}")
        page.showPage()
    page.save()
    linework = pdf_linework(target.getvalue())
    assert [dict(s.data)["page"] for s in linework.strokes] == ["1", "2", "3"]
    assert linework_box(linework).right == pytest.approx(2 * 420 + 30, abs=0.01)
    assert [each.text for each in linework.words] == ["page of 10", "page of 20", "page of 30"]
    assert total(pdf_linework(target.getvalue(), (2,)).strokes[0]) == pytest.approx(20, abs=1e-3)
    with pytest.raises(DraftingError, match="no page 4"):
        pdf_linework(target.getvalue(), (4,))


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "does not begin"),
        (b"%PDF-1.4\nnothing", "cut short"),
        (by_hand(b"0 0 m 1 0 l S")[:200], "cut short"),
        (by_hand(b"BT ET"), "no lines"),
        (by_hand(b"0 0 m 99999999 0 l S"), "another unit"),
        (by_hand(b"0 0 m " + b"1 1 l " * (MOST_POINTS + 1) + b"S"), "more than"),
        (by_hand(b"0 0 m 5 0 l S", more="/UserUnit 999999"), "UserUnit"),
    ],
)  # fmt: skip
def test_broken_files_end_in_one_line(content: bytes, told: str) -> None:
    with pytest.raises(DraftingError, match=told) as caught:
        pdf_linework(content)
    assert "\n" not in str(caught.value)
