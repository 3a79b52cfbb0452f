"""A game controller as a handset: pure, from what it does and how much time passes to commands."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from calibration.table_map import TableMap
from drafting.plane import Motion, Point
from projector.cloth.layout import Layout
from projector.stage import commands as do
from projector.stage.inputs import ButtonPressed, ButtonReleased, CrossPressed, Input, StickMoved
from projector.stage.session import Session
from projector.stage.steps import following, nudge, slide

__all__ = ["Handset", "deflected", "handled", "steered"]

REST = 0.15
"""Sticks nearer to their middle than this rest: worn ones never quite return."""
SPEED = 250.0
"""A stick pushed home moves a piece by so many mm a second, and turns it by 45 degrees."""
TURN_SPEED = math.radians(45.0)
FINE = 10


@dataclass(frozen=True, slots=True)
class Handset:
    """Where the sticks are and whether the button for fine steps is held.

    `begun` is the layout when the sticks left their rest: one undo takes the whole gesture back.
    """

    sticks: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    fine: bool = False
    begun: Layout | None = None


def deflected(handset: Handset) -> bool:
    """Whether a stick is pushed, so that time moves a piece."""
    return any(abs(place) > REST for place in handset.sticks[:3])


def handled(
    handset: Handset, done: Input, session: Session, table_map: TableMap
) -> tuple[Handset, tuple[do.Command, ...]]:
    """The handset after an input, and what it commands."""
    match done:
        case StickMoved(axis, place) if 0 <= axis < 4:
            sticks = list(handset.sticks)
            sticks[axis] = max(-1.0, min(1.0, place))
            moved = replace(handset, sticks=(sticks[0], sticks[1], sticks[2], sticks[3]))
            if not deflected(moved):
                return replace(moved, begun=None), ()
            return (moved if moved.begun else replace(moved, begun=session.layout)), ()
        case ButtonPressed(button) if button == FINE:
            return replace(handset, fine=True), ()
        case ButtonReleased(button) if button == FINE:
            return replace(handset, fine=False), ()
        case CrossPressed(right, away) if right or away:
            size = 0.1 if handset.fine else 1.0
            return handset, (do.Move(*nudge(session, right * size, away * size)),)
        case ButtonPressed(button) if handset.fine:
            return handset, _pressed_fine(button)
        case ButtonPressed(button):
            return handset, _pressed(button, session, table_map)
    return handset, ()


def _pressed(button: int, session: Session, table_map: TableMap) -> tuple[do.Command, ...]:
    match button:
        case 1 if session.take_up is not None:
            return (do.PutCross(),)
        case 1:
            return (do.TickAsCut(),)
        case 2:
            return (do.Select(following(session, table_map)),)
        case 3 | 4:
            return (do.Turn(math.radians(5.0 if button == 3 else -5.0)),)
        case 5 | 6:
            return (slide(session, table_map, button == 6),)
        case 7:
            return (do.Light("dark"),)
        case 8:
            return (do.Light("work light"),)
        case 9:
            return (do.Undo(),)
    return ()


def _pressed_fine(button: int) -> tuple[do.Command, ...]:
    """What the buttons mean while the one for fine steps is held."""
    meant: dict[int, do.Command] = {
        1: do.TakeUpCloth(),
        2: do.Tidy(),
        3: do.Turn(math.radians(1.0)),
        4: do.Turn(math.radians(-1.0)),
        7: do.Magnify(),
        8: do.SeamOnly(),
        9: do.Redo(),
    }
    return (meant[button],) if button in meant else ()


def steered(handset: Handset, session: Session, elapsed: float) -> tuple[do.Command, ...]:
    """What the sticks command after `elapsed` seconds; the cross of a take-up goes by them too."""
    right, near, turn = (_pushed(place) for place in handset.sticks[:3])
    part = min(elapsed, 0.1) * (0.1 if handset.fine else 1.0)
    step = (right * SPEED * part, -near * SPEED * part)
    commands: list[do.Command] = []
    take_up = session.take_up
    if right or near:
        if take_up is not None and take_up.at is not None:
            way = Motion(session.text_turn * math.pi / 2)(Point(*step))
            return (do.AimCross(take_up.at + way),)
        if session.selection is None:
            return (do.Tell("Button 2 of the handset chooses a piece"),)
        commands.append(do.Move(*nudge(session, *step), session.layout is handset.begun))
    if turn:
        fresh = session.layout is handset.begun and not commands
        commands.append(do.Turn(-turn * TURN_SPEED * part, fresh))
    return tuple(commands)


def _pushed(place: float) -> float:
    """How far a stick is pushed beyond its rest, gently at first."""
    beyond = max(0.0, abs(place) - REST) / (1.0 - REST)
    return math.copysign(beyond * beyond, place) if beyond else 0.0
