"""The picture of the whole cloth: pieces, fold, selvages, sections, and the light's window."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pygame
import shapely

from drafting.allowance import cutting_line
from drafting.drawing import Box
from drafting.marks import Grain
from drafting.piece import Piece, outline
from drafting.plane import Motion, Point
from drafting.unfolding import unfolded
from projector.cloth.clearance import overlaps
from projector.cloth.cloth import lay_width, usable_span
from projector.cloth.layout import Layout, Placement, piece_key, piece_of
from projector.cloth.shapes import placed_points
from projector.cloth.yardage import used_length
from projector.desk.drawing_board import Board, Scale, fitting
from projector.desk.palette import LETTERS_PX, Colour, Palette

__all__ = ["ClothContent", "cloth_scale", "light_window", "paint_cloth", "shown_length"]

FLATNESS = 0.5
TINTS_LIGHT: tuple[Colour, ...] = (
    (196, 222, 226), (240, 214, 190), (216, 210, 238), (212, 228, 190), (240, 214, 220),
    (230, 224, 176), (200, 218, 240), (226, 204, 180),
)  # fmt: skip
TINTS_DARK: tuple[Colour, ...] = (
    (44, 82, 90), (94, 64, 42), (70, 62, 102), (62, 84, 44), (96, 58, 68), (88, 82, 40),
    (46, 68, 98), (86, 66, 46),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ClothContent:
    """What is drawn. `lit` is the light's window in the cloth frame, mm; `section` its step.

    `zoom` is 1 for the whole; `middle` then is the place along the cloth that is in the middle,
    mm, None for the middle of what is shown. `moving` while a piece is dragged: what is dear to
    draw is left out.
    """

    layout: Layout
    selection: int | None
    lit: tuple[tuple[float, float], ...] = ()
    section: float = 0.0
    zoom: float = 1.0
    middle: float | None = None
    whole: bool = False


def shown_length(content: ClothContent) -> float:
    """How much of the cloth the picture holds at zoom 1, mm."""
    used = used_length(content.layout)
    cloth = content.layout.cloth
    shown = max(1.08 * used + 150.0, 1500.0)
    if cloth.length is not None:
        shown = cloth.length if content.whole else min(shown, cloth.length)
    return shown


def cloth_scale(content: ClothContent, size: tuple[int, int], scale: float) -> Scale:
    """Where the cloth stands in a picture of this size."""
    width, height = size
    margin = 16 * scale
    ruler = 1.9 * LETTERS_PX * scale
    length, across = shown_length(content), lay_width(content.layout.cloth)
    room = (margin, margin, width - 2 * margin, height - margin - ruler)
    fit = fitting(Box(0.0, 0.0, length, across), *room)
    if content.zoom <= 1.0:
        return fit
    middle = length / 2 if content.middle is None else content.middle
    px = fit.px * content.zoom
    top = margin + (room[3] + px * across) / 2
    return Scale(px, width / 2 - px * middle, top)


def light_window(
    lit_on_table: np.ndarray, table_from_cloth: Motion
) -> tuple[tuple[float, float], ...]:
    """The corners of the lit area (n, 2), mm on the table, in the cloth frame."""
    back = table_from_cloth.inverse
    places = [back(Point(float(x), float(y))) for x, y in lit_on_table]
    return tuple((place.x, place.y) for place in places)


def paint_cloth(
    content: ClothContent, size: tuple[int, int], palette: Palette, scale: float
) -> pygame.Surface:
    """Draw it."""
    board = Board(size, palette.panel)
    fit = cloth_scale(content, size, scale)
    _cloth(board, content, fit, palette, scale)
    wrong = _wrong(content.layout)
    for index, placement in enumerate(content.layout.placements):
        if index != content.selection:
            _placed(board, content, placement, fit, palette, scale, False, wrong)
    if content.selection is not None and content.selection < len(content.layout.placements):
        chosen = content.layout.placements[content.selection]
        _placed(board, content, chosen, fit, palette, scale, True, wrong)
    _light(board, content, fit, palette, scale)
    _ruler(board, content, fit, palette, scale)
    return board.picture()


@lru_cache(maxsize=16)
def _wrong(layout: Layout) -> frozenset[tuple[str, int]]:
    return frozenset((p.piece, p.copy) for pair in overlaps(layout) for p in pair)


def _cloth(board: Board, content: ClothContent, fit: Scale, palette: Palette, scale: float) -> None:
    cloth = content.layout.cloth
    length = cloth.length or shown_length(content)
    width = lay_width(cloth)
    low, high = usable_span(cloth)
    board.area(fit.pixels(_square(0.0, 0.0, length, width)), palette.well)
    ground = cloth.outline or tuple(_square(0.0, low, length, high))
    board.area(fit.pixels(ground), palette.cloth)
    for flaw in cloth.flaws:
        board.area(fit.pixels(flaw), palette.stop, 0.5)
    for step, phase, across in (
        (cloth.repeat_along, cloth.phase_along, True),
        (cloth.repeat_across, cloth.phase_across, False),
    ):
        if step * fit.px < 4.0:
            continue
        for at in np.arange(phase % step, length if across else width, step):
            ends = [(at, low), (at, high)] if across else [(0.0, at), (length, at)]
            board.line(fit.pixels(ends), palette.line, 1.0)
    if cloth.folded:
        rows = fit.pixels([(0.0, 0.0), (length, 0.0)])
        board.line(rows, palette.fine, 2.5 * scale, dash=(16.0 * scale, 6.0 * scale))
    board.line(fit.pixels([(0.0, 0.0), (0.0, width)]), palette.soft, 1.5 * scale)
    if content.section > 50.0:
        for at in np.arange(content.section, length, content.section):
            rows = fit.pixels([(at, 0.0), (at, width)])
            board.line(rows, palette.soft, 1.0, dash=(3.0 * scale, 6.0 * scale))


def _square(left: float, low: float, right: float, high: float) -> list[tuple[float, float]]:
    return [(left, low), (right, low), (right, high), (left, high)]


@lru_cache(maxsize=512)
def _lines(piece: Piece, folded: bool) -> tuple[tuple[Point, ...], tuple[Point, ...], Point]:
    """Cutting line, seam line, and a place inside for the label."""
    whole = piece if folded else unfolded(piece)
    cut = cutting_line(whole, FLATNESS)
    inside = shapely.Polygon([(p.x, p.y) for p in cut])
    x, y = shapely.maximum_inscribed_circle(inside, 5.0).coords[0]
    return cut, outline(whole, FLATNESS), Point(x, y)


def _placed(
    board: Board,
    content: ClothContent,
    placement: Placement,
    fit: Scale,
    palette: Palette,
    scale: float,
    chosen: bool,
    wrong: frozenset[tuple[str, int]],
) -> None:
    layout = content.layout
    piece = piece_of(layout, placement)
    motion = placement.cloth_from_piece
    cut, seam, label = _lines(piece, layout.cloth.folded)
    rows = fit.pixels(placed_points(cut, motion))
    if rows[:, 0].max() < 0 or rows[:, 0].min() > board.image.shape[1]:
        return
    sizes = sorted({p.size for p in layout.pieces})
    dark = sum(palette.panel) < 384
    tints = TINTS_DARK if dark else TINTS_LIGHT
    bad = (placement.piece, placement.copy) in wrong
    board.area(rows, palette.well if placement.cut else tints[sizes.index(piece.size) % 8])
    colour = palette.stop if bad else palette.accent if chosen else palette.ink
    board.line(rows, colour, (2.6 if chosen or bad else 1.2) * scale, closed=True)
    board.line(fit.pixels(placed_points(seam, motion)), palette.soft, 1.0, True, (4.0, 4.0))
    for mark in piece.marks:
        if isinstance(mark, Grain):
            board.line(fit.pixels(placed_points((mark.start, mark.end), motion)), palette.soft)
    place = fit.pixels(placed_points((label,), motion))[0]
    letters = round(min(0.85 * LETTERS_PX * scale, max(8.0, 90.0 * fit.px)))
    text = piece_key(piece) + (f" ({placement.copy + 1})" if placement.copy else "")
    board.text(place, text, letters, palette.soft if placement.cut else palette.ink, bold=chosen)
    states = [word for word, so in (("cut", placement.cut), ("locked", placement.locked)) if so]
    if states:
        below = (place[0], place[1] + 1.25 * letters)
        board.text(below, ", ".join(states), round(0.85 * letters), palette.soft)


def _light(board: Board, content: ClothContent, fit: Scale, palette: Palette, scale: float) -> None:
    if not content.lit:
        return
    rows = fit.pixels(content.lit)
    board.area(rows, palette.light, 0.10)
    board.line(rows, palette.light, 2.2 * scale, closed=True)
    left, right = rows[:, 0].min(), rows[:, 0].max()
    top = max(rows[:, 1].min(), 0.0)
    letters = round(0.8 * LETTERS_PX * scale)
    tab = (left + right) / 2
    wide, high = 46.0 * scale, 9.0 * scale
    board.area(_square(tab - wide, top, tab + wide, top + 2 * high), palette.light)
    board.text((tab, top + high), "the light", letters, palette.panel, bold=True)


def _ruler(board: Board, content: ClothContent, fit: Scale, palette: Palette, scale: float) -> None:
    length = content.layout.cloth.length or shown_length(content)
    base = float(fit.pixels([(0.0, 0.0)])[0][1]) + 5 * scale
    letters = round(0.75 * LETTERS_PX * scale)
    step = 500.0 if 500.0 * fit.px > 3.2 * letters else 1000.0
    while step * fit.px < 3.2 * letters:
        step *= 2
    for at in np.arange(0.0, length + 1.0, 100.0):
        x = fit.left + fit.px * at
        labelled = at % step == 0
        if not labelled and 100.0 * fit.px < 5.0:
            continue
        board.line([(x, base), (x, base + (8 if labelled else 4) * scale)], palette.soft)
        if labelled:
            board.text((x, base + 9 * scale + 0.7 * letters), f"{at / 1000:g} m", letters,
                       palette.soft)  # fmt: skip
    used = used_length(content.layout)
    if used > 0.0:
        rows = fit.pixels([(used, 0.0), (used, lay_width(content.layout.cloth))])
        board.line(rows, palette.front, 1.6 * scale, dash=(10.0 * scale, 5.0 * scale))
