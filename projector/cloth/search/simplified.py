"""Outlines with fewer corners that still hold the whole of the piece."""

from __future__ import annotations

import math

import numpy as np

from projector.cloth.search.problem import Array

__all__ = ["outward"]


def outward(outline: Array, tolerance: float, fewest: int = 8) -> Array:
    """The outline (n, 2) with corners left out, nowhere inside it and about `tolerance` outside.

    A flat inward corner is cut off; a short side between two outward corners is left out and
    its neighbours run on until they meet. Long straight sides therefore stay where they are.
    The change that adds least comes first; each is measured from the outline as it is by then,
    so that a corner may end up a few tolerances away.
    """
    corners = [complex(x, y) for x, y in outline.tolist()]
    changes = [_change(corners, i) for i in range(len(corners))]
    costs, meets = [cost for cost, _ in changes], [meet for _, meet in changes]
    while len(corners) > fewest:
        cost = min(costs)
        if cost > tolerance:
            break
        i = costs.index(cost)
        meet = meets[i]
        if meet is not None:
            corners[i] = meet
            i = (i + 1) % len(corners)
        del corners[i], costs[i], meets[i]
        for near in range(i - 3, i + 1):
            near %= len(corners)
            costs[near], meets[near] = _change(corners, near)
    return np.array([(corner.real, corner.imag) for corner in corners])


def _change(corners: list[complex], i: int) -> tuple[float, complex | None]:
    """What leaving out corner i adds, mm; or the side after it, and where its neighbours meet."""
    count, corner = len(corners), corners[i]
    following = corners[(i + 1) % count]
    before, along = corner - corners[i - 1], following - corner
    after = corners[(i + 2) % count] - following
    turn, next_turn = _cross(before, along), _cross(along, after)
    inward = -turn / max(abs(before + along), 1e-12) if turn <= 0.0 else math.inf
    across, size = _cross(before, after), max(abs(along), 1e-12)
    if turn > 0.0 and next_turn > 0.0 and across > 1e-9 * size * size:
        meet = corner + before * (next_turn / across)
        outside = -_cross(along, meet - corner) / size
        if outside < inward:
            return outside, meet
    return inward, None


def _cross(a: complex, b: complex) -> float:
    return a.real * b.imag - a.imag * b.real
