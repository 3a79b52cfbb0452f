"""What is on the table while a job is lit: the lay, what is selected, and every earlier state."""

from __future__ import annotations

from dataclasses import dataclass, field

from drafting.plane import Motion
from projector.cloth.layout import Layout
from projector.job import Job

__all__ = ["LAYERS", "Kept", "Session"]

LAYERS = ("cutting line", "seam line", "grain", "fold", "notches", "labels")
"""What is lit at first; "100 mm squares" can be lit too, to hold a tape against."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What undo brings back: the lay, and the job it came from."""

    layout: Layout
    job: Job | None = None


@dataclass(frozen=True, slots=True)
class Session:
    """A job under the light.

    Parameters
    ----------
    layout
        Where the pieces lie.
    table_from_cloth
        Where the cloth lies on the table; sliding it by a section moves the window along it.
    selection
        Index of the selected placement, None for none.
    layers
        Which layers are lit.
    job
        The job whose pieces these are, where it is worked on too (the desk changes its style).
    past, future
        Earlier and undone states, latest last.
    """

    layout: Layout
    table_from_cloth: Motion = field(default_factory=Motion)
    selection: int | None = None
    layers: frozenset[str] = frozenset(LAYERS)
    blackout: bool = False
    job: Job | None = None
    past: tuple[Kept, ...] = ()
    future: tuple[Kept, ...] = ()
