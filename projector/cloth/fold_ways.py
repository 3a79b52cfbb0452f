"""Every way in which pieces may lie on the fold, and which shifts of two of them would overlap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from projector.cloth.fold_steps import Blocked, Slabs, blocked_shifts, first_free, joined, slabs_of

__all__ = ["FoldKind", "FoldWay", "Ways", "every_way"]


@dataclass(frozen=True, slots=True, eq=False)
class FoldWay:
    """One way a piece may lie: its shape with the fold along y = 0, and where a stripe wants it.

    Shifts along x are `phase` plus whole repeats where the cloth has a repeat to be matched.
    """

    shape: shapely.Polygon
    phase: float = 0.0
    matched: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class FoldKind:
    """A piece on the fold, every way it may lie, and how many of it there are."""

    ways: tuple[FoldWay, ...]
    count: int = 1


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """Every way of every kind, numbered through."""

    kind: list[int]
    way: list[int]
    phase: list[float]
    matched: list[bool]
    repeat: float
    left: list[float]
    right: list[float]
    fold: list[tuple[float, float]]
    blocked: list[list[Blocked]]
    kept_off: list[Blocked]

    def step(self, a: int, b: int, least: float) -> float:
        """Least shift of b against a, `least` or more, without overlap."""
        both = self.matched[a] and self.matched[b]
        phase = self.phase[b] - self.phase[a]
        return first_free(self.blocked[a][b], least, phase, self.repeat if both else 0.0)

    def beginning(self, b: int, least: float) -> float:
        """Least shift of b, `least` or more, behind the cut end and clear of what is fixed."""
        least = max(least, -self.left[b])
        return first_free(
            self.kept_off[b], least, self.phase[b], self.repeat if self.matched[b] else 0.0
        )


def every_way(
    kinds: Sequence[FoldKind], buffer: float, repeat: float, fixed: Sequence[shapely.Polygon]
) -> Ways:
    """Number the ways through and reckon what they block of each other and what is fixed."""
    every = [(k, w, way) for k, kind in enumerate(kinds) for w, way in enumerate(kind.ways)]
    shapes = [way.shape for _, _, way in every]
    grown = [shapely.buffer(shape, buffer, quad_segs=64) if buffer else shape for shape in shapes]
    corners = np.concatenate([shapely.get_coordinates(s)[:, 1] for s in (*shapes, *grown, *fixed)])
    heights = np.unique(np.concatenate(([0.0], corners[corners >= 0.0])))
    heights = heights[np.concatenate(([True], np.diff(heights) > 1e-6))]
    plain = [slabs_of(shape, heights) for shape in shapes]
    wide = [slabs_of(shape, heights) for shape in grown] if buffer else plain
    return Ways(
        [k for k, _, _ in every],
        [w for _, w, _ in every],
        [way.phase for _, _, way in every],
        [way.matched and repeat > 0.0 for _, _, way in every],
        repeat,
        [float(shape.bounds[0]) for shape in shapes],
        [float(shape.bounds[2]) for shape in shapes],
        [_at_fold(shape) for shape in shapes],
        _each_pair(plain, wide),
        [joined([blocked_shifts(slabs_of(shape, heights), b) for shape in fixed]) for b in plain],
    )


def _each_pair(plain: list[Slabs], wide: list[Slabs]) -> list[list[Blocked]]:
    """What each way blocks of the shifts of each other; b to a is a to b, turned round."""
    blocked: list[list[Blocked]] = [[([], [])] * len(plain) for _ in plain]
    for a in range(len(plain)):
        for b in range(a, len(plain)):
            begins, ends = blocked[a][b] = blocked_shifts(wide[a], plain[b])
            back = [-end for end in reversed(ends)], [-begin for begin in reversed(begins)]
            blocked[b][a] = back if a != b else blocked[a][b]
    return blocked


def _at_fold(shape: shapely.Polygon) -> tuple[float, float]:
    at = [x for x, y in shape.exterior.coords if abs(y) < 1e-6]
    return min(at), max(at)
