"""The picture of the whole cloth: pieces, fold, selvages, sections, and the light's window."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pygame

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
from projector.desk.lettering import shortened, written_width
from projector.desk.palette import LETTERS_PX, Colour, Palette
from projector.stage.labels import label_place

__all__ = [
    "TAB_STRIP",
    "ClothContent",
    "cloth_scale",
    "light_tab",
    "light_window",
    "paint_cloth",
    "shown_length",
]

FLATNESS = 0.5
TAB_STRIP = 30.0
"""Room above the cloth for the handle of the light, at 1280 x 720."""
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

    `zoom` is 1 for the whole; otherwise `middle` is the place on the cloth that is in the middle,
    mm, None for that of what is shown. `whole` shows cloth without pieces on it too. `marked` are
    two corners of a flaw that is being marked.
    """

    layout: Layout
    selection: int | None
    lit: tuple[tuple[float, float], ...] = ()
    section: float = 0.0
    zoom: float = 1.0
    middle: tuple[float, float] | None = None
    whole: bool = False
    marked: tuple[float, float, float, float] | None = None


def shown_length(content: ClothContent) -> float:
    """How much of the cloth the picture holds at zoom 1, mm."""
    used = used_length(content.layout)
    cloth = content.layout.cloth
    shown = max(1.08 * used + 150.0, 1500.0)
    if cloth.length is not None:
        shown = cloth.length if content.whole else min(shown, cloth.length)
    return shown


def cloth_scale(content: ClothContent, size: tuple[int, int], scale: float) -> Scale:
    """Where the cloth stands in a picture of this size; enlarged, it does not leave the picture."""
    width, height = size
    margin, above, below = 16 * scale, TAB_STRIP * scale, 2.6 * LETTERS_PX * scale
    length, across = shown_length(content), lay_width(content.layout.cloth)
    room = (margin, above, width - 2 * margin, height - above - below)
    fit = fitting(Box(0.0, 0.0, length, across), *room)
    if content.zoom <= 1.0:
        return fit
    px = fit.px * content.zoom
    x, y = (length / 2, across / 2) if content.middle is None else content.middle
    left = _within(width / 2 - px * x, margin, width - margin, px * length)
    top = _within(above + room[3] / 2 + px * (y - across), above, height - below, px * across)
    return Scale(px, left, top + px * across)


def _within(start: float, low: float, high: float, size: float) -> float:
    """A start so that no room is left free at either end while something lies beyond the other."""
    if size <= high - low:
        return (low + high - size) / 2
    return min(low, max(high - size, start))


def light_tab(
    content: ClothContent, fit: Scale, scale: float
) -> tuple[float, float, float, float] | None:
    """The handle of the light, above the cloth where no piece can lie: x, y, width, height, px."""
    if not content.lit:
        return None
    rows = fit.pixels(content.lit)
    middle = (rows[:, 0].min() + rows[:, 0].max()) / 2
    high = (TAB_STRIP - 8) * scale
    far = float(fit.pixels([(0.0, lay_width(content.layout.cloth))])[0][1])
    top = max(3 * scale, min(far, float(rows[:, 1].min())) - high - 3 * scale)
    return middle - 46 * scale, top, 92 * scale, high


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
    if content.marked is not None:
        left, low, right, top = content.marked
        rows = fit.pixels(_square(left, low, right, top))
        board.area(rows, palette.stop, 0.35)
        board.line(rows, palette.stop, 1.6 * scale, closed=True)
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
def _lines(piece: Piece, folded: bool) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    """Cutting line and seam line."""
    whole = piece if folded else unfolded(piece)
    return cutting_line(whole, FLATNESS), outline(whole, FLATNESS)


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
    cut, seam = _lines(piece, layout.cloth.folded)
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
    letters = round(min(0.85 * LETTERS_PX * scale, max(8.0, 90.0 * fit.px)))
    states = [word for word, so in (("cut", placement.cut), ("locked", placement.locked)) if so]
    text = piece_key(piece) + (f" ({placement.copy + 1})" if placement.copy else "")
    capital = max(5.0, 5.0 * round(0.125 * letters / fit.px))  # in steps, so that it is known again
    lines = [(text, capital)] + ([(", ".join(states), capital)] if states else [])
    along = motion.inverse.direction(Point(1.0, 0.0))
    label = label_place(piece, layout.cloth.folded, tuple(lines), along)
    place = fit.pixels(placed_points((label,), motion))[0]
    below = board.image.shape[0] - 2.6 * LETTERS_PX * scale
    if content.zoom > 1.0 and not TAB_STRIP * scale < place[1] < below:
        return
    ink = palette.soft if placement.cut else palette.ink
    up = 0.6 * letters if states else 0.0
    wide = float(np.ptp(rows[:, 0]))
    if not chosen:  # the name of the one that is chosen is shown whole
        text = shortened(text, letters, round(max(0.94 * wide, 3 * letters)))
    board.text((place[0], place[1] - up), text, letters, ink, bold=chosen)
    if states:
        under = (place[0], place[1] + up)
        board.text(under, ", ".join(states), round(0.85 * letters), palette.soft)


def _light(board: Board, content: ClothContent, fit: Scale, palette: Palette, scale: float) -> None:
    tab = light_tab(content, fit, scale)
    width = board.image.shape[1]
    if tab is not None:
        rows = fit.pixels(content.lit)
        board.area(rows, palette.light, 0.10)
        board.line(rows, palette.light, 2.2 * scale, closed=True)
    # Cloth that is shown enlarged goes on under the strip.
    board.area(_square(0.0, 0.0, width, (TAB_STRIP - 3) * scale), palette.panel)
    if tab is None:
        return
    x, y, wide, high = tab
    letters = round(0.8 * LETTERS_PX * scale)
    board.area(_square(x, y, x + wide, y + high), palette.light)
    board.text((x + wide / 2, y + high / 2), "the light", letters, palette.panel, bold=True)
    if (top := float(fit.pixels(content.lit)[:, 1].min())) > y + high:
        board.line([(x + wide / 2, y + high), (x + wide / 2, top)], palette.light, 2.2 * scale)


def _ruler(board: Board, content: ClothContent, fit: Scale, palette: Palette, scale: float) -> None:
    length = content.layout.cloth.length or shown_length(content)
    high, wide = board.image.shape[:2]
    below = 2.4 * LETTERS_PX * scale
    base = min(float(fit.pixels([(0.0, 0.0)])[0][1]) + 5 * scale, high - below)
    if content.zoom > 1.0:
        board.area(_square(0.0, base - 2 * scale, wide, high), palette.panel)
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
        if labelled and x < wide - letters:
            y, text = base + 9 * scale + 0.7 * letters, f"{at / 1000:g} m"
            half = written_width(text, letters) / 2 + 2 * scale
            back = _square(x - half, y - 0.7 * letters, x + half, y + 0.7 * letters)
            board.area(back, palette.panel)  # the frame of the light may run here
            board.text((x, y), text, letters, palette.soft)
    used = used_length(content.layout)
    if used > 0.0:
        rows = fit.pixels([(used, 0.0), (used, lay_width(content.layout.cloth))])
        board.line(rows, palette.front, 1.6 * scale, dash=(10.0 * scale, 5.0 * scale))
