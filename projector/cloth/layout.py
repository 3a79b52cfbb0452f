"""A layout: pieces placed on a cloth."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from drafting.piece import Piece, title_of
from drafting.plane import Motion
from projector.cloth.cloth import Cloth
from projector.errors import ProjectorError

__all__ = ["Layout", "Placement", "piece_key", "piece_of"]


def piece_key(piece: Piece) -> str:
    """The name a placement knows a piece by: its name, and its size where it has one."""
    return title_of(piece)


@dataclass(frozen=True, slots=True)
class Placement:
    """One copy of a piece on the cloth.

    "As drawn" the motion turns the piece frame by a quarter turn to the left, so that the top
    of the garment points to x = 0 and a fold edge (x = 0 in the piece) lies along y = 0, the
    fold of a folded cloth, with the piece at y >= 0.
    """

    piece: str
    copy: int
    cloth_from_piece: Motion
    locked: bool = False
    cut: bool = False


@dataclass(frozen=True, slots=True)
class Layout:
    """A cloth, the pieces of the job cut from it, and where they lie."""

    cloth: Cloth
    pieces: tuple[Piece, ...]
    placements: tuple[Placement, ...] = ()

    def __hash__(self) -> int:
        return hash((self.cloth.name, self.placements))  # of one job these tell layouts apart

    def __post_init__(self) -> None:
        known = Counter(piece_key(piece) for piece in self.pieces)
        doubled = [key for key, times in known.items() if times > 1]
        if doubled:
            raise ProjectorError(
                f"two pieces are both called {doubled[0]!r}; give one another name or size"
            )
        laid = Counter((placement.piece, placement.copy) for placement in self.placements)
        for (key, copy), times in laid.items():
            if key not in known:
                raise ProjectorError(f"the layout places {key!r}, which the job does not have")
            if times > 1:
                raise ProjectorError(f"copy {copy} of {key!r} lies on the cloth twice")


def piece_of(layout: Layout, placement: Placement) -> Piece:
    """The piece a placement places."""
    return next(piece for piece in layout.pieces if piece_key(piece) == placement.piece)
