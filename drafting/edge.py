"""An edge of a piece: a named chain of segments with its seam allowance."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, get_args

from drafting import curves
from drafting.chains import chain_length, flattened_chain, moved_chain, reversed_chain
from drafting.curves import Segment
from drafting.errors import DraftingError
from drafting.plane import Point, distance

__all__ = [
    "ROLES",
    "Edge",
    "Role",
    "edge_length",
    "end_of",
    "flattened_edge",
    "moved_edge",
    "point_along",
    "reversed_edge",
    "start_of",
    "tangent_along",
]

Role = Literal["seam", "fold", "hem", "neckline", "cut"]
"""What becomes of an edge: sewn to another, laid on the fold, turned up, bound or faced, or raw."""

ROLES: tuple[Role, ...] = get_args(Role)

CHAIN_TOLERANCE = 1e-6


@dataclass(frozen=True, slots=True)
class Edge:
    """A chain of segments with a name, its allowance (mm, outward) and its role.

    Raises `DraftingError` when the segments do not follow each other within 1e-6 mm.
    """

    name: str
    segments: tuple[Segment, ...]
    allowance: float = 0.0
    role: Role = "seam"

    def __post_init__(self) -> None:
        if not self.name:
            raise DraftingError("an edge needs a name")
        if not self.segments:
            raise DraftingError(f"edge {self.name!r} has no segments")
        if self.allowance < 0.0:
            raise DraftingError(f"edge {self.name!r}: allowance {self.allowance} mm is negative")
        if self.role == "fold" and self.allowance != 0.0:
            raise DraftingError(f"edge {self.name!r} lies on the fold and takes no allowance")
        for before, after in zip(self.segments, self.segments[1:], strict=False):
            gap = distance(before.end, after.start)
            if gap > CHAIN_TOLERANCE:
                raise DraftingError(
                    f"edge {self.name!r} has a gap of {gap:.6f} mm at {after.start}"
                )


def start_of(edge: Edge) -> Point:
    """The first point of the edge."""
    return edge.segments[0].start


def end_of(edge: Edge) -> Point:
    """The last point of the edge."""
    return edge.segments[-1].end


def edge_length(edge: Edge) -> float:
    """Arc length of the seam line in mm."""
    return chain_length(edge.segments)


def _place(edge: Edge, along: float) -> tuple[Segment, float]:
    remaining = along
    for segment in edge.segments:
        size = curves.length(segment)
        if remaining <= size or segment is edge.segments[-1]:
            if remaining > size + 1e-6 or remaining < -1e-6:
                break
            return segment, curves.parameter_at_length(segment, min(max(remaining, 0.0), size))
        remaining -= size
    raise DraftingError(
        f"{along:.3f} mm lies outside edge {edge.name!r} of {edge_length(edge):.3f} mm"
    )


def point_along(edge: Edge, along: float) -> Point:
    """The point at arc length `along` (mm) from the start of the edge."""
    return curves.point_at(*_place(edge, along))


def tangent_along(edge: Edge, along: float) -> Point:
    """The unit direction of travel at arc length `along` (mm) from the start of the edge."""
    return curves.tangent_at(*_place(edge, along))


def reversed_edge(edge: Edge) -> Edge:
    """The same edge travelled from its end to its start."""
    return replace(edge, segments=reversed_chain(edge.segments))


def moved_edge(edge: Edge, motion: Callable[[Point], Point]) -> Edge:
    """The edge after the motion, travelled in the same order; see `curves.moved`."""
    return replace(edge, segments=moved_chain(edge.segments, motion))


def flattened_edge(edge: Edge, tolerance: float) -> tuple[Point, ...]:
    """Points along the edge, both ends included, within `tolerance` mm of it."""
    return flattened_chain(edge.segments, tolerance)
