"""Applying a command to a session: pure, each case in a line or two."""

from __future__ import annotations

import math
from dataclasses import replace

from drafting.piece import notches_of
from drafting.plane import Motion, Point
from projector.cloth.clearance import overlaps
from projector.cloth.cloth import COLOURS
from projector.cloth.layout import Placement, piece_of
from projector.cloth.tidying import tidied
from projector.errors import ProjectorError
from projector.job import with_colour
from projector.stage import commands as do
from projector.stage import moves
from projector.stage.history import redone, replaced, switched, undone
from projector.stage.sections import LARGE_LEFTOVER, taken_up
from projector.stage.session import EVERY_LAYER, Kept, Ruler, Session, TakeUp
from projector.stage.tape_check import read_tape, verdict_of

__all__ = ["apply"]


def apply(session: Session, command: do.Command) -> Session:
    """The session after the command; the same session where it changes nothing."""
    match command:
        case do.Undo():
            return undone(session)
        case do.Redo():
            return redone(session)
        case do.Replace(layout, job, fresh, None):
            return replaced(session, layout, job, fresh)
        case do.Replace(layout, job, _, by) if by is not None:
            return switched(session, layout, job, by)
        case do.Open(other):
            return other
        case do.CloseWindow() | do.Quit():
            return session
        case do.SlideCloth() | do.TakeUpCloth() | do.AimCross() | do.PutCross():
            return _slid(session, command)
        case do.MoveRuler() | do.TypeTape() | do.ReadTape() | do.AcceptCalibration():
            return _checked(session, command)
        case do.Tidy():
            return _tidied(session)
        case (
            do.Move()
            | do.Put()
            | do.Turn()
            | do.Mirror()
            | do.SnapToGrain()
            | do.SnapToFold()
            | do.Lock()
            | do.TickAsCut()
        ):
            return _changed(session, command)
        case _:
            return _seen(session, command)


def _seen(session: Session, command: do.Command) -> Session:
    """What changes only what is seen."""
    match command:
        case do.Select(index):
            known = index is None or 0 <= index < len(session.layout.placements)
            same = not known or index == session.selection
            return session if same else replace(session, selection=index, magnified=None)
        case do.Snapping():
            said = "Pieces lie where they are put" if session.snapping else "Pieces snap"
            return replace(session, snapping=not session.snapping, said=said)
        case do.Help():
            return replace(session, layers=_next_help(session.layers))
        case do.Layer(name) if name in EVERY_LAYER:
            return replace(session, layers=session.layers ^ {name})
        case do.SeamOnly():
            lines = {"cutting line", "notches", "grain", "fold", "inner lines"}
            alone = not session.layers & lines and "seam line" in session.layers
            layers = session.layers | lines if alone else session.layers - lines
            return replace(session, layers=layers | {"seam line"})
        case do.Light(lamp):
            return replace(session, lamp="pieces" if session.lamp == lamp else lamp)
        case do.ClothColour():
            return _coloured(session)
        case do.TurnText():
            return replace(session, text_turn=(session.text_turn + 1) % 4)
        case do.Magnify():
            return replace(session, magnified=_next_notch(session))
        case do.BreakOff():
            return _broken_off(session)
        case do.Tell(words):
            return session if words == session.said else replace(session, said=words)
        case do.Trouble(words):
            return session if words == session.trouble else replace(session, trouble=words)
    return session


def _coloured(session: Session) -> Session:
    cloth, job = session.layout.cloth, session.job
    colour = COLOURS[(COLOURS.index(cloth.colour) + 1) % len(COLOURS)]
    layout = replace(session.layout, cloth=replace(cloth, colour=colour))
    if job is not None:
        job = with_colour(job, cloth.name, colour)
    session = replace(session, said=f"Lines for {colour} cloth")
    return replaced(session, layout, job, True)


def _next_help(layers: frozenset[str]) -> frozenset[str]:
    """The short card, then every key, then neither."""
    if "help" in layers:
        return layers - {"help"} | {"every key"}
    return layers - {"every key"} if "every key" in layers else layers | {"help"}


def _next_notch(session: Session) -> int | None:
    if session.selection is None:
        return None
    piece = piece_of(session.layout, session.layout.placements[session.selection])
    following = 0 if session.magnified is None else session.magnified + 1
    return following if following < len(notches_of(piece)) else None


def _broken_off(session: Session) -> Session:
    if session.take_up is not None:
        return replace(session, take_up=None, said="Take-up broken off")
    if session.ruler is not None:
        typed = bool(session.ruler.typed)
        return replace(session, ruler=replace(session.ruler, typed="") if typed else None)
    if session.layers & {"help", "every key"}:
        return replace(session, layers=session.layers - {"help", "every key"})
    if session.magnified is not None or session.said:
        return replace(session, magnified=None, said="")
    return session


