"""Pieces that do not fit the cloth there is: which, and by how much."""

from __future__ import annotations

from dataclasses import replace

from drafting.piece import Piece
from projector.cloth.autolayout import arrange
from projector.cloth.clearance import SLACK
from projector.cloth.cloth import CLEAR_OF_FOLD, usable_span
from projector.cloth.lay_problem import length_limit
from projector.cloth.layout import Layout, piece_key
from projector.cloth.shapes import (
    breadths,
    copies,
    lay_shape,
    lies_on_fold,
    spans,
    wanted_copies,
)
from projector.errors import ProjectorError

__all__ = ["laid_flat", "left_over", "too_large"]


def too_large(layout: Layout) -> tuple[str, ...]:
    """Pieces that are by themselves wider or longer than the cloth, one line each, with figures.

    A piece that is not among them may still find no place, as between flaws.
    """
    cloth, found = layout.cloth, []
    low, high = usable_span(cloth)
    there = length_limit(cloth)
    for piece in (piece for piece, copy in wanted_copies(layout) if copy == 0):
        clear = CLEAR_OF_FOLD if cloth.folded and not lies_on_fold(piece, cloth) else 0.0
        room, key = high - low - clear, piece_key(piece)
        across, along = min(breadths(piece, cloth, 0)), min(spans(piece, cloth, 0))
        if across > room + SLACK:
            found.append(
                f"{key} is {across / 10:.4g} cm across the cloth, {room / 10:.4g} cm can be used"
            )
        if along > there + SLACK:
            found.append(
                f"{key} is {along / 10:.4g} cm along the grain, there are {there / 10:.4g} cm"
            )
    return tuple(found)


def laid_flat(layout: Layout) -> Layout:
    """The pieces on the same cloth, opened out; nothing lies on it yet."""
    return Layout(replace(layout.cloth, folded=False), layout.pieces)


def left_over(layout: Layout, seed: int = 0, budget: int = 6) -> tuple[str, ...]:
    """Pieces to leave out so that the others fit the cloth there is; empty when all fit.

    One after another, the smallest piece whose absence is enough is left out, or no more of its
    copies than need be ("cuff (2 of 4)"); when no single one is enough, the largest goes first.
    Raises `ProjectorError` when nothing fits at all.
    """
    pieces = [piece for piece, copy in wanted_copies(layout) if copy == 0]
    pieces.sort(key=lambda piece: lay_shape(piece, layout.cloth).area * piece.count)
    out: list[str] = []
    while not _fits(layout, pieces, seed, budget):
        last = len(pieces) - 1
        alone = (k for k in range(last + 1) if last and _fits(
            layout, pieces[:k] + pieces[k + 1 :], seed, budget
        ))  # fmt: skip
        k = next(alone, None)
        gone = pieces.pop(last if k is None else k)
        fewer = None if k is None and last else _fewer(layout, pieces, gone, seed, budget)
        if fewer is not None:
            return (*out, f"{piece_key(gone)} ({gone.count - fewer} of {gone.count})")
        out.append(piece_key(gone))
        if not pieces:
            large = "; ".join(too_large(layout))
            raise ProjectorError(
                f"cloth {layout.cloth.name!r}: not one piece fits{large and f' ({large})'}; "
                "use a larger piece of cloth"
            )
    return tuple(out)


def _fewer(layout: Layout, others: list[Piece], piece: Piece, seed: int, budget: int) -> int | None:
    """How many of a piece fit beside the others, fewer than are wanted; None for not one."""
    together = piece.paired or (layout.cloth.folded and piece.fold_edge is None)
    for count in range(piece.count - 1, 0, -1):
        if together and count % 2:
            continue
        if _fits(layout, [*others, replace(piece, count=count)], seed, budget):
            return count
    return None


def _fits(layout: Layout, pieces: list[Piece], seed: int, budget: int) -> bool:
    laid = {piece_key(piece): copies(piece, layout.cloth) for piece in pieces}
    kept = tuple(p for p in layout.placements if p.locked and p.copy < laid.get(p.piece, 0))
    try:
        arrange(Layout(layout.cloth, tuple(pieces), kept), seed, budget, refined=False)
    except ProjectorError:
        return False
    return True
