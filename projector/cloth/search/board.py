"""What the compiled search looks up, and where pieces lie, as plain arrays."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

__all__ = ["Array", "Board", "Depths", "Lie", "Numbers", "Places", "Slate", "slate_for"]

Array = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.int64]
Depths = npt.NDArray[np.float32]
Places = npt.NDArray[np.int32]


class Board(NamedTuple):
    """What stays the same while pieces move: F forms, m pieces, n pieces with the obstacles.

    `pair[a, b]` tells of form b against a fixed form a: where its depths begin in `depth`, rows,
    columns, where its cells begin in `cells`, and 1 or -1. Its cells are `cell` mm wide and the
    middle of the first is at `origin[a, b, :2]`; where the last number is -1, cells and `sides`
    are those of the other way about, whose first middle is at `origin[a, b, 2:]` and whose places
    are turned by half a turn. `lists` holds what `chart.charted` lists, with rows of `sides`.
    `box` (F, 4) is left, low, right, high. The ways of piece i are `ways[i]` up to `ways[i + 1]`
    of `way_form` and of `way_phase` (w, 2): where `step` (m, 2) is above 0, places are the phase
    plus whole steps; where it is below 0, the phase alone. `apart` (w,) is false of a way that
    covers what an earlier way of the piece covers, somewhere else. `lightest` (n, n) is the least
    weight of two: large ones weigh more, so that small ones take what room those leave. `span`
    (m, 2) is the lowest and highest y a piece may touch.
    """

    depth: Depths
    cells: Places
    lists: Places
    sides: Array
    pair: Numbers
    origin: Array
    cell: float
    box: Array
    ways: Numbers
    way_form: Numbers
    way_phase: Array
    apart: npt.NDArray[np.bool_]
    lightest: Array
    step: Array
    span: Array


class Lie(NamedTuple):
    """Where everything lies: form (n,), way (n,), place (n, 2); weights and depths (n, n)."""

    form: Numbers
    way: Numbers
    place: Array
    weight: Array
    overlap: Array


class Slate(NamedTuple):
    """Arrays that the search works on and wipes again; they hold nothing between two moves.

    `sums` are costs at every place of a lattice, `bits` the same memory read as whole numbers and
    `lowest` the least of each row of them; `number` is one such cost and its bits. `around` and
    `offset` tell of neighbours, `out` of ways out of them, `places` and `tries` of places to try.
    """

    sums: Depths
    bits: Places
    lowest: Places
    number: Depths
    number_bits: Places
    around: Numbers
    offset: Array
    out: Array
    places: Numbers
    tries: Array
    kept: int


def slate_for(board: Board, everything: int, rows: int, columns: int, kept: int) -> Slate:
    """A slate for lattices of so many rows and columns; `kept` places of each way are tried."""
    sums, number = np.zeros((rows, columns), np.float32), np.zeros(1, np.float32)
    most = int(np.diff(board.ways).max())
    return Slate(
        sums,
        sums.view(np.int32),
        np.zeros(rows, np.int32),
        number,
        number.view(np.int32),
        np.zeros((everything, 3), np.int64),
        np.zeros((everything, 6)),
        np.zeros((everything, 4)),
        np.zeros((kept, 3), np.int64),
        np.zeros((kept * most + 1, 4)),
        kept,
    )
