"""The cloths of a job, changed: another one, one fewer, another name, flaws, which pieces."""

from __future__ import annotations

from dataclasses import replace

from projector.cloth.cloth import Cloth, lay_width
from projector.cloth.layout import Layout, piece_key
from projector.errors import ProjectorError
from projector.job import Job, cloth_named, drafted_layout, pieces_of

__all__ = [
    "added_cloth", "removed_cloth", "renamed_cloth", "with_flaw", "with_piece_on", "without_flaw",
]  # fmt: skip


def added_cloth(job: Job) -> Job:
    """The job with another cloth under a name that is free."""
    taken = {cloth.name for cloth in job.cloths}
    number = len(job.cloths) + 1
    while (name := f"cloth {number}") in taken:
        number += 1
    return replace(job, cloths=(*job.cloths, Cloth(name)))


def removed_cloth(job: Job, name: str) -> Job:
    """The job without a cloth and its lay; its pieces are cut from the first one that is left.

    Raises `ProjectorError` for the only cloth there is.
    """
    cloths = tuple(cloth for cloth in job.cloths if cloth.name != name)
    if not cloths:
        raise ProjectorError(f"{name} is the only cloth of the job; add another one first")
    pieces = tuple(
        replace(piece, cloth=cloths[0].name) if piece.cloth == name else piece
        for piece in job.pieces
    )
    lays = tuple(lay for lay in job.lays if lay.cloth != name)
    return replace(job, cloths=cloths, pieces=pieces, lays=lays)


def renamed_cloth(job: Job, layout: Layout, name: str) -> tuple[Job, Layout]:
    """The job and its layout with another name for the layout's cloth; every piece stays on it.

    Raises `ProjectorError` where the name is empty or taken.
    """
    old, name = layout.cloth.name, name.strip()
    if not name:
        raise ProjectorError("a cloth needs a name; pieces are cut from it by that name")
    if name != old and any(cloth.name == name for cloth in job.cloths):
        raise ProjectorError(f"there is a cloth {name!r} already; take another name")
    known = cloth_named(job, old)
    # What is drafted names no cloth of the job, so that a name could draw it onto another one.
    meant = {piece.name: piece.cloth for piece in pieces_of(job)}
    renamed = replace(known, name=name)
    after = replace(
        job,
        cloths=tuple(renamed if cloth is known else cloth for cloth in job.cloths),
        pieces=tuple(
            replace(piece, cloth=name) if piece.cloth == old else piece for piece in job.pieces
        ),
        lays=tuple(replace(lay, cloth=name) if lay.cloth == old else lay for lay in job.lays),
    )
    for piece in pieces_of(after):
        cloth = name if meant[piece.name] == old else meant[piece.name]
        if piece.cloth != cloth:
            after = _cut_from(after, piece.name, cloth)
    bare = drafted_layout(replace(after, lays=()), Layout(cloth_named(after, name), ()))
    return after, replace(bare, placements=layout.placements)


def with_piece_on(job: Job, piece: str, cloth: str) -> Job:
    """The job with a piece, in every size, cut from this cloth; it lies nowhere else any more."""
    keys = {
        piece_key(each) for each in pieces_of(job) if each.name == piece and each.cloth != cloth
    }
    lays = tuple(
        replace(lay, placements=tuple(p for p in lay.placements if p.piece not in keys))
        for lay in job.lays
    )
    return _cut_from(replace(job, lays=lays), piece, cloth)


def _cut_from(job: Job, piece: str, cloth: str) -> Job:
    cloths = []
    for known in job.cloths:
        named = tuple(name for name in known.pieces if name != piece)
        cloths.append(replace(known, pieces=(*named, piece) if known.name == cloth else named))
    return replace(job, cloths=tuple(cloths))


def with_flaw(job: Job, cloth: str, left: float, low: float, length: float, width: float) -> Job:
    """The job with a rectangle to keep clear of, mm in the cloth frame, cut to the cloth.

    Raises `ProjectorError` where it does not lie on the cloth.
    """
    known = cloth_named(job, cloth)
    right, high = left + length, min(low + width, lay_width(known))
    left, low = max(left, 0.0), max(low, 0.0)
    if known.length is not None:
        right = min(right, known.length)
    if right - left < 1.0 or high - low < 1.0:
        raise ProjectorError("that flaw does not lie on the cloth, or is smaller than 1 mm")
    corners = tuple(
        (round(x, 1), round(y, 1))
        for x, y in ((left, low), (right, low), (right, high), (left, high))
    )
    return _with(job, known, flaws=(*known.flaws, corners))


def without_flaw(job: Job, cloth: str, index: int) -> Job:
    """The job without one of the cloth's flaws."""
    known = cloth_named(job, cloth)
    return _with(job, known, flaws=known.flaws[:index] + known.flaws[index + 1 :])


def _with(job: Job, known: Cloth, flaws: tuple[tuple[tuple[float, float], ...], ...]) -> Job:
    changed = replace(known, flaws=flaws)
    return replace(job, cloths=tuple(changed if c is known else c for c in job.cloths))
