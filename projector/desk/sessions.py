"""From a job to the session it is worked on in, and back."""

from __future__ import annotations

from calibration.errors import CalibrationError
from drafting.errors import DraftingError
from drafting.plane import Motion
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout
from projector.errors import ProjectorError
from projector.job import Job, Lay, drafted_layout, with_layout
from projector.stage.session import Session

__all__ = ["FAULTS", "empty_session", "job_now", "session_of"]

FAULTS = (DraftingError, CalibrationError, ProjectorError)


def empty_session() -> Session:
    """A session with nothing in it, as the desk begins without a job."""
    return Session(Layout(Cloth(), ()))


def job_now(session: Session, lies: Motion | None = None) -> Job | None:
    """The job as the session has it, its lay included, and where its cloth lies."""
    job = session.job
    if job is None or not session.layout.pieces:
        return job
    before = next((lay for lay in job.lays if lay.cloth == session.layout.cloth.name), Lay(""))
    after = with_layout(job, session.layout, lies)
    lay = after.lays[-1]
    same = before.placements == lay.placements and before.lies == lay.lies
    return job if same else after


def session_of(job: Job) -> tuple[Session, str]:
    """A session on the job's first cloth, and what is wrong with the job, if anything."""
    blank = Layout(job.cloths[0], ())
    try:
        layout, wrong = drafted_layout(job, blank), ""
    except FAULTS as error:
        layout, wrong = blank, str(error)
    return Session(layout, job=job), wrong
