"""What undo and redo bring back: every change of the lay, of the job, of where the cloth lies."""

from __future__ import annotations

from dataclasses import replace

from drafting.plane import Motion
from projector.cloth.layout import Layout
from projector.job import Job
from projector.stage.session import Kept, Session

__all__ = ["redone", "replaced", "switched", "undone"]


def undone(session: Session) -> Session:
    """The session before its latest change; the same one where nothing has changed."""
    if not session.past:
        return session
    back = session.past[-1]
    now = _other_side(session, back)
    past, future = session.past[:-1], (*session.future, now)
    by = None if back.taken_up is None else back.taken_up.inverse
    return _brought_back(replace(session, past=past, future=future), back, by, undone=True)


def redone(session: Session) -> Session:
    """The session with what was taken back last; the same one where nothing was."""
    if not session.future:
        return session
    again = session.future[-1]
    now = _other_side(session, again)
    past, future = (*session.past, now), session.future[:-1]
    return _brought_back(
        replace(session, past=past, future=future), again, again.taken_up, undone=False
    )


def _brought_back(session: Session, kept: Kept, by: Motion | None, undone: bool) -> Session:
    if by is not None:
        place = by @ session.table_from_cloth
        said = "The cloth lies as before the take-up" if undone else "The cloth is taken up again"
        session = replace(session, table_from_cloth=place, take_up=None, said=said)
    if kept.place is not None:
        session = replace(session, table_from_cloth=kept.place, marks=(), take_up=None, said="")
    return _fitting(replace(session, layout=kept.layout, job=kept.job))


def _other_side(session: Session, kept: Kept) -> Kept:
    """The state now, to come back to from `kept`."""
    place = None if kept.place is None else session.table_from_cloth
    return Kept(session.layout, session.job, kept.taken_up, place)


def switched(session: Session, layout: Layout, job: Job | None, by: Motion) -> Session:
    """Another cloth in place of this one, and the light on it."""
    left = Kept(session.layout, session.job, place=session.table_from_cloth)
    after = replaced(session, layout, job, True)
    return replace(
        after,
        table_from_cloth=session.table_from_cloth @ by,
        marks=(),
        take_up=None,
        past=(*session.past, left),
    )


def replaced(session: Session, layout: Layout, job: Job | None, fresh: bool) -> Session:
    """The session with another lay; one that is not `fresh` goes on with the change before it."""
    past = session.past
    if fresh or not past:
        past = (*past, Kept(session.layout, session.job))
    job = session.job if job is None else job
    return _fitting(replace(session, layout=layout, job=job, past=past, future=()))


def _fitting(session: Session) -> Session:
    """The session without a selection that its lay does not have."""
    if session.selection is not None and session.selection >= len(session.layout.placements):
        return replace(session, selection=None, magnified=None)
    return session
