"""What the compiled search looks up, and where pieces lie, as plain arrays."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

__all__ = ["Array", "Board", "Depths", "Lie", "Numbers"]

Array = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.int64]
Depths = npt.NDArray[np.float32]


class Board(NamedTuple):
    """What stays the same while pieces move: F forms, m pieces, n pieces with the obstacles.

    `depth` holds every depth grid one after another, its nodes `cell` mm apart; the grid of form
    b against a fixed form a begins at `grid[a, b, 0]`, has `grid[a, b, 1]` rows and
    `grid[a, b, 2]` columns and its first node at `origin[a, b]`, mm. `box` (F, 4) is left, low,
    right, high. The ways of piece i are `ways[i]` up to `ways[i + 1]` of `way_form` and of
    `way_phase` (w, 2): where `step` (m, 2) is above 0, places are the phase plus whole steps;
    where it is below 0, the phase alone. `span` (m, 2) is the lowest and highest y a piece may
    touch.
    """

    depth: npt.NDArray[np.float32]
    grid: Numbers
    origin: Array
    cell: float
    box: Array
    ways: Numbers
    way_form: Numbers
    way_phase: Array
    step: Array
    span: Array


class Lie(NamedTuple):
    """Where everything lies: form (n,), way (n,), place (n, 2); weights and depths (n, n)."""

    form: Numbers
    way: Numbers
    place: Array
    weight: Array
    overlap: Array
