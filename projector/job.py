"""A job: who it is for, the style, the cloths, pieces from elsewhere, lays and notes."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from typing import Literal

from drafting.bodice import Block
from drafting.body import Body
from drafting.draft import Draft, draft
from drafting.errors import DraftingError
from drafting.piece import Piece
from drafting.plane import Motion
from drafting.style import Style
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, Placement, piece_key
from projector.cloth.shrinkage import allowed_for
from projector.errors import ProjectorError

__all__ = [
    "MOST_COPIES",
    "Job",
    "Lay",
    "Wearer",
    "cloth_lies",
    "cloth_named",
    "drafted",
    "drafted_layout",
    "layout_of",
    "pieces_of",
    "wearer_named",
    "with_colour",
    "with_layout",
    "with_pieces",
]


MOST_COPIES = 2_000
"""Garments, and pieces from elsewhere with their copies, of one job."""
LONGEST_NAME, LONGEST_NOTES = 300, 50_000
"""Characters; the job sheet takes a second or two for notes of some twenty pages."""
MOST_SEGMENTS = 5_000
"""Of one piece from elsewhere; a finely flattened one has some 500."""


@dataclass(frozen=True, slots=True)
class Wearer:
    """Somebody the style is made for. `name` is the size on her pieces; `garments` how many.

    `block` is traced from a card block of her own; without one it is drafted from the body.
    """

    name: str
    body: Body
    garments: int = 1
    block: Block | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ProjectorError("a wearer needs a name; it is written on her pieces")
        if self.garments < 1:
            raise ProjectorError(f"wearer {self.name!r}: {self.garments} garments is none")


@dataclass(frozen=True, slots=True)
class Lay:
    """Where pieces lie on one of the job's cloths.

    `lies` is where the cloth lay under the light when work stopped, against where it lies at
    first: a cloth slid by 800 mm, straight, has `Motion(0, -800, 0)`; a twist is its angle.
    """

    cloth: str
    placements: tuple[Placement, ...] = ()
    lies: Motion = field(default_factory=Motion)


@dataclass(frozen=True, slots=True)
class Job:
    """Everything that is kept about one cutting job.

    Parameters
    ----------
    name
        What the worker calls it.
    wearers
        With unique names; the style is drafted afresh for each of them.
    style
        What is made for all of them.
    cloths
        At least one, with unique names. Pieces name the cloth they are cut from.
    pieces
        Pieces that were read from elsewhere.
    lays
        At most one a cloth.
    notes
        Free text, kept as written.
    units
        In which the worker writes her measurements.
    """

    name: str
    wearers: tuple[Wearer, ...] = ()
    style: Style = field(default_factory=Style)
    cloths: tuple[Cloth, ...] = (Cloth(),)
    pieces: tuple[Piece, ...] = ()
    lays: tuple[Lay, ...] = ()
    notes: str = ""
    units: Literal["cm", "in"] = "cm"

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ProjectorError("a job needs a name")
        if not self.cloths:
            raise ProjectorError(f"job {self.name!r}: it has no cloth to cut from")
        names = [each.name for part in (self.wearers, self.cloths, self.pieces) for each in part]
        longest = max(map(len, (self.name, *names)))
        if longest > LONGEST_NAME or len(self.notes) > LONGEST_NOTES:
            raise ProjectorError(
                f"job {self.name[:40]!r}: a name of {longest} characters, notes of "
                f"{len(self.notes)}; wanted at most {LONGEST_NAME} and {LONGEST_NOTES}"
            )
        copies = sum(each.garments for each in self.wearers) + sum(p.count for p in self.pieces)
        if copies > MOST_COPIES:
            raise ProjectorError(
                f"job {self.name!r}: {copies} garments and pieces from elsewhere are more than "
                f"{MOST_COPIES}; divide the job"
            )
        for piece in self.pieces:
            segments = sum(len(edge.segments) for edge in piece.edges)
            if segments > MOST_SEGMENTS:
                raise ProjectorError(
                    f"piece {piece.name!r}: {segments} lines and curves round it are more than "
                    f"{MOST_SEGMENTS}; simplify it in the program it comes from"
                )
        for what, names in (
            ("wearers are", [wearer.name for wearer in self.wearers]),
            ("cloths are", [cloth.name for cloth in self.cloths]),
            ("lays are on cloth", [lay.cloth for lay in self.lays]),
            ("cloths cut pieces", [name for cloth in self.cloths for name in cloth.pieces]),
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


def wearer_named(job: Job, name: str | None) -> Wearer:
    """The wearer with this name, the first without one. Raises `ProjectorError` without her."""
    for wearer in job.wearers:
        if name in (None, wearer.name):
            return wearer
    names = ", ".join(wearer.name for wearer in job.wearers) or "nobody yet"
    wanted = "no wearer" if name is None else f"no wearer {name!r}"
    raise ProjectorError(f"job {job.name!r} has {wanted}; wearers of the job are {names}")


def drafted(job: Job) -> tuple[Draft, ...]:
    """The style drafted for each wearer. Raises `DraftingError`, naming her, where it cannot be."""
    drafts = []
    for wearer in job.wearers:
        try:
            drafts.append(draft(wearer.body, job.style, wearer.name, wearer.block))
        except DraftingError as error:
            raise DraftingError(f"{wearer.name}: {error}") from error
    return tuple(drafts)


def pieces_of(job: Job) -> tuple[Piece, ...]:
    """Every piece to be cut: those drafted for each wearer, then those from elsewhere.

    A piece is cut from the cloth that names it, else from the cloth it names itself. A drafted
    piece whose cloth the job does not have is cut from the job's first cloth.
    """
    made = tuple(
        replace(piece, count=piece.count * wearer.garments)
        for wearer, made in zip(job.wearers, drafted(job), strict=True)
        for piece in made.pieces
    )
    names = {cloth.name for cloth in job.cloths}
    first = job.cloths[0].name
    chosen = {piece: cloth.name for cloth in job.cloths for piece in cloth.pieces}

    def on_cloth(piece: Piece, usual: str) -> Piece:
        name = chosen.get(piece.name, usual)
        return piece if name == piece.cloth else replace(piece, cloth=name)

    return (
        *(on_cloth(piece, piece.cloth if piece.cloth in names else first) for piece in made),
        *(on_cloth(piece, piece.cloth) for piece in job.pieces),
    )


def with_pieces(job: Job, pieces: tuple[Piece, ...]) -> Job:
    """The job with these pieces from elsewhere, too.

    Raises `ProjectorError` when one has the name and size of another, a drafted one among them.
    """
    try:
        known = pieces_of(job)
    except DraftingError:  # told where she drafts; a piece from elsewhere is kept all the same
        known = job.pieces
    names = Counter(piece_key(piece) for piece in (*known, *pieces))
    for piece in pieces:
        if names[piece_key(piece)] > 1:
            raise ProjectorError(
                f"the job has a piece {piece_key(piece)!r} already; give another name"
            )
    return replace(job, pieces=(*job.pieces, *pieces))


def layout_of(job: Job, pieces: tuple[Piece, ...], cloth: str | None = None) -> Layout:
    """The layout of one cloth (the first when not named) with those of `pieces` cut from it.

    The pieces are enlarged for what the cloth has still to shrink. Raises `ProjectorError`
    when the lay places a piece that is not among them.
    """
    chosen = cloth_named(job, cloth) if cloth is not None else job.cloths[0]
    placements = next((lay.placements for lay in job.lays if lay.cloth == chosen.name), ())
    return Layout(chosen, _cut_from(chosen, pieces), placements)


def _cut_from(cloth: Cloth, pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """Those of the pieces that are cut from a cloth, enlarged for what it has still to shrink."""
    return tuple(allowed_for(piece, cloth) for piece in pieces if piece.cloth == cloth.name)


def drafted_layout(job: Job, layout: Layout) -> Layout:
    """A layout of the job before it was changed, with the pieces as they are drafted now.

    Placements of pieces that are no longer made are left out. Raises `DraftingError` as
    `drafted` does.
    """
    cloth = next((c for c in job.cloths if c.name == layout.cloth.name), job.cloths[0])
    pieces = _cut_from(cloth, pieces_of(job))
    names = {piece_key(piece) for piece in pieces}
    # A layout without pieces came of a draft that failed; the job still has its lay.
    lays = [lay.placements for lay in job.lays if lay.cloth == cloth.name]
    placements = layout.placements if layout.pieces or not lays else lays[0]
    kept = tuple(placed for placed in placements if placed.piece in names)
    return Layout(cloth, pieces, kept)


def cloth_lies(job: Job, cloth: str) -> Motion:
    """Where a cloth lies under the light, against where it lies at first; there when unknown."""
    return next((lay.lies for lay in job.lays if lay.cloth == cloth), Motion())


def with_layout(job: Job, layout: Layout, lies: Motion | None = None) -> Job:
    """The job with this layout's placements kept for its cloth.

    `lies`, where the cloth lies under the light, stays as it was when it is not given. The colour
    of the cloth, which can be chosen under the light too, is the layout's.
    """
    if lies is None:
        lies = cloth_lies(job, layout.cloth.name)
    kept = tuple(lay for lay in job.lays if lay.cloth != layout.cloth.name)
    job = with_colour(job, layout.cloth.name, layout.cloth.colour)
    return replace(job, lays=(*kept, Lay(layout.cloth.name, layout.placements, lies)))


def with_colour(job: Job, cloth: str, colour: str) -> Job:
    """The job with this colour for one of its cloths; the same job where it has it already."""
    cloths = tuple(replace(own, colour=colour) if own.name == cloth else own for own in job.cloths)
    return job if cloths == job.cloths else replace(job, cloths=cloths)
