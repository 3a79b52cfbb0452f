"""A job: who it is for, the style, the cloths, pieces from elsewhere, lays and notes."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from drafting.piece import Piece
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, Placement
from projector.errors import ProjectorError

__all__ = ["Job", "Lay", "cloth_named", "layout_of", "with_layout"]


@dataclass(frozen=True, slots=True)
class Lay:
    """Where pieces lie on one of the job's cloths."""

    cloth: str
    placements: tuple[Placement, ...] = ()


@dataclass(frozen=True, slots=True)
class Job:
    """Everything that is kept about one cutting job.

    Parameters
    ----------
    name
        What the worker calls it.
    cloths
        At least one, with unique names. Pieces name the cloth they are cut from.
    pieces
        Pieces that were read from elsewhere; drafted pieces are drafted afresh each time.
    lays
        At most one a cloth.
    notes
        Free text, kept as written.
    """

    name: str
    cloths: tuple[Cloth, ...] = (Cloth(),)
    pieces: tuple[Piece, ...] = ()
    lays: tuple[Lay, ...] = ()
    notes: str = ""

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ProjectorError("a job needs a name")
        if not self.cloths:
            raise ProjectorError(f"job {self.name!r}: it has no cloth to cut from")
        for what, names in (
            ("cloths are", [cloth.name for cloth in self.cloths]),
            ("lays are on cloth", [lay.cloth for lay in self.lays]),
        ):
            doubled = [name for name, times in Counter(names).items() if times > 1]
            if doubled:
                raise ProjectorError(f"job {self.name!r}: two {what} called {doubled[0]!r}")


def cloth_named(job: Job, name: str) -> Cloth:
    """The cloth with this name. Raises `ProjectorError` when the job has none."""
    for cloth in job.cloths:
        if cloth.name == name:
            return cloth
    names = ", ".join(cloth.name for cloth in job.cloths)
    raise ProjectorError(f"job {job.name!r} has no cloth {name!r}; its cloths are {names}")


def layout_of(job: Job, pieces: tuple[Piece, ...], cloth: str | None = None) -> Layout:
    """The layout of one cloth (the first when not named) with those of `pieces` cut from it.

    Raises `ProjectorError` when the lay places a piece that is not among them.
    """
    chosen = cloth_named(job, cloth) if cloth is not None else job.cloths[0]
    placements = next((lay.placements for lay in job.lays if lay.cloth == chosen.name), ())
    return Layout(chosen, tuple(p for p in pieces if p.cloth == chosen.name), placements)


def with_layout(job: Job, layout: Layout) -> Job:
    """The job with this layout's placements kept for its cloth."""
    kept = tuple(lay for lay in job.lays if lay.cloth != layout.cloth.name)
    return replace(job, lays=(*kept, Lay(layout.cloth.name, layout.placements)))
