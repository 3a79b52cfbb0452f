"""Outlines with fewer corners that still hold the whole of the piece."""

from __future__ import annotations

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
    corners = outline
    while len(corners) > fewest:
        before = corners - np.roll(corners, 1, axis=0)
        along = np.roll(before, -1, axis=0)
        after = np.roll(along, -1, axis=0)
        turn, next_turn = _cross(before, along), np.roll(_cross(before, along), -1)
        size = np.maximum(np.hypot(*along.T), 1e-12)
        span = np.maximum(np.hypot(*(before + along).T), 1e-12)
        inward = np.where(turn <= 0.0, -turn / span, np.inf)
        across = _cross(before, after)
        runs_on = (turn > 0.0) & (next_turn > 0.0) & (across > 1e-9 * size * size)
        share = np.where(runs_on, next_turn / np.where(runs_on, across, 1.0), 0.0)
        meet = corners + before * share[:, None]
        outside = np.where(runs_on, _cross(along, meet - corners) / -size, np.inf)
        cost = np.minimum(inward, outside)
        i = int(np.argmin(cost))
        if cost[i] > tolerance:
            break
        if inward[i] <= outside[i]:
            corners = np.delete(corners, i, axis=0)
        else:
            following = (i + 1) % len(corners)
            corners = corners.copy()
            corners[i] = meet[i]
            corners = np.delete(corners, following, axis=0)
    return corners


def _cross(a: Array, b: Array) -> Array:
    crossed: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return crossed
