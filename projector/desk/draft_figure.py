"""The picture of a draft: its plan and its pieces, with a number where a finding is about."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy.typing as npt
import pygame

from drafting.allowance import cutting_line, notch_lines
from drafting.draft import Draft
from drafting.drawing import INK, Box, Words, around, grown
from drafting.edge import edge_length, end_of, flattened_edge, point_along, start_of
from drafting.finding import Finding
from drafting.marks import Grain
from drafting.piece import Piece, outline
from drafting.plan_drawing import BACK, FRONT, GUIDE, plan_drawing
from drafting.plane import Point, coordinates, distance
from projector.desk.drawing_board import Board, Scale, fitting
from projector.desk.drawing_figure import draw_marks
from projector.desk.lettering import written_width
from projector.desk.palette import LETTERS_PX, Palette

__all__ = ["DraftContent", "finding_place", "paint_draft", "piece_reach"]

FLATNESS = 0.3
_PLAN_LAYERS = ("levels", "blocks", "construction", "contour")


@dataclass(frozen=True, slots=True)
class DraftContent:
    """What is drawn. `numbered` are findings with their numbers; `stale` for an older draft.

    While a slider is `held` notches are left out, which take longest to find.
    """

    made: Draft
    shown: str
    numbered: tuple[tuple[int, Finding], ...]
    stale: bool = False
    held: bool = False


def paint_draft(
    content: DraftContent, size: tuple[int, int], palette: Palette, scale: float
) -> pygame.Surface:
    """The plan beside or above the pieces, whichever gives more room."""
    board = Board(size, palette.panel)
    width, height = size
    margin = 14 * scale
    if content.shown != "both":
        panes = {content.shown: (0.0, 0.0, float(width), float(height))}
    elif width > 1.15 * height:
        part = 0.42 * width
        panes = {
            "plan": (0.0, 0.0, part, float(height)),
            "pieces": (part, 0.0, width - part, float(height)),
        }
    else:
        part = 0.46 * height
        panes = {
            "plan": (0.0, 0.0, float(width), part),
            "pieces": (0.0, part, float(width), height - part),
        }
    for name, (left, top, wide, high) in panes.items():
        title = round(0.95 * LETTERS_PX * scale)
        board.text((left + margin, top + title), name.capitalize(), title, palette.soft, "left")
        inner = (left + margin, top + 1.9 * title, wide - 2 * margin, high - 2.6 * title)
        if name == "plan":
            _plan(board, content, inner, palette, scale)
        else:
            _pieces(board, content, inner, palette, scale)
    return board.picture()


GAP = 30.0
"""Between two pieces, mm."""

Inner = tuple[float, float, float, float]


def _plan(
    board: Board, content: DraftContent, inner: Inner, palette: Palette, scale: float
) -> None:
    made = content.made
    drawing = plan_drawing(made)
    plan = made.plan
    reach = max(plan.highest_wrist.x, plan.side_hem.x)
    top = max(made.block.back.neck_point.y, plan.neck_point.y)
    low = min(plan.side_hem.y, plan.underarm_wrist.y, plan.lowest_wrist.y)
    fit = fitting(grown(Box(0.0, low, reach, top), 12.0), *inner)
    colours = {
        INK: palette.ink, GUIDE: palette.soft, BACK: palette.back, FRONT: palette.front,
    }  # fmt: skip
    letters = round(0.72 * LETTERS_PX * scale)
    layers = {layer.name: layer for layer in drawing.layers}
    large = fit.px > 0.5 * scale
    for name in (*_PLAN_LAYERS, "points") if large else _PLAN_LAYERS:
        if name in layers:
            shown = [mark for mark in layers[name].marks if large or not isinstance(mark, Words)]
            draw_marks(board, shown, fit, colours, letters, 1.7 * scale)


@lru_cache(maxsize=64)
def _lines(piece: Piece) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    return cutting_line(piece, FLATNESS), outline(piece, FLATNESS)


def _pieces(
    board: Board, content: DraftContent, inner: Inner, palette: Palette, scale: float
) -> None:
    pieces = content.made.pieces
    boxes = [around(_lines(piece)[0]) for piece in pieces]
    fit, places = _packed(boxes, GAP, inner)
    for piece, box, (x, y) in zip(pieces, boxes, places, strict=True):
        own = Scale(fit.px, fit.left + fit.px * (x - box.left), fit.top - fit.px * (y - box.bottom))
        _piece(board, piece, own, palette, scale, content.held)
        for number, finding in content.numbered:
            place = finding_place(finding, piece)
            if place is not None:
                _number(board, own.pixels([(place.x, place.y)])[0], number, finding, palette, scale)


def _packed(boxes: list[Box], gap: float, inner: Inner) -> tuple[Scale, list[tuple[float, float]]]:
    """The scale and the lower left corner of each box, mm: rows of whichever count fits best."""
    best: tuple[Scale, list[tuple[float, float]]] | None = None
    for in_a_row in range(1, len(boxes) + 1):
        x = y = wide = 0.0
        places = []
        for begin in range(0, len(boxes), in_a_row):
            row = boxes[begin : begin + in_a_row]
            y -= max(box.height for box in row) + (gap if begin else 0.0)
            x = 0.0
            for box in row:
                places.append((x, y))
                x += box.width + gap
            wide = max(wide, x - gap)
        fit = fitting(Box(0.0, y, wide, 0.0), *inner)
        if best is None or fit.px > best[0].px:
            best = (fit, places)
    assert best is not None
    return best


def _piece(
    board: Board, piece: Piece, fit: Scale, palette: Palette, scale: float, held: bool
) -> None:
    cut, seam = _lines(piece)
    colour = palette.back if piece.name.startswith("back") else palette.front
    red, green, blue = (
        round(0.9 * under + 0.1 * over) for under, over in zip(palette.panel, colour, strict=True)
    )
    # On the plain panel the colour can be mixed beforehand, and plain filling is quicker.
    board.area(fit.pixels(coordinates(cut)), (red, green, blue))
    board.line(fit.pixels(coordinates(cut)), colour, 1.6 * scale, closed=True)
    board.line(fit.pixels(coordinates(seam)), palette.soft, 1.0, closed=True)
    for edge in piece.edges:
        if edge.role == "fold":
            rows = fit.pixels(coordinates(flattened_edge(edge, FLATNESS)))
            board.line(rows, palette.fine, 2.4 * scale)
    for _, on_seam, on_cut in () if held else notch_lines(piece):
        board.line(fit.pixels(coordinates((on_seam, on_cut))), palette.ink, 1.4 * scale)
    for mark in piece.marks:
        if isinstance(mark, Grain):
            board.line(fit.pixels(coordinates((mark.start, mark.end))), palette.soft, 1.0 * scale)
    box = around(seam)
    grain = next((mark for mark in piece.marks if isinstance(mark, Grain)), None)
    place = fit.pixels([(0.28 * box.right, 0.5 * (box.bottom + box.top))])[0]
    if grain is not None:  # above the upper end of the grain line
        end = max(grain.start, grain.end, key=lambda point: point.y)
        place = fit.pixels([(end.x, end.y)])[0] - (0.0, 2.6 * LETTERS_PX * scale)
    letters = round(0.9 * LETTERS_PX * scale)
    cut_times = f"cut {piece.count}" + (" on the fold" if piece.fold_edge else "")
    room = fit.px * (box.width + GAP) / max(1, written_width(piece.name, letters, True))
    if room < 1.0:  # a small piece: its name alone, above it
        above = fit.pixels([(box.left + box.width / 2, box.top)])[0]
        letters = max(round(room * letters), round(9 * scale))
        board.text((above[0], above[1] - letters), piece.name, letters, palette.ink, bold=True)
        return
    half = written_width(cut_times, round(0.8 * letters)) / 2
    place[0] = max(place[0], float(fit.pixels(coordinates(seam))[:, 0].min()) + half + 8 * scale)
    board.text(place, piece.name, letters, palette.ink, bold=True)
    below = (place[0], place[1] + 1.35 * letters)
    board.text(below, cut_times, round(0.8 * letters), palette.soft)


def _number(
    board: Board,
    place: npt.ArrayLike,
    number: int,
    finding: Finding,
    palette: Palette,
    scale: float,
) -> None:
    colour = getattr(palette, finding.severity)
    board.dot(place, 10.5 * scale, colour)
    board.text(place, str(number), round(13 * scale), palette.panel, bold=True)


def piece_reach(piece: Piece) -> float:
    """The greatest distance of the cutting line from the centre of a half piece, mm."""
    return max(point.x for point in _lines(piece)[0])


def finding_place(finding: Finding, piece: Piece) -> Point | None:
    """Where on a piece a finding is about; None when it is not about this piece.

    A corner of two edges that are named; the middle of one that is; for the width of the cloth
    the place farthest from the fold.
    """
    subject = finding.subject
    whose = [name for name in ("back", "front") if subject.startswith(name)]
    if whose and not piece.name.startswith(whose[0]):
        return None
    if "width of the cloth" in subject:
        return max(_lines(piece)[1], key=lambda point: point.x)
    named = [edge for edge in piece.edges if edge.name in subject.replace(":", " ").split()]
    for before in named:
        for after in named:
            if before is not after and distance(end_of(before), start_of(after)) < 1e-6:
                return end_of(before)
    if not named:
        return None
    return point_along(named[0], edge_length(named[0]) / 2)
