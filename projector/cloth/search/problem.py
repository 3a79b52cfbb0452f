"""What is to be laid, as plain polygons: the search knows nothing else of pieces and cloth."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from projector.errors import ProjectorError

__all__ = ["Array", "Lay", "Part", "Problem", "Spot", "Way", "far_end", "outline_array"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """One way round in which a part may lie.

    Parameters
    ----------
    outline
        Corners (n, 2), counter-clockwise, mm; the part is shifted from here, never turned.
    phase
        Where the step of the part begins: a shift is `phase` plus whole steps, per axis.
    """

    outline: Array
    phase: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One thing to lay.

    Parameters
    ----------
    ways
        At least one.
    step
        Per axis: 0 for any shift, above 0 for shifts of the way's phase plus whole steps, below
        0 for the phase alone (a piece on the fold keeps its y).
    low, high
        The lowest and highest y it may touch, mm.
    steady
        It does not change places with another.
    """

    ways: tuple[Way, ...]
    step: tuple[float, float]
    low: float
    high: float
    steady: bool = False


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a part lies: which way round, and its shift in mm."""

    way: int
    x: float
    y: float


Lay = tuple[Spot, ...]
"""Where every part of a problem lies."""


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """Parts to be laid from x = 0 on, as short as possible.

    Parameters
    ----------
    parts
        What is to be laid.
    obstacles
        Outlines (n, 2) that nothing may overlap; they do not count as used length.
    limit
        Length there is, mm; infinite for as much as is needed.
    buffer
        Least distance between two parts, mm. Obstacles and borders may be touched.
    taken
        Length that is used already, by what is locked, mm.
    enough
        Length at which the search may stop, as no lay is shorter, mm.
    """

    parts: tuple[Part, ...]
    obstacles: tuple[Array, ...] = ()
    limit: float = math.inf
    buffer: float = 0.0
    taken: float = 0.0
    enough: float = 0.0


def outline_array(points: npt.ArrayLike) -> Array:
    """Corners as an array (n, 2), counter-clockwise, the first one not repeated.

    Raises `ProjectorError` for fewer than three corners or no area.
    """
    corners = np.array(points, dtype=np.float64)
    if corners.ndim != 2 or corners.shape[1] != 2 or not np.isfinite(corners).all():
        raise ProjectorError("an outline is a list of corners, each two finite numbers")
    if len(corners) > 1 and np.array_equal(corners[0], corners[-1]):
        corners = corners[:-1]
    x, y = corners.T
    doubled = float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    if len(corners) < 3 or doubled == 0.0:
        raise ProjectorError("an outline needs three corners or more, and an area")
    return corners if doubled > 0.0 else corners[::-1].copy()


def far_end(problem: Problem, spots: tuple[Spot, ...]) -> float:
    """Length a lay takes, mm."""
    ends = [
        spot.x + float(part.ways[spot.way].outline[:, 0].max())
        for part, spot in zip(problem.parts, spots, strict=True)
    ]
    return max((problem.taken, *ends))
