"""PDF as general programs write it: forms, clips, turned and cropped pages, user units.

Written by reportlab and changed by pypdf; what is wanted follows from the drawing.
"""

import io
import math

import pypdf
import pytest
from pypdf import PageObject, PdfReader, PdfWriter, Transformation
from pypdf.generic import FloatObject, NameObject, RectangleObject
from reportlab.lib.units import cm, mm
from reportlab.pdfgen.canvas import Canvas

from drafting.curves import flattened, length
from drafting.exchange.linework import Stroke
from drafting.exchange.outlines import outlines
from drafting.exchange.pdf_reading import pdf_linework


def drawn(compress: bool = True) -> bytes:
    """A page of 200 x 100 mm: a shape of 80 x 40 mm with one curved side, at (20, 30)."""
    target = io.BytesIO()
    page = Canvas(target, pagesize=(200 * mm, 100 * mm), pageCompression=int(compress))
    path = page.beginPath()
    path.moveTo(20 * mm, 30 * mm)
    path.lineTo(100 * mm, 30 * mm)
    path.curveTo(110 * mm, 40 * mm, 110 * mm, 60 * mm, 100 * mm, 70 * mm)
    path.lineTo(20 * mm, 70 * mm)
    path.close()
    page.drawPath(path)
    page.showPage()
    page.save()
    return target.getvalue()


def written(*pages: PageObject) -> bytes:
    writer, target = PdfWriter(), io.BytesIO()
    for page in pages:
        writer.add_page(page)
    writer.write(target)
    return target.getvalue()


def area(content: bytes) -> float:
    (outline,) = outlines(pdf_linework(content).strokes).outlines
    return outline.area


AREA = area(drawn())


def corners(stroke: Stroke) -> set[tuple[float, float]]:
    return {(round(s.start.x, 2), round(s.start.y, 2)) for s in stroke.segments}


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_turned_and_cropped_pages_are_upright_and_true(turn: int) -> None:
    page = PdfReader(io.BytesIO(drawn())).pages[0]
    page.cropbox = RectangleObject((10 * mm, 20 * mm, 150 * mm, 90 * mm))
    page.rotate(turn)
    (stroke,) = pdf_linework(written(page)).strokes
    wanted = {0: (10, 10), 90: (10, 130), 180: (130, 60), 270: (60, 10)}[turn]
    assert any(math.dist(corner, wanted) < 0.02 for corner in corners(stroke))
    assert area(written(page)) == pytest.approx(AREA, rel=1e-4)


@pytest.mark.parametrize("scale", [0.5, 1.0, 2.5])
def test_pages_merged_under_transforms(scale: float) -> None:
    source = PdfReader(io.BytesIO(drawn())).pages[0]
    page = PageObject.create_blank_page(width=900, height=900)
    change = Transformation().rotate(33).scale(scale, -scale).translate(400, 400)
    page.merge_transformed_page(source, change)
    assert area(written(page)) == pytest.approx(AREA * scale**2, rel=3e-4)


def test_user_units_of_the_page() -> None:
    page = PdfReader(io.BytesIO(drawn())).pages[0]
    page[NameObject("/UserUnit")] = FloatObject(2.0)
    assert area(written(page)) == pytest.approx(4 * AREA, rel=1e-4)


def test_forms_in_forms_with_their_own_clip_and_matrix() -> None:
    target = io.BytesIO()
    page = Canvas(target, pagesize=(300 * mm, 300 * mm))
    page.beginForm("inner", 0, 0, 100 * mm, 100 * mm)
    page.rect(10 * mm, 10 * mm, 60 * mm, 20 * mm)
    page.endForm()
    page.beginForm("outer", 0, 0, 300 * mm, 300 * mm)
    page.saveState()
    page.translate(50 * mm, 0)
    page.rotate(90)
    page.doForm("inner")
    page.restoreState()
    page.endForm()
    page.scale(-2, 2)
    page.translate(-100 * mm, 5 * mm)
    page.doForm("outer")
    page.showPage()
    page.save()
    (stroke,) = pdf_linework(target.getvalue()).strokes
    xs = [p.x for s in stroke.segments for p in flattened(s, 0.1)]
    ys = [p.y for s in stroke.segments for p in flattened(s, 0.1)]
    assert max(xs) - min(xs) == pytest.approx(40.0, abs=0.01)
    assert max(ys) - min(ys) == pytest.approx(120.0, abs=0.01)
    # (10, 10) turned is (40, 10); moved by (-100, 5) and doubled, mirrored: (120, 30).
    assert min(math.dist((s.start.x, s.start.y), (120, 30)) for s in stroke.segments) < 0.02


def test_clips_nested_and_round() -> None:
    target = io.BytesIO()
    page = Canvas(target, pagesize=(300 * mm, 300 * mm))
    round_path = page.beginPath()
    round_path.circle(100 * mm, 100 * mm, 5 * cm)
    page.clipPath(round_path, stroke=0, fill=0)
    half = page.beginPath()
    half.rect(100 * mm, 0, 200 * mm, 300 * mm)
    page.clipPath(half, stroke=0, fill=0)
    page.line(0, 100 * mm, 290 * mm, 100 * mm)
    page.line(0, 130 * mm, 290 * mm, 130 * mm)
    page.line(0, 200 * mm, 290 * mm, 200 * mm)
    page.showPage()
    page.save()
    sizes = [sum(map(length, s.segments)) for s in pdf_linework(target.getvalue()).strokes]
    assert sizes == pytest.approx([50.0, 40.0], abs=0.03)


def test_packed_and_locked_for_changes_only() -> None:
    writer, target = PdfWriter(clone_from=io.BytesIO(drawn())), io.BytesIO()
    writer.encrypt("", "owner", permissions_flag=pypdf.constants.UserAccessPermissions.PRINT)
    writer.write(target)
    assert area(target.getvalue()) == pytest.approx(AREA, rel=1e-4)
    assert area(drawn(compress=False)) == pytest.approx(AREA, rel=1e-6)
