"""Who a job is for, changed: another wearer, one fewer, another name, more garments."""

from __future__ import annotations

from dataclasses import replace

from drafting.survey import estimated_body
from projector.cloth.layout import Layout, piece_key
from projector.errors import ProjectorError
from projector.job import Job, Wearer, drafted_layout

__all__ = ["added_wearer", "removed_wearer", "renamed_wearer", "with_garments"]

BEGINNING = {"bust": 920.0, "waist": 760.0, "hip": 1000.0, "height": 1650.0}
"""What a new wearer's measurements begin with, mm; every one of them is to be typed over."""


def added_wearer(job: Job) -> Job:
    """The job with another wearer under a name that is free."""
    taken = {wearer.name for wearer in job.wearers}
    name, number = "new", 2
    while name in taken:
        name, number = f"new {number}", number + 1
    return replace(job, wearers=(*job.wearers, Wearer(name, estimated_body(BEGINNING))))


def removed_wearer(job: Job, index: int) -> Job:
    """The job without one of its wearers."""
    return replace(job, wearers=job.wearers[:index] + job.wearers[index + 1 :])


def with_garments(job: Job, index: int, garments: int) -> Job:
    """The job with so many garments for a wearer, at least one."""
    wearer = replace(job.wearers[index], garments=max(1, min(1000, garments)))
    return replace(job, wearers=(*job.wearers[:index], wearer, *job.wearers[index + 1 :]))


def renamed_wearer(job: Job, layout: Layout, index: int, name: str) -> tuple[Job, Layout]:
    """The job and its layout with another name for a wearer; her pieces stay where they lie.

    Raises `ProjectorError` where the name is empty or taken.
    """
    old, name = job.wearers[index], name.strip()
    if name != old.name and any(wearer.name == name for wearer in job.wearers):
        raise ProjectorError(f"there is a wearer {name!r} already; take another name")
    if not name:
        raise ProjectorError("a wearer needs a name; it is written on her pieces")
    ways = {
        piece_key(piece): piece_key(replace(piece, size=name))
        for piece in layout.pieces
        if piece.size == old.name
    }
    placements = tuple(
        replace(placed, piece=ways.get(placed.piece, placed.piece)) for placed in layout.placements
    )
    lays = tuple(
        replace(
            lay,
            placements=tuple(replace(p, piece=ways.get(p.piece, p.piece)) for p in lay.placements),
        )
        for lay in job.lays
    )
    wearers = (*job.wearers[:index], replace(old, name=name), *job.wearers[index + 1 :])
    job = replace(job, wearers=wearers, lays=lays)
    bare = drafted_layout(replace(job, lays=()), replace(layout, placements=()))
    return job, replace(bare, placements=placements)
