"""From what the hand does to commands: pure, on plain inputs, so that a test can play them."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import shapely

from calibration.table_map import TableMap, lit_outline, table_points
from drafting.plane import Point
from projector.cloth.shapes import placed_shape
from projector.stage import commands as do
from projector.stage.inputs import (
    Input,
    KeyPressed,
    PointerMoved,
    PointerPressed,
    PointerReleased,
)
from projector.stage.session import Session

__all__ = ["KEYS", "Hand", "controlled"]

KEYS = (
    "drag: move; arrows: 1 mm, with shift 0.1 mm; T: turn 5 degrees; G: to grain; M: mirror; "
    "L: lock; C: cut; Page Down / Up: next / last section; S: cutting line on or off; "
    "K: 100 mm squares; B: blackout; "
    "Z / Y: undo / redo; Tab: next piece; Q: quit"
)
ORIGIN = Point(0.0, 0.0)
_NUDGES = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "up": (0.0, 1.0), "down": (0.0, -1.0)}


@dataclass(frozen=True, slots=True)
class Hand:
    """A gesture under way: what is held, and where the pointer was last on the cloth, mm.

    `fresh` until the gesture has changed something, so that one undo takes it all back.
    """

    dragging: bool = False
    last: Point = ORIGIN
    fresh: bool = True


def controlled(
    hand: Hand, done: Input, session: Session, table_map: TableMap
) -> tuple[Hand, tuple[do.Command, ...]]:
    """The hand after an input, and what it commands."""
    match done:
        case PointerPressed(x, y, 1):
            place = on_cloth(session, table_map, x, y)
            index = under(session, place)
            return Hand(index is not None, place), (do.Select(index),)
        case PointerReleased(_, _, 1):
            return Hand(), ()
        case PointerMoved(x, y) if hand.dragging:
            place = on_cloth(session, table_map, x, y)
            step = place - hand.last
            return replace(hand, last=place, fresh=False), (do.Move(step.x, step.y, hand.fresh),)
        case KeyPressed() if not hand.dragging:
            command = _meant(done, session, table_map)
            return hand, () if command is None else (command,)
    return hand, ()


def _meant(pressed: KeyPressed, session: Session, table_map: TableMap) -> do.Command | None:
    if pressed.key in _NUDGES:
        size = 0.1 if pressed.shift else 1.0
        x, y = _NUDGES[pressed.key]
        step = session.table_from_cloth.inverse.direction(Point(x * size, y * size))
        return do.Move(step.x, step.y)
    corners = lit_outline(table_map)
    section = 0.8 * float(corners[:, 0].max() - corners[:, 0].min())
    count = len(session.layout.placements)
    following = 0 if session.selection is None else (session.selection + 1) % max(count, 1)
    meant: dict[str, do.Command] = {
        "t": do.Turn(math.radians(-5.0 if pressed.shift else 5.0)),
        "g": do.SnapToGrain(),
        "m": do.Mirror(),
        "l": do.Lock(),
        "c": do.TickAsCut(),
        "page down": do.SlideCloth(section),
        "page up": do.SlideCloth(-section),
        "s": do.Layer("cutting line"),
        "k": do.Layer("100 mm squares"),
        "b": do.Blackout(),
        "z": do.Undo(),
        "y": do.Redo(),
        "tab": do.Select(following),
        "q": do.CloseWindow(),
        "escape": do.CloseWindow(),
    }
    return meant.get(pressed.key)


def on_cloth(session: Session, table_map: TableMap, x_px: float, y_px: float) -> Point:
    """Where a screen point lies on the cloth, mm."""
    x, y = table_points(table_map, [(x_px, y_px)])[0]
    return session.table_from_cloth.inverse(Point(float(x), float(y)))


def under(session: Session, place: Point) -> int | None:
    """The placement on top at a place on the cloth; None for bare cloth."""
    for index in reversed(range(len(session.layout.placements))):
        shape = placed_shape(session.layout, session.layout.placements[index])
        if shape.contains(shapely.Point(place.x, place.y)):
            return index
    return None
