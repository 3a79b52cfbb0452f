"""The cloth comes into the draft: what fits its width, and how to draft so that it does.

A half piece is laid with its centre on the fold, so that its greatest x must not pass the usable
half width. Everything is in mm; the search is by halving on the finished cutting line.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from drafting.allowance import cutting_line
from drafting.bodice import Block
from drafting.body import Body
from drafting.draft import Draft, contour_pieces
from drafting.errors import DraftingError
from drafting.finding import Finding, judged
from drafting.halving import narrowed
from drafting.lengths import sleeve_length
from drafting.piece import Piece
from drafting.sewing import put_together
from drafting.style import RANGES, Style

__all__ = ["cloth_findings", "highest_lift", "longest_sleeve", "reach_of"]

FLATNESS = 0.1


def reach_of(piece: Piece) -> float:
    """The greatest distance of the cutting line from the centre of a half piece, mm."""
    return max(point.x for point in cutting_line(piece, FLATNESS))


def highest_lift(body: Body, block: Block, style: Style, usable: float) -> float | None:
    """The highest lift at which back and front fit, rounded down to 0.01; None where none does.

    A higher sleeve lies flatter, hence reaches further across.
    """
    fits = _fits(body, block, usable, lambda lift: replace(style, lift=lift))
    found = _largest(fits, 0.0, 1.0, 0.003)
    return None if found is None else math.floor(found * 100.0 + 1e-9) / 100.0


def longest_sleeve(body: Body, block: Block, style: Style, usable: float) -> float | None:
    """The longest sleeve that fits at the style's lift, whole mm down; None where none does."""
    own = sleeve_length(body, style)

    def with_sleeve(sleeve: float) -> Style:
        return replace(style, sleeve=sleeve, sleeve_to="measured")

    fits = _fits(body, block, usable, with_sleeve)
    found = _largest(fits, RANGES["sleeve"][0], own, 0.5)
    return None if found is None else math.floor(found + 1e-9)


def _fits(
    body: Body, block: Block, usable: float, styled: Callable[[float], Style]
) -> Callable[[float], bool]:
    def fits(value: float) -> bool:
        try:
            style = styled(value)
            pieces: tuple[Piece, ...] = contour_pieces(body, block, style)
            if style.join is not None:
                pieces = put_together(pieces[0], pieces[1], style, body)[0][:2]
        except DraftingError:
            return False
        return max(reach_of(piece) for piece in pieces) <= usable

    return fits


def _largest(fits: Callable[[float], bool], low: float, high: float, step: float) -> float | None:
    if fits(high):
        return high
    tries = 8
    # What is smaller may not be draftable at all: the first that fits is looked for upwards.
    for number in range(tries):
        start = low + (high - low) * number / tries
        if fits(start):
            return narrowed(fits, start, high, step)[0]
    return None


def cloth_findings(made: Draft, usable: float) -> tuple[Finding, ...]:
    """Each half piece against the usable half width of the cloth, with the solved advice."""
    halves = [piece for piece in made.pieces if piece.fold_edge is not None]
    reaches = [reach_of(piece) for piece in halves]
    tight = any(reach > usable for reach in reaches)
    advice = _advice(made, usable) if tight else ""
    return tuple(
        judged(
            reach <= usable,
            f"{piece.name} and the width of the cloth",
            f"{reach:.0f} mm from centre to edge",
            f"at most {usable:.0f} mm",
            advice,
        )
        for piece, reach in zip(halves, reaches, strict=True)
    )


def _advice(made: Draft, usable: float) -> str:
    body, block, style = made.body, made.block, made.style
    ways = []
    lift = highest_lift(body, block, style, usable)
    if lift is not None:
        ways.append(f"lower the lift to {lift:.2f}")
    sleeve = longest_sleeve(body, block, style, usable)
    if sleeve is not None:
        ways.append(f"shorten the sleeve to {sleeve / 10:.1f} cm")
    ways.append(
        "join cloth to the sleeve (join in the style)"
        if style.join is None
        else "join nearer the neck"
    )
    words = ", or ".join(ways)
    return f"{words[0].upper()}{words[1:]}."
