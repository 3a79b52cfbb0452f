"""The seams of a top with the sleeve cut in one, declared edge by edge."""

from __future__ import annotations

from drafting.piece import Piece
from drafting.seams import Run, Seam

__all__ = ["contour_seams"]

CONTOUR = ("overarm", "underarm", "side")


def contour_seams(back: Piece, front: Piece) -> tuple[Seam, ...]:
    """The seams along the contour that back and front share, of those that both have.

    A bat sleeve to the waist has no side seam.
    """
    shared = {edge.name for edge in back.edges} & {edge.name for edge in front.edges}
    return tuple(
        Seam(name, (Run(back.name, name),), (Run(front.name, name),))
        for name in CONTOUR
        if name in shared
    )