def _slid(session: Session, command: do.Command) -> Session:
    take_up = session.take_up
    match command:
        case do.SlideCloth(along, marks, said):
            slide = Motion(0.0, -along, 0.0)
            return replace(
                session,
                table_from_cloth=session.table_from_cloth @ slide,
                marks=marks,
                take_up=None,
                said=said,
            )
        case do.TakeUpCloth() if take_up is not None:
            return replace(session, take_up=None, said="Take-up broken off")
        case do.TakeUpCloth() if len(session.marks) != 2:
            return replace(session, said="Nothing to take up: slide to another section first")
        case do.TakeUpCloth():
            first = session.table_from_cloth(session.marks[0])
            return replace(session, take_up=TakeUp((), first), said="Put cross 1 on its chalk mark")
        case do.AimCross(at) if take_up is not None:
            return replace(session, take_up=replace(take_up, at=at))
        case do.PutCross() if take_up is not None and take_up.at is not None:
            found = (*take_up.found, take_up.at)
            if len(found) < 2:
                second = session.table_from_cloth(session.marks[1])
                said = "Put cross 2 on its chalk mark"
                return replace(session, take_up=TakeUp(found, second), said=said)
            return _taken_up(session, found)
    return session


def _taken_up(session: Session, found: tuple[Point, ...]) -> Session:
    try:
        done = taken_up(session.table_from_cloth, session.marks, found)
    except ProjectorError as error:
        words = str(error)
        return replace(session, take_up=None, said=words[:1].upper() + words[1:])
    half = abs(done.leftover) / 2
    said = (
        f"Taken up: shift {done.shift:.1f} mm, twist {math.degrees(done.twist):+.2f} degrees, "
        f"{half:.1f} mm left at each mark"
    )
    if half > LARGE_LEFTOVER:
        said += ": the cloth is stretched or a mark is wrong; smooth it and press X again"
    by = done.table_from_cloth @ session.table_from_cloth.inverse
    return replace(
        session,
        table_from_cloth=done.table_from_cloth,
        take_up=None,
        said=said,
        past=(*session.past, Kept(session.layout, session.job, by)),
        future=(),
    )


def _checked(session: Session, command: do.Command) -> Session:
    match command:
        case do.MoveRuler(start, end):
            ruler = None if start is None or end is None or start == end else Ruler(start, end)
            return replace(session, ruler=ruler)
        case do.TypeTape(text) if session.ruler is not None:
            return replace(session, ruler=replace(session.ruler, typed=text[:12]))
        case do.ReadTape(error) if session.ruler is not None:
            try:
                reading = read_tape(session.ruler)
            except ProjectorError as problem:
                said = str(problem)
                return replace(session, ruler=replace(session.ruler, typed=""), said=said)
            said = verdict_of(reading, error).words
            ruler = replace(session.ruler, typed="")
            readings = (*session.readings, reading)
            return replace(session, ruler=ruler, readings=readings, said=said)
        case do.AcceptCalibration():
            return replace(session, wants_calibration=True)
    return session


def _changed(session: Session, command: do.Command) -> Session:
    if session.selection is None or session.selection >= len(session.layout.placements):
        return session
    before = session.layout.placements[session.selection]
    after = _placed(session, before, command)
    if after == before:
        words = _why_it_stays(session, before, command)
        return replace(session, said=words) if words and words != session.said else session
    placements = list(session.layout.placements)
    placements[session.selection] = after
    layout = replace(session.layout, placements=tuple(placements))
    goes_on = isinstance(command, do.Move | do.Put | do.Turn) and not command.fresh
    return replaced(replace(session, said=""), layout, None, not goes_on)


def _why_it_stays(session: Session, placement: Placement, command: do.Command) -> str:
    if placement.locked or placement.cut:
        return "Locked or cut, it stays where it is"
    turned = isinstance(command, do.Turn | do.SnapToGrain)
    if turned and moves.held_to_fold(session.layout, placement):
        return "On the fold it is not turned"
    return ""


def _tidied(session: Session) -> Session:
    index, layout = session.selection, session.layout
    if index is None:
        return replace(session, said="Choose the piece to tidy first")
    if layout.placements[index].locked or layout.placements[index].cut:
        return replace(session, said=_why_it_stays(session, layout.placements[index], do.Tidy()))
    after = tidied(layout, index)
    if after == layout:
        chosen = layout.placements[index]
        if any(chosen in pair for pair in overlaps(layout)):
            return replace(session, said="No room for this piece near by: move it away by hand")
        return replace(session, said="This piece lies as close as it can be slid from here")
    return replaced(replace(session, said=""), after, None, True)


def _placed(session: Session, placement: Placement, command: do.Command) -> Placement:
    match command:
        case do.Lock():
            return replace(placement, locked=not placement.locked)
        case do.TickAsCut():
            return replace(placement, cut=not placement.cut)
    if placement.locked or placement.cut or session.selection is None:
        return placement
    layout = session.layout
    motion = placement.cloth_from_piece
    match command:
        case do.Move(dx, dy):
            motion = moves.moved(layout, placement, dx, dy)
        case do.Put(there, _, snaps):
            motion = moves.put(layout, placement, there)
            if snaps and session.snapping:
                motion = moves.snapped(layout, session.selection, motion)
        case do.Turn(angle):
            motion = moves.turned(layout, placement, angle)
        case do.SnapToGrain():
            motion = moves.on_grain(layout, placement)
        case do.SnapToFold():
            motion = moves.on_fold(layout, placement)
        case do.Mirror():
            motion = moves.mirrored(layout, placement)
    return replace(placement, cloth_from_piece=motion)
