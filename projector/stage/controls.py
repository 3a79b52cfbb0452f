"""From what the hand does to commands: pure, on plain inputs, so that a test can play them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import shapely

from calibration.errors import CalibrationError
from calibration.table_map import TableMap, table_points
from drafting.plane import Motion, Point, distance, midpoint
from projector.cloth.layout import Layout
from projector.stage import commands as do
from projector.stage.inputs import (
    Input,
    KeyPressed,
    PointerMoved,
    PointerPressed,
    PointerReleased,
    Wheeled,
)
from projector.stage.moves import middle_of, snapped_angle
from projector.stage.outlines import outlines
from projector.stage.sections import lit_window
from projector.stage.session import LAYERS, Ruler, Session
from projector.stage.steps import following, nudge, slide
from projector.stage.tape_check import predicted_error

__all__ = ["Hand", "controlled"]

Grip = Literal["", "piece", "turn", "ruler start", "ruler end", "ruler"]
GRIP = 25.0
"""How near to a ruler the hand takes hold of it, mm."""
DIGITS = 9
_ARROWS = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "up": (0.0, 1.0), "down": (0.0, -1.0)}


@dataclass(frozen=True, slots=True)
class Hand:
    """A gesture under way.

    Parameters
    ----------
    grip
        What is held; empty for nothing.
    start
        Where it was taken: on the cloth for a piece, on the table for the ruler, mm.
    motion
        Where the piece lay then.
    ruler
        Where the ruler lay then.
    begun
        The layout then: as long as it is still there, the gesture has changed nothing and its
        first change is one for undo to go back to.
    """

    grip: Grip = ""
    start: Point | None = None
    motion: Motion | None = None
    ruler: Ruler | None = None
    begun: Layout | None = None


def controlled(
    hand: Hand, done: Input, session: Session, table_map: TableMap
) -> tuple[Hand, tuple[do.Command, ...]]:
    """The hand after an input, and what it commands."""
    try:
        match done:
            case PointerPressed(x, y, button):
                return _pressed(session, table_map, on_table(table_map, x, y), button)
            case PointerReleased():
                return Hand(), ()
            case PointerMoved(x, y, control):
                return hand, _held(hand, session, on_table(table_map, x, y), control)
            case Wheeled(notches, shift) if not hand.grip:
                return hand, (do.Turn(math.radians(notches * (1.0 if shift else 5.0))),)
            case KeyPressed() if not hand.grip:
                return hand, _meant(done, session, table_map)
    except CalibrationError:  # the pointer is beyond the horizon of the map
        return hand, ()
    return hand, ()


def on_table(table_map: TableMap, x_px: float, y_px: float) -> Point:
    """Where a screen point lies on the table, mm."""
    x, y = table_points(table_map, [(x_px, y_px)])[0]
    return Point(float(x), float(y))


def under(session: Session, place: Point) -> int | None:
    """The placement on top at a place on the cloth; None for bare cloth. The selected one is on
    top of all others, as it is drawn."""
    count = len(session.layout.placements)
    order = [i for i in reversed(range(count)) if i != session.selection]
    if session.selection is not None and session.selection < count:
        order.insert(0, session.selection)
    for index in order:
        placement = session.layout.placements[index]
        own = placement.cloth_from_piece.inverse(place)
        shape = outlines(session.layout)[placement.piece].shape
        if shapely.contains_xy(shape, own.x, own.y):
            return index
    return None


def _pressed(
    session: Session, table_map: TableMap, at: Point, button: int
) -> tuple[Hand, tuple[do.Command, ...]]:
    if session.take_up is not None:
        return Hand(), (do.AimCross(at), do.PutCross()) if button == 1 else (do.TakeUpCloth(),)
    ruler = session.ruler
    if ruler is not None and button == 1:
        grip = _ruler_grip(ruler, at)
        if grip:
            return Hand(grip, at, ruler=ruler), ()
    place = session.table_from_cloth.inverse(at)
    index = under(session, place)
    select = do.Select(index)
    if index is None:
        return Hand(), (select,) if button == 1 else ()
    placement = session.layout.placements[index]
    if button == 2:
        return Hand(), (select, do.TickAsCut())
    motion, layout = placement.cloth_from_piece, session.layout
    return Hand("piece" if button == 1 else "turn", place, motion, begun=layout), (select,)


def _ruler_grip(ruler: Ruler, at: Point) -> Grip:
    if distance(at, ruler.start) < GRIP:
        return "ruler start"
    if distance(at, ruler.end) < GRIP:
        return "ruler end"
    line = shapely.LineString([(ruler.start.x, ruler.start.y), (ruler.end.x, ruler.end.y)])
    return "ruler" if line.distance(shapely.Point(at.x, at.y)) < GRIP else ""


def _held(hand: Hand, session: Session, at: Point, control: bool) -> tuple[do.Command, ...]:
    """What the gesture under way commands now that the pointer is at a table point."""
    if session.take_up is not None:
        return (do.AimCross(at),)
    if hand.ruler is not None and hand.start is not None:
        return (_ruler_moved(hand, hand.ruler, hand.start, at, session.snapping and not control),)
    if hand.motion is None or hand.start is None or session.selection is None:
        return ()
    place = session.table_from_cloth.inverse(at)
    fresh = session.layout is hand.begun
    motion = hand.motion
    if hand.grip == "piece":
        there = Motion(
            motion.angle,
            motion.dx + place.x - hand.start.x,
            motion.dy + place.y - hand.start.y,
            motion.mirrored,
        )
        return (do.Put(there, fresh, not control),)
    placement = session.layout.placements[session.selection]
    middle = middle_of(session.layout, placement)
    if min(distance(middle, hand.start), distance(middle, place)) < 5.0:
        return ()
    turn = (place - middle).angle - (hand.start - middle).angle
    wanted = motion.angle + turn
    if session.snapping and not control:
        wanted = snapped_angle(wanted)
    by = math.remainder(wanted - placement.cloth_from_piece.angle, 2 * math.pi)
    return (do.Turn(by, fresh),)


def _ruler_moved(hand: Hand, ruler: Ruler, start: Point, at: Point, snaps: bool) -> do.MoveRuler:
    way = at - start
    if hand.grip == "ruler":
        return do.MoveRuler(ruler.start + way, ruler.end + way)
    fixed, moving = (
        (ruler.end, ruler.start + way)
        if hand.grip == "ruler start"
        else (ruler.start, ruler.end + way)
    )
    size = distance(fixed, moving)
    if size < 20.0:
        return do.MoveRuler(ruler.start, ruler.end)
    if snaps:  # whole centimetres, which a tape is read against best
        moving = fixed + (moving - fixed).unit * (round(size / 10.0) * 10.0)
    return (
        do.MoveRuler(moving, fixed) if hand.grip == "ruler start" else do.MoveRuler(fixed, moving)
    )


def _meant(key: KeyPressed, session: Session, table_map: TableMap) -> tuple[do.Command, ...]:
    if key.key in _ARROWS:
        size = 0.1 if key.shift else 1.0
        right, away = (size * part for part in _ARROWS[key.key])
        take_up = session.take_up
        if take_up is not None and take_up.at is not None:
            way = Motion(session.text_turn * math.pi / 2)(Point(right, away))
            return (do.AimCross(take_up.at + way),)
        return (do.Move(*nudge(session, right, away)),)
    name = key.key.strip("[]")  # the keypad's digits are named [1]
    if session.ruler is not None and (name in ("return", "enter", "backspace") or _types(name)):
        return _typed(name, session, session.ruler, table_map)
    if name in ("return", "enter"):
        return (do.PutCross(),)
    if len(name) == 1 and name.isdigit() and 1 <= int(name) <= DIGITS:
        return (do.Layer(LAYERS[int(name) - 1]),)
    command = _lettered(name, key.shift, session, table_map)
    return () if command is None else (command,)


def _types(name: str) -> bool:
    return len(name) == 1 and (name.isdigit() or name in ".,")


def _typed(
    name: str, session: Session, ruler: Ruler, table_map: TableMap
) -> tuple[do.Command, ...]:
    if name == "backspace":
        return (do.TypeTape(ruler.typed[:-1]),)
    if name in ("return", "enter"):
        return (do.ReadTape(predicted_error(table_map, ruler)),) if ruler.typed else ()
    return (do.TypeTape(ruler.typed + name),)


def _lettered(name: str, shift: bool, session: Session, table_map: TableMap) -> do.Command | None:
    match name:
        case "page down" | "page up":
            return slide(session, table_map, name == "page down")
        case "tab":
            return do.Select(following(session, table_map, shift))
        case "r":
            return _next_ruler(session, table_map)
        case "t":
            return do.Turn(math.radians(-5.0 if shift else 5.0))
    meant: dict[str, do.Command] = {
        "g": do.SnapToGrain(),
        "f": do.SnapToFold(),
        "m": do.Mirror(),
        "a": do.Tidy(),
        "l": do.Lock(),
        "c": do.TickAsCut(),
        "z": do.Undo(),
        "y": do.Redo(),
        "x": do.TakeUpCloth(),
        "s": do.SeamOnly(),
        "n": do.Magnify(),
        "k": do.Layer("100 mm squares"),
        "d": do.Layer("countdown"),
        "h": do.Help(),
        "f1": do.Help(),
        "v": do.ClothColour(),
        "p": do.Snapping(),
        "o": do.TurnText(),
        "w": do.Light("work light"),
        "b": do.Light("dark"),
        "f5": do.AcceptCalibration(),
        "escape": do.BreakOff(),
        "q": do.CloseWindow(),
    }
    return meant.get(name)


def _next_ruler(session: Session, table_map: TableMap) -> do.MoveRuler:
    """Across the light, then along it, then away: a metre, or as much of one as is lit."""
    low_x, low_y, high_x, high_y = lit_window(table_map)
    middle = midpoint(Point(low_x, low_y), Point(high_x, high_y))
    ruler = session.ruler
    if ruler is None:
        half = min(500.0, math.floor(0.9 * (high_x - low_x) / 20.0) * 10.0)
        return do.MoveRuler(middle - Point(half, 0.0), middle + Point(half, 0.0))
    if abs(ruler.end.x - ruler.start.x) > abs(ruler.end.y - ruler.start.y):
        half = min(500.0, math.floor(0.9 * (high_y - low_y) / 20.0) * 10.0)
        return do.MoveRuler(middle - Point(0.0, half), middle + Point(0.0, half))
    return do.MoveRuler(None)
