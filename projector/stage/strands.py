"""Lines of a given width from the few widths the drawing library has.

Its anti-aliased lines are 1.4 pixels wide, or 3.4, 5.4 and so on (measured: the sum of the light
across lines of every thickness, direction and place). A width between is made of two or three of
them side by side.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

__all__ = ["SAME", "Strand", "aside", "strands"]

Array = npt.NDArray[np.float64]
Strand = tuple[int, float]
"""The thickness to ask the library for, and how far to the left of the line it lies, pixels."""

THINNEST = 1.38
"""What a line of thickness 1 measures; each two more of thickness add two pixels."""
SAME = 0.12
"""A width this near to one of the library's is that one, pixels."""
MITRE = 2.0
"""How far beyond its offset the corner of a line beside another may reach, as a ratio."""


def strands(width_px: float, same: float = SAME) -> tuple[Strand, ...]:
    """Which lines side by side are `width_px` wide together; never less than one pixel."""
    steps = max(0, int((width_px - THINNEST + same) // 2.0))
    thickness = max(1, 2 * steps)
    rest = width_px - THINNEST - 2.0 * steps
    if rest <= same:
        return ((thickness, 0.0),)
    outer = (thickness, -rest / 2), (thickness, rest / 2)
    # Two thin lines further apart than they are wide would let the ground through.
    return (*outer, (thickness, 0.0)) if not steps and rest > 1.0 else outer


def aside(points: Array, breaks: tuple[int, ...], closed: bool) -> Array:
    """By what each point (n, 2) of polylines moves in a line one pixel to their side.

    Another line begins at each break. Corners are mitred, sharp ones cut short.
    """
    firsts = np.array([0, *breaks])
    lasts = np.array([*breaks, len(points)]) - 1
    ways = np.empty_like(points)
    ways[:-1] = points[1:] - points[:-1]
    ways[lasts] = points[firsts] - points[lasts] if closed else ways[np.maximum(lasts - 1, firsts)]
    size = np.hypot(ways[:, 0], ways[:, 1])
    size[size == 0.0] = 1.0
    after = np.empty_like(points)
    after[:, 0], after[:, 1] = -ways[:, 1] / size, ways[:, 0] / size
    before = np.empty_like(points)
    before[1:] = after[:-1]
    before[firsts] = after[lasts] if closed else after[firsts]
    both = after + before
    # One and the cosine of the turn, from the square of the sum of two unit vectors.
    spread = np.maximum((both[:, 0] ** 2 + both[:, 1] ** 2) / 2.0, 2.0 / MITRE**2)
    moved: Array = both / spread[:, None]
    return moved
