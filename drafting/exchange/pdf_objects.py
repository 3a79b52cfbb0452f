"""Objects on the page of a PDF, by pdfium's C functions: paths, words, pictures and forms.

Every object has its own transform; a form's objects lie in the form's frame. Clips are kept in
the frame of the page or form they were set in.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

import pypdfium2
import pypdfium2.raw as pdfium
import shapely

from drafting.exchange.clipping import clip_area, clipped
from drafting.exchange.limits import check_points
from drafting.exchange.linework import Chain, Lettering, Stroke
from drafting.plane import Point

__all__ = ["Found", "add_objects"]

DEEPEST = 12
_STAY = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

Matrix = tuple[float, float, float, float, float, float]


@dataclass(slots=True)
class Found:
    """What was found so far; `place` carries page units into millimetres."""

    place: Callable[[float, float], Point]
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Lettering] = field(default_factory=list)
    points: int = 0
    pictures: int = 0


def add_objects(page: pypdfium2.PdfPage, found: Found) -> None:
    """Add every stroke and word of a page. Raises `DraftingError` for too many points."""
    text = page.get_textpage()
    try:
        for item in _objects(page.raw):
            _add(item, _STAY, (), text, found, 0)
    finally:
        text.close()


def _objects(holder: object, form: bool = False) -> Iterator[object]:
    count, get = (
        (pdfium.FPDFFormObj_CountObjects, pdfium.FPDFFormObj_GetObject)
        if form
        else (pdfium.FPDFPage_CountObjects, pdfium.FPDFPage_GetObject)
    )
    for number in range(count(holder)):
        yield get(holder, number)


def _add(
    item: object,
    above: Matrix,
    clips: tuple[shapely.Geometry, ...],
    text: pypdfium2.PdfTextPage,
    found: Found,
    depth: int,
) -> None:
    kind = pdfium.FPDFPageObj_GetType(item)
    if kind == pdfium.FPDF_PAGEOBJ_IMAGE:
        found.pictures += 1
    elif kind == pdfium.FPDF_PAGEOBJ_TEXT:
        _add_words(item, above, text, found)
    elif kind == pdfium.FPDF_PAGEOBJ_FORM and depth < DEEPEST:
        inner = _clips(item, above, clips, found)
        matrix = _product(above, _matrix(item))
        for part in _objects(item, form=True):
            _add(part, matrix, inner, text, found, depth + 1)
    elif kind == pdfium.FPDF_PAGEOBJ_PATH:
        _add_path(item, above, _clips(item, above, clips, found), found)


def _matrix(item: object) -> Matrix:
    held = pdfium.FS_MATRIX()
    if not pdfium.FPDFPageObj_GetMatrix(item, held):
        return _STAY
    return (held.a, held.b, held.c, held.d, held.e, held.f)


def _product(outer: Matrix, inner: Matrix) -> Matrix:
    """The transform that does `inner` first."""
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return (
        a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s,
        e * p + f * r + t, e * q + f * s + u,
    )  # fmt: skip


def _at(matrix: Matrix, found: Found, x: float, y: float) -> Point:
    a, b, c, d, e, f = matrix
    return found.place(a * x + c * y + e, b * x + d * y + f)


def _clips(
    item: object, above: Matrix, clips: tuple[shapely.Geometry, ...], found: Found
) -> tuple[shapely.Geometry, ...]:
    """The areas this object is cut to; clips are kept in the frame of the page or form."""
    path = pdfium.FPDFPageObj_GetClipPath(item)
    areas = list(clips)
    for number in range(max(0, pdfium.FPDFClipPath_CountPaths(path))):
        parts = [
            pdfium.FPDFClipPath_GetPathSegment(path, number, k)
            for k in range(max(0, pdfium.FPDFClipPath_CountPathSegments(path, number)))
        ]
        area = clip_area(chain.segments for chain, _ in _chains(parts, above, found))
        if area is not None:
            areas.append(area)
    return tuple(areas)


def _add_path(
    item: object, above: Matrix, clips: tuple[shapely.Geometry, ...], found: Found
) -> None:
    fill, stroked = ctypes.c_int(), pdfium.FPDF_BOOL()
    pdfium.FPDFPath_GetDrawMode(item, fill, stroked)
    if not stroked.value and not fill.value:
        return
    count = max(0, pdfium.FPDFPath_CountSegments(item))
    parts = [pdfium.FPDFPath_GetPathSegment(item, k) for k in range(count)]
    colour = _colour(item, bool(stroked.value))
    layer = _layer(item)
    for chain, closed in _chains(parts, _product(above, _matrix(item)), found):
        if chain.segments:
            found.strokes += clipped(Stroke(tuple(chain.segments), closed, layer, colour), clips)


def _chains(parts: Sequence[object], matrix: Matrix, found: Found) -> Iterator[tuple[Chain, bool]]:
    found.points += len(parts)
    check_points(found.points)
    chain, closed = Chain(), False
    start = here = Point(0.0, 0.0)
    controls: list[Point] = []
    x, y = ctypes.c_float(), ctypes.c_float()
    for part in parts:
        pdfium.FPDFPathSegment_GetPoint(part, x, y)
        point = _at(matrix, found, x.value, y.value)
        kind = pdfium.FPDFPathSegment_GetType(part)
        if kind == pdfium.FPDF_SEGMENT_MOVETO:
            yield chain, closed
            chain, closed, start, here = Chain(), False, point, point
        elif kind == pdfium.FPDF_SEGMENT_LINETO:
            chain.line(here, point)
            here = point
        else:
            controls.append(point)
            if len(controls) < 3:
                continue
            chain.cubic(here, *controls)
            here, controls = point, []
        if pdfium.FPDFPathSegment_GetClose(part):
            chain.line(here, start)
            closed, here = True, start
    yield chain, closed


def _colour(item: object, stroked: bool) -> str:
    red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
    get = pdfium.FPDFPageObj_GetStrokeColor if stroked else pdfium.FPDFPageObj_GetFillColor
    if not get(item, red, green, blue, alpha):
        return "#000000"
    return f"#{red.value:02x}{green.value:02x}{blue.value:02x}"


def _layer(item: object) -> str:
    """The optional-content group an object is marked with, by its name."""
    for number in range(max(0, pdfium.FPDFPageObj_CountMarks(item))):
        mark = pdfium.FPDFPageObj_GetMark(item, number)
        size = ctypes.c_ulong()
        buffer = ctypes.create_string_buffer(512)
        wide = ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort))
        if pdfium.FPDFPageObjMark_GetParamStringValue(mark, b"Name", wide, 512, size):
            return buffer.raw[: max(0, size.value - 2)].decode("utf-16-le", errors="replace")
    return ""


def _add_words(item: object, above: Matrix, text: pypdfium2.PdfTextPage, found: Found) -> None:
    buffer = ctypes.create_string_buffer(2048)
    wide = ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort))
    size = min(2048, pdfium.FPDFTextObj_GetText(item, text.raw, wide, 1024) * 2)
    words = buffer.raw[: max(0, size - 2)].decode("utf-16-le", errors="replace").strip("\x00 ")
    if words:
        point = _at(_product(above, _matrix(item)), found, 0.0, 0.0)
        found.words.append(Lettering(point, words))
