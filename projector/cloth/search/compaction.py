"""A linear programme slides all pieces at once: out of overlap, and closer together.

Between two pieces every move is kept inside half-planes that touch their no-fit region, so that
the exact outlines stay clear of each other; only moves are sought here, no turns.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

import numpy as np
import numpy.typing as npt
from scipy.optimize import linprog
from scipy.sparse import coo_array

from projector.cloth.search.board import Numbers
from projector.cloth.search.corridor import corridor
from projector.cloth.search.no_fit_table import NoFitTable
from projector.cloth.search.problem import Array

__all__ = ["Compacted", "compacted"]

SLIP = 1e-6
"""Overlap that counts as none, as a part of the width of the strip."""


@dataclass(frozen=True, slots=True, eq=False)
class Compacted:
    """Places (m, 2) after the programme, the length taken, and the deepest overlap left, mm."""

    place: Array
    length: float
    overlap: float


def compacted(
    table: NoFitTable,
    form: Numbers,
    place: Array,
    limit: float,
    taken: float = 0.0,
    rounds: int = 6,
    reach: float | None = None,
    pull: tuple[float, float] = (1e-4, 0.0),
    free: npt.NDArray[np.bool_] | None = None,
) -> Compacted:
    """Slide pieces from `place` (n, 2; obstacles last) to the shortest lay near by.

    Each round lets every piece move by at most `reach` mm along each axis. `pull` is the weight
    of each piece's own way towards the cut end and the fold against the length of the lay.
    `free` (m,) tells which pieces may move; all when left out.
    """
    board = table.board
    pieces = len(board.ways) - 1
    place = place.copy()
    width = float(board.span[:, 1].max() - board.span[:, 0].min())
    reach = 2.0 * board.cell if reach is None else reach
    hair = SLIP * width * 0.1
    left, right = board.box[form[:pieces], 0], board.box[form[:pieces], 2]
    low = board.span[:, 0] - board.box[form[:pieces], 1]
    high = board.span[:, 1] - board.box[form[:pieces], 3]
    moves = np.stack((board.step[:, 0] == 0.0, board.step[:, 1] == 0.0), axis=1)
    if free is not None:
        moves &= free[:, None]
    length, deepest = np.inf, np.inf
    legal: Array | None = None
    for turn in range(rounds):
        planes, pairs, deep = _planes(table, form, place, 2.0 * reach, hair)
        ahead = max(taken, float((place[:pieces, 0] + right).max()))
        if deep <= SLIP * width and (turn > 0 or rounds == 1):
            gained = length - ahead
            length, deepest, legal = ahead, deep, place.copy()
            if gained < 1e-5 * ahead:
                break
        deepest = deep
        least = np.where(moves, -reach, 0.0)
        most = np.where(moves, reach, 0.0)
        least[:, 0] = np.maximum(least[:, 0], np.minimum(-left - place[:pieces, 0], most[:, 0]))
        least[:, 1] = np.maximum(least[:, 1], np.minimum(low - place[:pieces, 1], most[:, 1]))
        most[:, 0] = np.maximum(
            np.minimum(most[:, 0], limit - right - place[:pieces, 0]), least[:, 0]
        )
        most[:, 1] = np.maximum(np.minimum(most[:, 1], high - place[:pieces, 1]), least[:, 1])
        moved = _solved(planes, pairs, pieces, place, right, least, most, taken, pull)
        if moved is None:
            deepest = np.inf
            break
        place[:pieces] += moved
    else:
        _, _, deepest = _planes(table, form, place, 0.0, hair)
    if legal is not None and deepest > SLIP * width:
        place, deepest = legal, 0.0
    length = max(taken, float((place[:pieces, 0] + right).max()))
    return Compacted(place, length, deepest)


def _planes(
    table: NoFitTable, form: Numbers, place: Array, reach: float, hair: float
) -> tuple[Array, Numbers, float]:
    """Half-planes (k, 3) of all pairs that can meet, the pairs (k, 2), and the deepest overlap."""
    board = table.board
    pieces = len(board.ways) - 1
    size = table.size[form]
    corner = place + table.corner[form]
    gap = np.maximum(
        corner[None, :, :] - (corner + size)[:, None, :],
        corner[:, None, :] - (corner + size)[None, :, :],
    ).max(axis=2)
    first, second = np.nonzero(np.triu(gap[:pieces] <= reach, 1))
    planes, pairs, deepest = [], [], 0.0
    for i, j in zip(first, second, strict=True):
        segments, parts = table.boundary(int(form[j]), int(form[i]))
        x, y = place[i] - place[j]
        found, count, deep = corridor(segments, parts, x, y, reach, hair)
        planes.append(found[:count])
        pairs.append(np.full((count, 2), (i, j)))
        deepest = max(deepest, deep)
    if not planes:
        return np.empty((0, 3)), np.empty((0, 2), np.int64), 0.0
    return np.concatenate(planes), np.concatenate(pairs), deepest


def _solved(
    planes: Array,
    pairs: Numbers,
    pieces: int,
    place: Array,
    right: Array,
    least: Array,
    most: Array,
    taken: float,
    pull: tuple[float, float],
) -> Array | None:
    """Moves (m, 2) of least length; overlap that cannot be ended costs far more than length."""
    count = len(planes)
    i, j = pairs[:, 0], pairs[:, 1]
    apart = place[i] - place[j]
    wanted = planes[:, 2] - planes[:, 0] * apart[:, 0] - planes[:, 1] * apart[:, 1]
    row = np.arange(count)
    fixed = j >= pieces
    # A piece that has to come back inside the strip may have to reach into another at first.
    forced = bool((least > 0.0).any() or (most < 0.0).any())
    late = np.flatnonzero((wanted > 0.0) | forced)
    # Variables: x and y of every piece, the length, and one slack for each plane overstepped.
    rows: list[Numbers] = [row, row, row[~fixed], row[~fixed], late]
    columns: list[Numbers] = [2 * i, 2 * i + 1, 2 * j[~fixed], 2 * j[~fixed] + 1]
    columns.append(2 * pieces + 1 + np.arange(len(late)))
    values = [-planes[:, 0], -planes[:, 1], planes[~fixed, 0], planes[~fixed, 1]]
    values.append(-np.ones(len(late)))
    ends = np.arange(pieces)
    rows += [count + ends, count + ends]
    columns += [2 * ends, np.full(pieces, 2 * pieces)]
    values += [np.ones(pieces), -np.ones(pieces)]
    total = 2 * pieces + 1 + len(late)
    matrix = coo_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))),
        shape=(count + pieces, total),
    ).tocsr()
    limits = np.concatenate((-wanted, -(place[:pieces, 0] + right)))
    costs = np.zeros(total)
    costs[0 : 2 * pieces : 2], costs[1 : 2 * pieces : 2] = pull
    costs[2 * pieces], costs[2 * pieces + 1 :] = 1.0, 100.0
    bounds = np.zeros((total, 2))
    bounds[: 2 * pieces, 0], bounds[: 2 * pieces, 1] = least.ravel(), most.ravel()
    bounds[2 * pieces] = taken, np.inf
    bounds[2 * pieces + 1 :, 1] = np.inf
    done = cast(Any, linprog)(costs, A_ub=matrix, b_ub=limits, bounds=bounds, method="highs-ds")
    if done.x is None:
        return None
    moved: Array = done.x[: 2 * pieces].reshape(pieces, 2)
    return moved
