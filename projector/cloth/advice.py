"""What would save cloth: other widths, flat or folded, a seam, another style; from real lays.

Every line comes of a search of its own with the same seed and amount of work. A difference of
less than about 1 % is within what another seed would change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from drafting.piece import Piece
from projector.cloth.autolayout import arrange
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout
from projector.cloth.shrinkage import allowed_for
from projector.cloth.yardage import bought_length, efficiency, used_length
from projector.errors import ProjectorError

__all__ = [
    "JOIN",
    "SEAM",
    "WIDTHS",
    "Choice",
    "advised",
    "cheapest",
    "seamed_length",
    "with_centre_seam",
]

WIDTHS = (900.0, 1150.0, 1400.0, 1500.0, 1600.0)
"""Widths cloth is sold in, mm (from memory)."""
MOST_SEARCHED = 120
"""Pieces up to which it is searched what a centre seam would save."""
JOIN = "with a join across the sleeve"
SEAM = 10.0
"""Allowance of a seam that takes the place of a fold, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to cut the job.

    Parameters
    ----------
    what
        In words.
    length, bought
        What the lay takes and what is bought in the shop's steps, mm; None where the pieces
        found no place.
    cloth_area
        Cloth bought, m2: for comparing widths when cloth is priced by its area.
    used
        Part of the cloth that is pieces, 0 to 1.
    """

    what: str
    length: float | None
    bought: float | None
    cloth_area: float | None
    used: float | None


def advised(
    layout: Layout,
    redrafts: Mapping[str, Callable[[], tuple[Piece, ...]]] | None = None,
    widths: tuple[float, ...] = WIDTHS,
    seed: int = 0,
    budget: int = 6,
    step: float = 100.0,
) -> Iterator[Choice]:
    """The job as it is, then each other way to cut it, one after another as they are found.

    `redrafts` names other styles and drafts their pieces, not yet enlarged for shrinkage; the one
    called `JOIN` is tried on the widths as well that the pieces as they are do not fit.
    `step` is the shop's step of length, mm. Locked placements are not kept.
    """
    cloth, pieces = layout.cloth, layout.pieces
    yield _tried("as it is", cloth, pieces, seed, budget, step)
    narrow = []
    if cloth.outline is None:
        for width in widths:
            if width != cloth.width:
                other = replace(cloth, width=width)
                choice = _tried(f"{width / 10:g} cm wide", other, pieces, seed, budget, step)
                narrow += [other] if choice.length is None else []
                yield choice
        other = replace(cloth, folded=not cloth.folded)
        yield _tried(
            "laid " + ("flat" if cloth.folded else "folded"), other, pieces, seed, budget, step
        )
    if any(piece.fold_edge is not None for piece in pieces):
        seamed = tuple(with_centre_seam(piece) for piece in pieces)
        yield _tried("with a centre seam", cloth, seamed, seed, budget, step)
        backs = tuple(with_centre_seam(p) if p.name == "back" else p for p in pieces)
        if pieces != backs != seamed:
            yield _tried("with a seam in the back", cloth, backs, seed, budget, step)
    for what, redraft in (redrafts or {}).items():
        try:
            made = tuple(allowed_for(p, cloth) for p in redraft() if p.cloth == cloth.name)
        except ValueError:
            yield Choice(f"{what} (cannot be drafted)", None, None, None, None)
            continue
        yield _tried(what, cloth, made, seed, budget, step)
        for other in narrow if what == JOIN else ():
            name = f"{other.width / 10:g} cm wide, {JOIN}"
            yield _tried(name, other, made, seed, budget, step)


def cheapest(choices: Sequence[Choice]) -> Choice | None:
    """Of the widths tried for the pieces as they are, that which takes the least cloth by area.

    None when that is the width there is. What a metre costs at each width is not known here.
    """
    widths = [c for c in choices[1:] if c.what.endswith(" cm wide") and c.cloth_area is not None]
    least = min(widths, key=lambda choice: choice.cloth_area or 0.0, default=None)
    now = choices[0].cloth_area if choices else None
    if least is None or least.cloth_area is None or now is None or least.cloth_area >= now:
        return None
    return least


def _tried(
    what: str, cloth: Cloth, pieces: tuple[Piece, ...], seed: int, budget: int, step: float
) -> Choice:
    try:
        laid = arrange(Layout(replace(cloth, length=None), pieces), seed, budget, refined=False)
    except ProjectorError:
        return Choice(what, None, None, None, None)
    length = used_length(laid)
    bought = bought_length(length, step)
    return Choice(what, length, bought, bought * cloth.width / 1e6, efficiency(laid))


def seamed_length(layout: Layout, seed: int = 0, budget: int = 6) -> float | None:
    """What the lay would take with a centre seam for every fold, mm, by a search of its own.

    None where no piece has a fold, or where the seam would save nothing. Of many pieces it is a
    plain first lay, which takes more cloth than a search would find.
    """
    if all(piece.fold_edge is None for piece in layout.pieces):
        return None
    seamed = tuple(with_centre_seam(piece) for piece in layout.pieces)
    if len(layout.placements) > MOST_SEARCHED:
        budget = 0
    length = _tried("", layout.cloth, seamed, seed, budget, 1.0).length
    return length if length is not None and length < used_length(layout) - 1.0 else None


def with_centre_seam(piece: Piece) -> Piece:
    """The piece cut as a left and a right half with a seam where its fold was."""
    if piece.fold_edge is None:
        return piece
    edges = tuple(
        replace(edge, role="seam", allowance=SEAM) if edge.name == piece.fold_edge else edge
        for edge in piece.edges
    )
    return replace(piece, edges=edges, fold_edge=None, count=2 * piece.count, paired=True)
