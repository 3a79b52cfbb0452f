"""What the worker can do under the light, as values; applying one gives a new session."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from drafting.plane import Motion, Point
from projector.cloth.layout import Layout, Placement, piece_of
from projector.cloth.shapes import AS_DRAWN, lies_on_fold, placed_shape
from projector.job import Job
from projector.stage.session import Kept, Session

__all__ = [
    "Blackout",
    "CloseWindow",
    "Command",
    "Layer",
    "Lock",
    "Mirror",
    "Move",
    "Open",
    "Quit",
    "Redo",
    "Replace",
    "Select",
    "SlideCloth",
    "SnapToGrain",
    "TickAsCut",
    "Turn",
    "Undo",
    "apply",
]


@dataclass(frozen=True, slots=True)
class Select:
    """Select a placement by its index, or none."""

    index: int | None


@dataclass(frozen=True, slots=True)
class Move:
    """Move the selected piece, mm in the cloth frame. A piece on the fold slides along it.

    A move that is not `fresh` goes on with the drag before it, so that one undo takes it back.
    """

    dx: float
    dy: float
    fresh: bool = True


@dataclass(frozen=True, slots=True)
class Turn:
    """Turn the selected piece about its middle, radians. A piece on the fold stays as it is."""

    angle: float


@dataclass(frozen=True, slots=True)
class Mirror:
    """Mirror the selected piece across its grain."""


@dataclass(frozen=True, slots=True)
class SnapToGrain:
    """Turn the selected piece to the nearest direction along the grain of the cloth."""


@dataclass(frozen=True, slots=True)
class Lock:
    """Lock or release the selected piece."""


@dataclass(frozen=True, slots=True)
class TickAsCut:
    """Tick the selected piece as cut, or take the tick away."""


@dataclass(frozen=True, slots=True)
class SlideCloth:
    """Move the light's window along the cloth by so many mm."""

    along: float


@dataclass(frozen=True, slots=True)
class Layer:
    """Light a layer or leave it dark."""

    name: str


@dataclass(frozen=True, slots=True)
class Blackout:
    """Put all light out, or on again."""


@dataclass(frozen=True, slots=True)
class Undo:
    """Take back the latest change of the lay."""


@dataclass(frozen=True, slots=True)
class Redo:
    """Do again what was taken back."""


@dataclass(frozen=True, slots=True)
class Replace:
    """Put another lay, and where it comes from another draft the job too, in place of this one.

    One that is not `fresh` goes on with the change before it (a slider that is still held), so
    that one undo takes all of it back.
    """

    layout: Layout
    job: Job | None = None
    fresh: bool = True


@dataclass(frozen=True, slots=True)
class Open:
    """Go on with another session: another job, or another cloth of it. Cannot be undone."""

    session: Session


@dataclass(frozen=True, slots=True)
class CloseWindow:
    """Close the window that gives the command. Meant for the loop; changes no session."""


@dataclass(frozen=True, slots=True)
class Quit:
    """End the program. Meant for the loop; changes no session."""


Command = (
    Select
    | Move
    | Turn
    | Mirror
    | SnapToGrain
    | Lock
    | TickAsCut
    | SlideCloth
    | Layer
    | Blackout
    | Undo
    | Redo
    | Replace
    | Open
    | CloseWindow
    | Quit
)


def apply(session: Session, command: Command) -> Session:
    """The session after the command; the same session where it changes nothing."""
    match command:
        case Select(index):
            known = index is None or 0 <= index < len(session.layout.placements)
            return replace(session, selection=index) if known else session
        case SlideCloth(along):
            slide = Motion(0.0, -along, 0.0)
            return replace(session, table_from_cloth=session.table_from_cloth @ slide)
        case Layer(name):
            return replace(session, layers=session.layers ^ {name})
        case Blackout():
            return replace(session, blackout=not session.blackout)
        case Undo():
            return _undone(session)
        case Redo():
            return _redone(session)
        case Replace(layout, job, fresh):
            return _replaced(session, layout, job, fresh)
        case Open(other):
            return other
        case CloseWindow() | Quit():
            return session
        case _:
            return _changed(session, command)


def _undone(session: Session) -> Session:
    if not session.past:
        return session
    back, now = session.past[-1], Kept(session.layout, session.job)
    return _fitting(
        replace(
            session,
            layout=back.layout,
            job=back.job,
            past=session.past[:-1],
            future=(*session.future, now),
        )
    )


def _redone(session: Session) -> Session:
    if not session.future:
        return session
    again, now = session.future[-1], Kept(session.layout, session.job)
    return _fitting(
        replace(
            session,
            layout=again.layout,
            job=again.job,
            past=(*session.past, now),
            future=session.future[:-1],
        )
    )


def _replaced(session: Session, layout: Layout, job: Job | None, fresh: bool) -> Session:
    past = session.past
    if fresh or not past:
        past = (*past, Kept(session.layout, session.job))
    job = session.job if job is None else job
    return _fitting(replace(session, layout=layout, job=job, past=past, future=()))


def _fitting(session: Session) -> Session:
    """The session without a selection that its lay does not have."""
    if session.selection is not None and session.selection >= len(session.layout.placements):
        return replace(session, selection=None)
    return session


def _changed(session: Session, command: Command) -> Session:
    if session.selection is None or session.selection >= len(session.layout.placements):
        return session
    before = session.layout.placements[session.selection]
    after = _placed(session, before, command)
    if after == before:
        return session
    placements = list(session.layout.placements)
    placements[session.selection] = after
    layout = replace(session.layout, placements=tuple(placements))
    fresh = not isinstance(command, Move) or command.fresh
    return _replaced(session, layout, None, fresh)


def _placed(session: Session, placement: Placement, command: Command) -> Placement:
    match command:
        case Lock():
            return replace(placement, locked=not placement.locked)
        case TickAsCut():
            return replace(placement, cut=not placement.cut)
    if placement.locked or placement.cut:
        return placement
    motion = placement.cloth_from_piece
    held = lies_on_fold(piece_of(session.layout, placement), session.layout.cloth)
    middle = placed_shape(session.layout, placement).centroid
    about = Point(middle.x, middle.y)
    match command:
        case Move(dx, dy):
            motion = replace(motion, dx=motion.dx + dx, dy=motion.dy + (0.0 if held else dy))
        case Turn(angle) if not held:
            motion = _turned_about(motion, angle, about)
        case SnapToGrain() if not held:
            off = (motion.angle - AS_DRAWN) % math.pi
            back = -off if off <= math.pi / 2 else math.pi - off
            motion = _turned_about(motion, back, about)
        case Mirror() if held:
            # Turned end for end, so that the fold edge stays on the fold.
            flipped = Motion(0.0, 2 * about.x, 0.0, True)
            motion = flipped @ motion
        case Mirror():
            motion = Motion(math.pi, 0.0, 2 * about.y, True) @ motion
    return replace(placement, cloth_from_piece=motion)


def _turned_about(motion: Motion, angle: float, about: Point) -> Motion:
    turn = Motion(angle)
    shift = about - turn(about)
    return Motion(angle, shift.x, shift.y) @ motion
