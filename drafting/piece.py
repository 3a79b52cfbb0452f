"""A pattern piece and what must always hold of it.

Piece frame: millimetres, x across the body, y up the body, so that the grain of an ordinary
piece runs along y. A half piece cut on the fold has its fold edge on x = 0 and lies at x >= 0.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import shapely

from drafting.corners import Corner
from drafting.edge import (
    CHAIN_TOLERANCE,
    Edge,
    edge_length,
    end_of,
    flattened_edge,
    start_of,
)
from drafting.errors import DraftingError
from drafting.marks import Grain, Label, Mark, Notch
from drafting.plane import Point, coordinates, distance

__all__ = [
    "Piece",
    "edge_named",
    "grain_of",
    "notches_of",
    "outline",
    "seam_polygon",
    "title_of",
]

SIMPLE_TOLERANCE = 0.01


@dataclass(frozen=True, slots=True)
class Piece:
    """A closed chain of edges (the seam line, counter-clockwise) with its marks.

    Parameters
    ----------
    name, size
        Unique together within a job; `size` may be empty.
    edges
        Closed within 1e-6 mm, simple, counter-clockwise, with unique names.
    marks
        Notches lie on edges of this piece; at most one `Grain` and one `Label`.
    count
        How many are cut from one garment's cloth, 1 or more.
    paired
        True when half of `count` is cut mirrored (left and right); `count` is then even.
    fold_edge
        Name of the edge laid on the fold, None for a whole piece.
    cloth
        Name of the cloth it is cut from.
    turns_freely
        True when the grain does not matter (the layout may turn it by any angle).
    corners
        Rules for the allowances at corners that want another than the usual one; at most one
        a corner.
    shrinkage
        What the piece has already been enlarged for, along the grain and across it: 0.03 stands
        for cloth that has still to lose 3 %.
    """

    name: str
    edges: tuple[Edge, ...]
    marks: tuple[Mark, ...] = ()
    size: str = ""
    count: int = 1
    paired: bool = False
    fold_edge: str | None = None
    cloth: str = "main"
    turns_freely: bool = False
    corners: tuple[Corner, ...] = ()
    shrinkage: tuple[float, float] = (0.0, 0.0)

    def __hash__(self) -> int:
        # Equal pieces begin their edges alike; hashing all of a piece would cost more than what
        # is kept of it in caches.
        starts = tuple(edge.segments[0].start for edge in self.edges)
        return hash((self.name, self.size, self.shrinkage, starts))

    def __post_init__(self) -> None:
        if not self.name:
            raise DraftingError("a piece needs a name")
        if self.count < 1 or (self.paired and self.count % 2):
            raise DraftingError(f"piece {self.name!r}: {self.count} cannot be cut, or not in pairs")
        self._check_edges()
        self._check_marks()

    def _check_edges(self) -> None:
        doubled = [n for n, k in Counter(e.name for e in self.edges).items() if k > 1]
        if doubled or not self.edges:
            raise DraftingError(f"piece {self.name!r}: edge names {doubled} are not unique")
        for before, after in zip(self.edges, (*self.edges[1:], self.edges[0]), strict=True):
            gap = distance(end_of(before), start_of(after))
            if gap > CHAIN_TOLERANCE:
                raise DraftingError(
                    f"piece {self.name!r} is open by {gap:.6f} mm from edge {before.name!r} "
                    f"to {after.name!r}"
                )
        ring = shapely.LinearRing(coordinates(outline(self, SIMPLE_TOLERANCE)))
        if not ring.is_simple:
            raise DraftingError(f"piece {self.name!r}: its seam line crosses itself")
        if not ring.is_ccw:
            raise DraftingError(f"piece {self.name!r}: its seam line runs clockwise")
        folds = [e.name for e in self.edges if e.role == "fold"]
        if folds != ([] if self.fold_edge is None else [self.fold_edge]):
            raise DraftingError(
                f"piece {self.name!r}: fold edge is {self.fold_edge!r}, edges on the fold {folds}"
            )

        ruled = Counter(corner.after for corner in self.corners)
        free = {
            after.name
            for before, after in zip((self.edges[-1], *self.edges), self.edges, strict=False)
            if "fold" not in (before.role, after.role)
        }
        for name, times in ruled.items():
            if times > 1 or name not in free:
                raise DraftingError(
                    f"piece {self.name!r}: {times} corner rules before edge {name!r}; one is "
                    f"possible before each of {', '.join(sorted(free))}"
                )

    def _check_marks(self) -> None:
        for kind in (Grain, Label):
            if sum(isinstance(mark, kind) for mark in self.marks) > 1:
                raise DraftingError(
                    f"piece {self.name!r} has more than one {kind.__name__.lower()}"
                )
        for notch in notches_of(self):
            size = edge_length(edge_named(self, notch.edge))
            if notch.along > size + 1e-6:
                raise DraftingError(
                    f"piece {self.name!r}: notch at {notch.along:.2f} mm lies past the end of "
                    f"edge {notch.edge!r} ({size:.2f} mm)"
                )


def title_of(piece: Piece) -> str:
    """Name and size, as one writes them on the piece."""
    return f"{piece.name} {piece.size}".strip()


def edge_named(piece: Piece, name: str) -> Edge:
    """The edge with this name. Raises `DraftingError` when there is none."""
    for edge in piece.edges:
        if edge.name == name:
            return edge
    names = ", ".join(edge.name for edge in piece.edges)
    raise DraftingError(f"piece {piece.name!r} has no edge {name!r}; its edges are {names}")


def notches_of(piece: Piece) -> tuple[Notch, ...]:
    """The notches of the piece in the order given."""
    return tuple(mark for mark in piece.marks if isinstance(mark, Notch))


def grain_of(piece: Piece) -> Grain | None:
    """The grain line, if the piece has one."""
    return next((mark for mark in piece.marks if isinstance(mark, Grain)), None)


def outline(piece: Piece, tolerance: float) -> tuple[Point, ...]:
    """Points of the seam line within `tolerance` mm, counter-clockwise, first not repeated."""
    points: list[Point] = []
    for edge in piece.edges:
        points.extend(flattened_edge(edge, tolerance)[:-1])
    return tuple(points)


def seam_polygon(piece: Piece, tolerance: float) -> shapely.Polygon:
    """The area inside the seam line, flattened to `tolerance` mm."""
    return shapely.Polygon(coordinates(outline(piece, tolerance)))
