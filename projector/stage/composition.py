"""The picture of a session on the table, at true scale: every line where the map puts it."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from functools import lru_cache, partial
from typing import Any

from calibration.errors import CalibrationError
from calibration.table_map import TableMap, screen_points
from drafting.piece import Piece
from drafting.plane import Motion, Point
from projector.cloth.layout import Placement, piece_key
from projector.cloth.shapes import moved_rows
from projector.stage.card_places import resting_dots
from projector.stage.cards import every_key_part, help_part, trouble_part
from projector.stage.clashes import Clashes
from projector.stage.guides import (
    cloth_part,
    crosses_part,
    hatching_part,
    ruler_part,
    squares_part,
)
from projector.stage.horizon import before_horizon
from projector.stage.ink import Colour, Ink, ink_for
from projector.stage.labels import label_lines, label_place
from projector.stage.lit_cards import LitCards
from projector.stage.lit_frame import EDGE, LitFrame, part_of, text_block
from projector.stage.magnifier import magnifier_part
from projector.stage.picture import Part, Picture, Stroke, Writing
from projector.stage.piece_lines import Lines, piece_lines
from projector.stage.sections import crosses, lit_window
from projector.stage.session import Session

__all__ = ["Composer", "compose"]

WHITE: Colour = (255, 255, 255)
HEAVIER = 1.8
"""How much wider the cutting line of a chosen or wrongly lying piece is: colour fails some eyes."""


def compose(session: Session, table_map: TableMap) -> Picture:
    """Everything that is lit.

    Widths are mm on the table, turned to pixels where the piece lies, never under one. What
    reaches beyond the horizon of the map, far off the light, is left out.
    """
    return Composer().picture(session, table_map)


class Composer:
    """Composes picture after picture, and makes anew only the parts that have changed."""

    def __init__(self) -> None:
        self._map: TableMap | None = None
        self._window = (0.0, 0.0, 0.0, 0.0)
        self._clashes = Clashes()
        self._cards = LitCards()
        self._parts: dict[Any, tuple[tuple[Any, ...], Part | None]] = {}

    def picture(self, session: Session, table_map: TableMap) -> Picture:
        """The picture of a session; parts that are as before are the same parts."""
        size = table_map.screen_size
        if table_map is not self._map:
            self._map = table_map
            self._window = lit_window(table_map)
            self._parts = {}
        if session.trouble:
            frame = self._frame(session, table_map)
            words = session.trouble
            part = self._part(
                "trouble", (words, frame.text_turn), lambda: trouble_part(frame, words)
            )
            return Picture(size, (part,) if part else ())
        if session.lamp != "pieces":
            return Picture(size, ground=WHITE if session.lamp == "work light" else (0, 0, 0))
        frame = self._frame(session, table_map)
        # Cards lie under the pieces: no line that is to be cut is ever hidden by one.
        parts = [*self._ground(session, frame), *self._cards.parts(session, frame)]
        parts += [*self._pieces(session, frame), *self._over(session, frame)]
        return Picture(size, tuple(part for part in parts if part is not None))

    def _frame(self, session: Session, table_map: TableMap) -> LitFrame:
        return LitFrame(
            table_map, self._window, session.text_turn, ink_for(session.layout.cloth.colour)
        )

    def _part(
        self, name: Any, state: tuple[Any, ...], make: Callable[[], Part | None]
    ) -> Part | None:
        known = self._parts.get(name)
        if known is not None and known[0] == state:
            return known[1]
        try:
            part = make()
        except CalibrationError:  # beyond the horizon of the map
            part = None
        self._parts[name] = (state, part)
        return part

    def _ground(self, session: Session, frame: LitFrame) -> list[Part | None]:
        shared = (frame.text_turn, session.layout.cloth.colour)
        layout, lie = session.layout, session.table_from_cloth
        parts: list[Part | None] = []
        state: tuple[Any, ...]
        if "cloth edge" in session.layers:
            state = (layout.cloth, lie)
            parts.append(self._part("cloth", state, lambda: cloth_part(frame, layout, lie)))
        if "100 mm squares" in session.layers:
            parts.append(self._part("squares", shared, lambda: squares_part(frame)))
        if "crosses" in session.layers and session.take_up is None:
            ahead = crosses(frame.table_map, layout.cloth, lie, True)
            behind = session.marks
            state = (*shared, lie, ahead, behind)
            parts.append(
                self._part("crosses", state, lambda: crosses_part(frame, session, ahead, behind))
            )
        return parts

    def _pieces(self, session: Session, frame: LitFrame) -> list[Part | None]:
        layout = session.layout
        clash = self._clashes.of(layout)
        known = {piece_key(piece): piece for piece in layout.pieces}
        folded, one_way = layout.cloth.folded, layout.cloth.one_way
        shared = (session.layers, layout.cloth.colour, frame.text_turn, session.table_from_cloth)
        parts: list[Part | None] = []
        state: tuple[Any, ...]
        chosen: Part | None = None
        for index, placement in enumerate(layout.placements):
            piece = known[placement.piece]
            selected, wrong = index == session.selection, index in clash.wrong
            # The piece by identity: a draft of another style brings other pieces.
            state = (placement, id(piece), selected, wrong, folded, one_way, shared)
            motion = session.table_from_cloth @ placement.cloth_from_piece
            part = self._part(
                index,
                state,
                lambda p=piece, q=placement, m=motion, s=selected, w=wrong: (  # type: ignore[misc]
                    piece_part(frame, session.layers, folded, one_way, p, q, m, s, w)
                ),
            )
            if selected:
                chosen = part
            else:
                parts.append(part)
        for name in [name for name in self._parts if isinstance(name, int)]:
            if name >= len(layout.placements):
                del self._parts[name]
        lie = session.table_from_cloth
        if clash.areas:
            state = (id(clash), lie, layout.cloth.colour)
            parts.append(
                self._part("hatching", state, lambda: hatching_part(frame, lie, clash.areas))
            )
        return [*parts, chosen]

    def _over(self, session: Session, frame: LitFrame) -> list[Part | None]:
        parts: list[Part | None] = []
        state: tuple[Any, ...]
        shared = (frame.text_turn, session.layout.cloth.colour)
        layout, ruler = session.layout, session.ruler
        if session.magnified is not None and session.selection is not None:
            placement = layout.placements[session.selection]
            piece = next(p for p in layout.pieces if piece_key(p) == placement.piece)
            motion = session.table_from_cloth @ placement.cloth_from_piece
            folded, index = layout.cloth.folded, session.magnified
            one_way, lie = layout.cloth.one_way, session.table_from_cloth
            state = (motion, id(piece), index, *shared)
            parts.append(
                self._part(
                    "magnifier",
                    state,
                    lambda: magnifier_part(
                        frame,
                        piece,
                        folded,
                        piece_lines(piece, folded, one_way),
                        motion,
                        index,
                        resting_dots(frame, layout, lie, None),
                    ),
                )
            )
        if ruler is not None:
            parts.append(self._part("ruler", (ruler, *shared), lambda: ruler_part(frame, ruler)))
        if session.take_up is not None:
            state = (session.take_up, *shared)
            parts.append(self._part("take-up", state, lambda: crosses_part(frame, session, (), ())))
        for name, card in (("help", help_part), ("every key", every_key_part)):
            if name in session.layers:
                parts.append(self._part(name, shared, partial(card, frame)))
        return parts


def piece_part(
    frame: LitFrame,
    layers: frozenset[str],
    folded: bool,
    one_way: bool,
    piece: Piece,
    placement: Placement,
    table_from_piece: Motion,
    selected: bool,
    wrong: bool,
) -> Part | None:
    """Everything that is lit of one piece; None where none of it lies before the horizon."""
    middle = table_from_piece(_middle(piece, folded, one_way))
    scale = frame.px_a_mm(frame.lit_near(middle))
    strokes = []
    for lines in piece_lines(piece, folded, one_way):
        if lines.layer not in layers:
            continue
        whole = moved_rows(lines.points, table_from_piece)
        rows, breaks, closed = before_horizon(frame.table_map, whole, lines.breaks, lines.closed)
        if not len(rows):
            continue
        colour = _colour(frame.ink, lines, placement, selected, wrong)
        thick = HEAVIER if (wrong or selected) and lines.role == "cutting" else 1.0
        thick *= frame.ink.broader
        strokes.append(
            Stroke(
                screen_points(frame.table_map, rows),
                colour,
                max(1.0, lines.width * thick * scale),
                breaks,
                closed,
                frame.ink.edge,
                0.0 if placement.cut else max(1.0, EDGE * scale),
            )
        )
    writings: tuple[Writing, ...] = ()
    if "labels" in layers:
        text = label_lines(piece, placement, folded)
        turned = table_from_piece.inverse.direction(Motion(frame.text_angle)(Point(1.0, 0.0)))
        at = table_from_piece(label_place(piece, folded, text, turned))
        ink = frame.ink
        colour = ink.cut if placement.cut else ink.chosen if selected else ink.text
        with suppress(CalibrationError):  # the name lies beyond the horizon
            writings = text_block(frame, at, text, colour, edge=not placement.cut)
    if not strokes:
        return None
    return part_of(frame, tuple(strokes), tuple(writings))


def _colour(ink: Ink, lines: Lines, placement: Placement, selected: bool, wrong: bool) -> Colour:
    if placement.cut:
        return ink.cut
    if lines.role == "cutting":
        return ink.wrong if wrong else ink.chosen if selected else ink.cutting
    colour: Colour = getattr(ink, lines.role)
    return colour


@lru_cache(maxsize=512)
def _middle(piece: Piece, folded: bool, one_way: bool) -> Point:
    rows = next(
        line.points for line in piece_lines(piece, folded, one_way) if line.role == "cutting"
    )
    x, y = (rows.min(axis=0) + rows.max(axis=0)) / 2
    return Point(float(x), float(y))
