"""The cards that are lit now, each where it hides least; made anew only when that has changed."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np

from calibration.errors import CalibrationError
from calibration.table_map import TableMap, screen_points
from calibration.uncertainty import metre_error
from drafting.plane import Motion, Point
from projector.stage.card_places import block_dots, piece_dots, resting_dots
from projector.stage.cards import countdown_words, message_part, scale_part, status_part
from projector.stage.guides import ruler_dots
from projector.stage.lit_frame import LitFrame
from projector.stage.picture import Array, Bounds, Part
from projector.stage.sections import crosses
from projector.stage.session import Session
from projector.stage.square_words import SIDE, met_squares, square_part, told_squares

__all__ = ["LitCards"]

Make = Callable[[Array], Part]
CROSS = (70.0, 70.0)
"""Room of a registration cross with its number, mm."""


class LitCards:
    """Remembers the cards of the last picture.

    A card lies clear of the pieces that rest. One that the selected piece is moved onto steps
    aside for as long, and is where it was again afterwards.
    """

    def __init__(self) -> None:
        self._parts: dict[str, tuple[tuple[Any, ...], Part]] = {}
        self._resting: tuple[tuple[Any, ...], Array] = ((), np.empty((0, 2)))
        self._told: tuple[tuple[Any, ...], tuple[tuple[Point, Part], ...]] = ((), ())

    def parts(self, session: Session, frame: LitFrame) -> list[Part]:
        """The countdown, what was just said and, with the squares, how far they can be trusted."""
        layout, lie, moving = session.layout, session.table_from_cloth, session.selection
        placements = layout.placements
        resting = tuple(p for index, p in enumerate(placements) if index != moving)
        ruler = None if session.ruler is None else (session.ruler.start, session.ruler.end)
        state = (
            id(frame.table_map), frame.text_turn, layout.cloth, lie, resting, id(layout.pieces),
            ruler,
        )  # fmt: skip
        if self._resting[0] != state:
            dots = [resting_dots(frame, layout, lie, moving)]
            if session.ruler is not None:
                dots.append(ruler_dots(frame, session.ruler))
            self._resting = (state, np.concatenate(dots))
        words = countdown_words(layout) if "countdown" in session.layers else ""
        wanted: list[tuple[str, tuple[Any, ...], Make]] = []
        if words:
            wanted.append(("status", (words,), lambda dots: status_part(frame, words, dots)))
        if session.said:
            said = session.said
            wanted.append(
                ("said", (said, words), lambda dots: message_part(frame, said, dots, words))
            )
        if "100 mm squares" in session.layers:
            trust = _trust(frame.table_map)
            wanted.append(("scale", (trust,), lambda dots: scale_part(frame, trust, dots)))
        chosen = None if moving is None else placements[moving]
        own = None if chosen is None else piece_dots(frame, layout, lie, chosen)
        found = []
        for name, says, make in wanted:
            part = self._part(name, (*says, *state), make)
            if own is not None and _under(frame, part, own):
                aside = f"{name} aside"
                part = self._part(aside, (*says, *state), make, own)
                if _under(frame, part, own):  # it has caught up with the card again
                    del self._parts[aside]
                    part = self._part(aside, (*says, *state), make, own)
            found.append(part)
        if "100 mm squares" in session.layers:
            found += self._squares(session, frame, own, [part.bounds for part in found])
        return found

    def _squares(
        self, session: Session, frame: LitFrame, own: Array | None, cards: list[Bounds]
    ) -> list[Part]:
        """The words in some squares; those the selected piece lies on are left dark as long."""
        resting, dots = self._resting
        state = (resting, tuple(cards), session.marks)
        if self._told[0] != state:
            cloth, lie = session.layout.cloth, session.table_from_cloth
            marks = [lie(m) for m in (*crosses(frame.table_map, cloth, lie, True), *session.marks)]
            taken = [block_dots(Motion(0.0, at.x, at.y), *CROSS) for at in marks]
            places = told_squares(frame, np.concatenate([dots, *taken]), cards)
            self._told = (state, tuple((at, square_part(frame, at)) for at in places))
        met = set() if own is None else met_squares(frame, own)
        told = self._told[1]
        return [part for at, part in told if (at.x // SIDE, at.y // SIDE) not in met]

    def _part(
        self, name: str, state: tuple[Any, ...], make: Make, own: Array | None = None
    ) -> Part:
        known = self._parts.get(name)
        if known is not None and known[0] == state:
            return known[1]
        dots = self._resting[1]
        part = make(dots if own is None else np.concatenate([dots, own]))
        self._parts[name] = (state, part)
        return part


def _under(frame: LitFrame, part: Part, dots: Array) -> bool:
    """Whether any of the dots lies under the card."""
    left, top, right, bottom = part.bounds
    try:
        x, y = screen_points(frame.table_map, dots).T
    except CalibrationError:  # a piece that reaches beyond the horizon
        return False
    return bool(((x > left) & (x < right) & (y > top) & (y < bottom)).any())


@lru_cache(maxsize=8)
def _trust(table_map: TableMap) -> str:
    try:
        return f"1 m is right to ±{metre_error(table_map):.1f} mm"
    except CalibrationError:
        return "error not known: calibrate again"
