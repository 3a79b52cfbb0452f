"""Chains: segments one after the other, each beginning where the one before it ends."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from drafting.curves import (
    Segment,
    flattened,
    length,
    moved,
    parameter_at_length,
    reversed_segment,
    split,
)
from drafting.errors import DraftingError
from drafting.plane import Point

__all__ = ["chain_length", "divided_chain", "flattened_chain", "moved_chain", "reversed_chain"]


def chain_length(segments: Iterable[Segment]) -> float:
    """Arc length of all segments together, mm."""
    return sum(length(segment) for segment in segments)


def flattened_chain(segments: Sequence[Segment], tolerance: float) -> tuple[Point, ...]:
    """Points along the chain, both ends included, within `tolerance` mm of it."""
    points = [segments[0].start]
    for segment in segments:
        points += flattened(segment, tolerance)[1:]
    return tuple(points)


def moved_chain(
    segments: Iterable[Segment], motion: Callable[[Point], Point]
) -> tuple[Segment, ...]:
    """Every segment after the motion, in the same order; see `curves.moved`."""
    return tuple(moved(segment, motion) for segment in segments)


def reversed_chain(segments: Sequence[Segment]) -> tuple[Segment, ...]:
    """The same chain travelled from its end to its start."""
    return tuple(reversed_segment(segment) for segment in reversed(segments))


def divided_chain(
    segments: Sequence[Segment], along: float
) -> tuple[tuple[Segment, ...], tuple[Segment, ...]]:
    """The segments before and after arc length `along` mm.

    Raises `DraftingError` when that does not lie inside the chain by 1e-6 mm.
    """
    left = along
    for number, segment in enumerate(segments):
        size = length(segment)
        if number and abs(left) < 1e-6:
            return tuple(segments[:number]), tuple(segments[number:])
        if 1e-6 < left < size - 1e-6:
            first, second = split(segment, parameter_at_length(segment, left))
            return (*segments[:number], first), (second, *segments[number + 1 :])
        left -= size
    raise DraftingError(f"{along:.2f} mm along a chain of {chain_length(segments):.2f} mm")
