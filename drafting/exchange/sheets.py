"""A drawing larger than the paper, printed at true scale on sheets that are put together.

Every sheet shows a window of the drawing. Neighbouring windows overlap; round crosses in the
middle of the overlap are the same points on both sheets. Each sheet says which it is, shows a
map of all sheets and a square of 100 mm to measure before anything is cut.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import shapely

from drafting.chains import flattened_chain
from drafting.drawing import (
    Box,
    Curve,
    Drawing,
    Layer,
    Mark,
    Pen,
    Polyline,
    Words,
    box_of,
    moved_mark,
    rectangle,
    scaled,
)
from drafting.errors import DraftingError
from drafting.exchange.drawing_pdf import fitting_text
from drafting.plane import Motion, Point, coordinates

__all__ = ["PAPERS", "TEST_SQUARE", "Sheets", "sheets", "with_test_square"]

PAPERS = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "A0": (841.0, 1189.0),
    "Letter": (215.9, 279.4),
}
"""Upright sizes in mm: ISO 216 for A0 to A4, ANSI/ASME Y14.1 for Letter (8 1/2 x 11 in)."""

TEST_SQUARE = 100.0
MARGIN = 12.0
MOST_SHEETS = 1000
FRAME = Pen(0.15, "#7a8a92", (2.0, 2.0))
REGISTER = Pen(0.2, "#b3461e")
SQUARE = Pen(0.2, "#1f6f8b")
QUIET = "#5a6a72"


@dataclass(frozen=True, slots=True)
class Sheets:
    """The pages, row by row from the top left, and the grid they are put together in.

    `step` is how far a window lies from the next, mm on paper; `overlap` what both show.
    """

    pages: tuple[Drawing, ...]
    columns: int
    rows: int
    step: tuple[float, float]
    overlap: float


@dataclass(frozen=True, slots=True)
class _Grid:
    columns: int
    rows: int
    paper: tuple[float, float]
    window: tuple[float, float]
    step: tuple[float, float]


def sheets(
    drawing: Drawing, paper: str = "A4", overlap: float = 10.0, scale: float = 1.0
) -> Sheets:
    """The drawing on sheets of paper, upright or across, whichever takes fewer.

    Parameters
    ----------
    overlap
        What neighbouring sheets both show, 5 to 40 mm.
    scale
        1 for true scale; 0.5 or 0.25 for teaching. The test square stays 100 mm.

    Sheets on which nothing would be drawn are left out. Raises `DraftingError` for a paper that
    is not known or a drawing that would take more than 1000 sheets.
    """
    if paper not in PAPERS:
        raise DraftingError(f"paper {paper!r} is not known; choose from {', '.join(PAPERS)}")
    if not 5.0 <= overlap <= 40.0:
        raise DraftingError(f"an overlap of {overlap} mm is not from 5 to 40 mm")
    whole = scaled(drawing, scale) if scale != 1.0 else drawing
    width, height = PAPERS[paper]
    grids = [_grid(whole.box, size, overlap) for size in ((width, height), (height, width))]
    grid = min(grids, key=lambda each: each.columns * each.rows)
    if grid.columns * grid.rows > MOST_SHEETS:
        raise DraftingError(
            f"{grid.columns} x {grid.rows} sheets of {paper} would be needed, {MOST_SHEETS} are "
            "the most; take a larger paper or a smaller scale"
        )
    places = [
        (column, row)
        for row in range(grid.rows)
        for column in range(grid.columns)
        if _shows(whole, _window(whole.box, grid, column, row))
    ]
    pages = tuple(_page(whole, grid, places, place, overlap, scale) for place in places)
    return Sheets(pages, grid.columns, grid.rows, grid.step, overlap)


def with_test_square(drawing: Drawing) -> Drawing:
    """The drawing on a page with a strip below it that holds a 100 mm test square."""
    box = drawing.box
    low = box.bottom - TEST_SQUARE - 10.0
    page = Box(box.left, low, max(box.right, box.left + TEST_SQUARE + 70.0), box.top)
    square = _test_square(Point(box.left + 10.0, low + 10.0))
    return replace(drawing, box=page, layers=(*drawing.layers, Layer("test square", square)))


def _grid(box: Box, paper: tuple[float, float], overlap: float) -> _Grid:
    window = (paper[0] - 2 * MARGIN, paper[1] - 2 * MARGIN)
    step = (window[0] - overlap, window[1] - overlap)
    columns, rows = (
        max(1, math.ceil((size - overlap) / part - 1e-9))
        for size, part in zip((box.width, box.height), step, strict=True)
    )
    return _Grid(columns, rows, paper, window, step)


def _window(box: Box, grid: _Grid, column: int, row: int) -> Box:
    """The part of the drawing a sheet shows; row 0 is the uppermost."""
    left, top = box.left + column * grid.step[0], box.top - row * grid.step[1]
    return Box(left, top - grid.window[1], left + grid.window[0], top)


def _shows(drawing: Drawing, window: Box) -> bool:
    pane = shapely.box(window.left, window.bottom, window.right, window.top)
    for layer in drawing.layers:
        for mark in layer.marks:
            box = box_of(mark)
            far = box.right < window.left or box.left > window.right
            if far or box.top < window.bottom or box.bottom > window.top:
                continue
            if isinstance(mark, Words):
                at = shapely.Point(mark.point.x, mark.point.y)
                if not shapely.intersects(pane, at):
                    continue
            elif not shapely.intersects(pane, shapely.LineString(_traced(mark))):
                continue
            return True
    return False


def _traced(mark: Curve | Polyline) -> list[tuple[float, float]]:
    if isinstance(mark, Polyline):
        points = [*mark.points, mark.points[0]] if mark.closed else list(mark.points)
    else:
        points = [*flattened_chain(mark.segments, 0.5)]
    return coordinates(points)


def _page(
    drawing: Drawing,
    grid: _Grid,
    places: list[tuple[int, int]],
    place: tuple[int, int],
    overlap: float,
    scale: float,
) -> Drawing:
    window = _window(drawing.box, grid, *place)
    shift = Motion(0.0, MARGIN - window.left, MARGIN - window.bottom)
    pane = Box(MARGIN, MARGIN, MARGIN + grid.window[0], MARGIN + grid.window[1])
    shown = tuple(
        Layer(layer.name, tuple(moved_mark(mark, shift) for mark in layer.marks), pane)
        for layer in drawing.layers
    )
    middle = Point((pane.left + pane.right) / 2, (pane.bottom + pane.top) / 2)
    half = Point(TEST_SQUARE / 2, TEST_SQUARE / 2)
    furniture = (
        Layer("frame", (rectangle(pane, FRAME),)),
        Layer("test square", _test_square(middle - half)),
        Layer("register", tuple(_register(grid, place, pane, overlap))),
        Layer("sheet", tuple(_notes(drawing, grid, places, place, scale))),
    )
    page = Box(0.0, 0.0, *grid.paper)
    return Drawing(page, (*furniture, *shown), drawing.title)


def _test_square(corner: Point) -> tuple[Mark, ...]:
    box = Box(corner.x, corner.y, corner.x + TEST_SQUARE, corner.y + TEST_SQUARE)
    words = Words(
        corner + Point(2.0, 2.5), "test square: 100 mm each way", 3.0, colour=SQUARE.colour
    )
    return (replace(rectangle(box, SQUARE), name="test square"), words)


def _register(grid: _Grid, place: tuple[int, int], pane: Box, overlap: float) -> list[Mark]:
    """Crosses in a circle in the middle of every overlap, and halfway along it."""
    column, row = place
    xs = [pane.left + overlap / 2] if column > 0 else []
    xs += [pane.right - overlap / 2] if column < grid.columns - 1 else []
    ys = [pane.top - overlap / 2] if row > 0 else []
    ys += [pane.bottom + overlap / 2] if row < grid.rows - 1 else []
    middle_x, middle_y = (pane.left + pane.right) / 2, (pane.bottom + pane.top) / 2
    corners = [Point(x, y) for x in xs for y in ys]
    sides = [Point(x, middle_y) for x in xs] + [Point(middle_x, y) for y in ys]
    marks: list[Mark] = []
    for centre in corners + sides:
        for arm in (Point(4.0, 0.0), Point(0.0, 4.0)):
            marks.append(Polyline((centre - arm, centre + arm), REGISTER, name="register"))
        turns = [k * math.pi / 12 for k in range(24)]
        ring = tuple(centre + 2.0 * Point(math.cos(t), math.sin(t)) for t in turns)
        marks.append(Polyline(ring, REGISTER, closed=True, name="register"))
    return marks


def _notes(
    drawing: Drawing,
    grid: _Grid,
    places: list[tuple[int, int]],
    place: tuple[int, int],
    scale: float,
) -> list[Mark]:
    column, row = place
    number = places.index(place) + 1
    size = "true scale" if scale == 1.0 else f"scale 1 : {1 / scale:g}"
    where = (
        f"sheet {number} of {len(places)}, column {column + 1} of {grid.columns}, "
        f"row {row + 1} of {grid.rows}, {size}"
    )
    top = grid.paper[1] - MARGIN + 3.5
    room = grid.paper[0] - 2 * MARGIN
    title = fitting_text(drawing.title, 3.2, room - 110.0, bold=True)
    marks: list[Mark] = [
        Words(Point(MARGIN, top), title, 3.2, bold=True),
        Words(Point(grid.paper[0] - MARGIN, top), where, 2.8, "end", colour=QUIET),
    ]
    advice = (
        "Print without fitting to the page; measure the square; "
        "lay the dashed frame over the next sheet until the crosses meet."
    )
    advice = fitting_text(advice, 2.4, room - 40.0)
    marks.append(Words(Point(MARGIN, MARGIN - 5.5), advice, 2.4, colour=QUIET))
    marks += _joins(grid, places, place)
    return marks + _map(grid, places, place)


def _joins(grid: _Grid, places: list[tuple[int, int]], place: tuple[int, int]) -> list[Mark]:
    """The number of the next sheet at each side that has one."""
    column, row = place
    middle_x, middle_y = grid.paper[0] / 2 - 30.0, grid.paper[1] / 2 - 30.0
    right, top = grid.paper[0] - MARGIN, grid.paper[1] - MARGIN
    sides = (
        ((column + 1, row), Point(right + 4.0, middle_y), -math.pi / 2),
        ((column - 1, row), Point(MARGIN - 4.0, middle_y), math.pi / 2),
        ((column, row + 1), Point(middle_x, MARGIN - 2.4), 0.0),
        ((column, row - 1), Point(middle_x, top + 0.6), 0.0),
    )
    return [
        Words(at, f"joins sheet {places.index(near) + 1}", 2.4, "middle", turn, REGISTER.colour)
        for near, at, turn in sides
        if near in places
    ]


def _map(grid: _Grid, places: list[tuple[int, int]], place: tuple[int, int]) -> list[Mark]:
    """All sheets, small, in the lower right margin; this one is filled, those left out bare."""
    room = MARGIN - 3.0
    cell = min(room / grid.rows, 34.0 / grid.columns, 3.0 * room / 4.0)
    left = grid.paper[0] - MARGIN - cell * grid.columns
    marks: list[Mark] = []
    for row in range(grid.rows):
        for column in range(grid.columns):
            x, y = left + column * cell, 1.5 + (grid.rows - 1 - row) * cell
            here = (column, row) == place
            fill = "#b3461e" if here else "#dfe6ea" if (column, row) in places else None
            marks.append(rectangle(Box(x, y, x + cell, y + cell), Pen(0.1), fill))
    return marks
