"""The true scale of a drawing by the test square in it, or by an edge whose length is known."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from drafting.chains import chain_length
from drafting.curves import Line, length
from drafting.errors import DraftingError
from drafting.exchange.completing import edges_of
from drafting.exchange.linework import Linework, Stroke
from drafting.exchange.outlines import Outline

__all__ = ["AGREES", "scale_by_length", "scale_by_square", "without_squares"]

EVEN = 0.01
"""How far the sides of a square may differ, in parts of a side."""
AGREES = 0.001
"""A scale this near to 1 is left alone: nobody measures a printed edge more closely."""


def _side(segments: Sequence[object]) -> float | None:
    lines = [s for s in segments if isinstance(s, Line)]
    if len(lines) != len(segments) or len(lines) != 4:
        return None
    sizes = [length(line) for line in lines]
    side = sum(sizes) / 4
    if max(sizes) - min(sizes) > EVEN * side:
        return None
    square = all(
        abs((a.end - a.start).unit.dot((b.end - b.start).unit)) < EVEN for a, b in pairwise(lines)
    )
    return side if square else None


def scale_by_square(outlines: Sequence[Outline], wanted: float) -> float:
    """By what the drawing is to be grown so that its test square is `wanted` mm wide.

    Of several squares the one nearest to that width, up or down, is the test square. Raises
    `DraftingError` when there is none.
    """
    sides = [side for side in (_side(each.segments) for each in outlines) if side]
    if not sides:
        raise DraftingError("there is no square in the file to take its scale from")
    nearest = min(sides, key=lambda side: max(side / wanted, wanted / side))
    return wanted / nearest


def scale_by_length(outlines: Sequence[Outline], outline: int, edge: int, wanted: float) -> float:
    """By what the drawing is to be grown so that one edge is `wanted` mm long.

    `outline` and `edge` are numbered from 1, as they are told. Raises `DraftingError` for one that
    is not there.
    """
    if not 1 <= outline <= len(outlines):
        raise DraftingError(f"there is no outline {outline}; the file has {len(outlines)}")
    edges, _ = edges_of(outlines[outline - 1])
    if not 1 <= edge <= len(edges):
        raise DraftingError(f"there is no edge {edge}; outline {outline} has {len(edges)}")
    return wanted / chain_length(edges[edge - 1])


def without_squares(linework: Linework, wanted: float) -> tuple[Stroke, ...]:
    """The strokes but for closed squares of this width, which are no pieces."""

    def test_square(stroke: Stroke) -> bool:
        side = _side(stroke.segments)
        return side is not None and abs(side - wanted) < EVEN * wanted

    return tuple(stroke for stroke in linework.strokes if not test_square(stroke))
