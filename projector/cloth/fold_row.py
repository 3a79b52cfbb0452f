"""The shortest row in which pieces lie along the fold, their shapes and stripes counted."""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from projector.cloth.fold_steps import Array
from projector.cloth.fold_ways import FoldKind, Ways, every_way

__all__ = ["FoldRow", "fold_row"]

MOST_STATES = 400_000
"""Multisets of pieces still to be laid, times ways, up to which every order is weighed."""
MOST_IN_ORDER = 100
"""Pieces up to which every order is weighed; what that takes grows with their cube."""
MOST_WAYS = 80
"""Ways of all pieces together up to which it is reckoned how near each may lie to each other."""
AT_A_TIME = 20
"""Kinds of pieces that make one of several rows; with both ways of each fewer than `MOST_WAYS`."""
MOST_ROWS = 3_000
"""Beginnings of a row that are carried on."""


@dataclass(frozen=True, slots=True)
class FoldRow:
    """No row is shorter than `length`, mm.

    `places` is a row as (kind, way, shift), in order from the cut end, that takes `reached` mm:
    within some hundredths of `length` wherever the row was searched to its end.
    """

    length: float
    reached: float
    places: tuple[tuple[int, int, float], ...]


def fold_row(
    kinds: Sequence[FoldKind],
    buffer: float = 0.0,
    repeat: float = 0.0,
    fixed: Sequence[shapely.Polygon] = (),
) -> FoldRow:
    """The shortest row of some pieces on the fold, clear of shapes that are `fixed` on the cloth.

    Beginnings of rows are carried on in order of the length they cannot fall short of (Hart,
    Nilsson and Raphael 1968); what is still to be laid is reckoned by the steps between
    neighbours alone (Held and Karp 1962). Where there are too many orders for that, a linear
    programme of the steps gives the bound and the nearest neighbour follows in the row; where
    there are too many pieces even for that, `length` is what they take beside each other at one
    height, and some at a time lie in a row of their own.
    """
    if sum(len(kind.ways) for kind in kinds) > MOST_WAYS:
        least = _at_one_height(kinds)
        return FoldRow(least, math.inf, ()) if fixed else _by_parts(kinds, buffer, repeat, least)
    ways = every_way(kinds, buffer, repeat, fixed)
    counts = [kind.count for kind in kinds]
    step = np.full((len(ways.kind), len(ways.kind)), np.inf)
    for a, kind in enumerate(ways.kind):
        for b, other in enumerate(ways.kind):
            if kind != other or counts[kind] > 1:
                step[a, b] = ways.step(a, b, ways.fold[a][1] - ways.fold[b][0])
    states = math.prod(count + 1 for count in counts)
    if states * len(ways.kind) <= MOST_STATES and sum(counts) <= MOST_IN_ORDER:
        return _searched(ways, counts, _to_come(ways, counts, step))
    least, times = max(0.0, _flow(ways, counts, step)), math.gcd(*counts)
    if times == 1 or fixed:
        return _placed(ways, _nearest(ways, counts, step), least)
    once = fold_row([FoldKind(kind.ways, kind.count // times) for kind in kinds], buffer, repeat)
    number = {(k, w): b for b, (k, w) in enumerate(zip(ways.kind, ways.way, strict=True))}
    order = tuple(number[k, w] for k, w, _ in once.places) * times
    return _placed(ways, order, least)


def _to_come(ways: Ways, counts: list[int], step: Array) -> Array:
    """Length from the shift of the last piece to the end of the row, (pieces left, last way)."""
    strides = np.cumprod([1, *(count + 1 for count in counts)])
    states = int(strides[-1])
    left = np.arange(states)[:, None] // strides[:-1] % (np.array(counts) + 1)
    total = left.sum(axis=1)
    come = np.full((states, len(ways.kind)), np.inf)
    come[0] = ways.right
    for size in range(1, sum(counts) + 1):
        rows = np.flatnonzero(total == size)
        best = np.full((len(rows), len(ways.kind)), np.inf)
        for b, kind in enumerate(ways.kind):
            some = left[rows, kind] > 0
            after = come[rows[some] - strides[kind], b]
            best[some] = np.minimum(best[some], step[None, :, b] + after[:, None])
        # Whatever comes later, the last piece itself reaches so far.
        come[rows] = np.maximum(best, np.array(ways.right))
    return come


def _searched(ways: Ways, counts: list[int], come: Array) -> FoldRow:
    """Rows begun and carried on, the one that cannot fall short of the least length first."""
    strides = np.cumprod([1, *(count + 1 for count in counts)])
    full = sum(count * int(stride) for count, stride in zip(counts, strides, strict=False))
    # Each: length at least, pieces left in number, running number, state, order, shifts, steps.
    Begun = tuple[float, int, int, int, tuple[int, ...], tuple[float, ...], tuple[Array, ...]]
    number = 0
    heap: list[Begun] = []

    def carried_on(state: int, order: tuple[int, ...], at: tuple[float, ...],
                   apart: tuple[Array, ...], end: float, b: int) -> Begun | None:  # fmt: skip
        nonlocal number
        kind = ways.kind[b]
        if state // int(strides[kind]) % (counts[kind] + 1) == 0:
            return None
        rest = state - int(strides[kind])
        between = np.zeros(len(order))
        place = ways.beginning(b, -math.inf)
        for k in range(len(order) - 1, -1, -1):
            a = order[k]
            if k == len(order) - 1:
                least = ways.fold[a][1] - ways.fold[b][0]
            else:
                least = float(max(apart[j][k] + between[j] for j in range(k + 1, len(order))))
            between[k] = ways.step(a, b, least)
            place = max(place, at[k] + between[k])
        place = ways.beginning(b, place)
        end = max(end, place + float(come[rest, b]))
        number += 1
        return end, sum(counts) - len(order) - 1, number, rest, (*order, b), (*at, place), (
            *apart, between,
        )  # fmt: skip

    def expanded(begun: Begun) -> list[Begun]:
        end, _, _, state, order, at, apart = begun
        tried = (carried_on(state, order, at, apart, end, b) for b in range(len(ways.kind)))
        return [each for each in tried if each is not None]

    least = 0.0
    heap.append((0.0, sum(counts), 0, full, (), (), ()))
    shortest: FoldRow | None = None
    for _ in range(MOST_ROWS):
        begun = heapq.heappop(heap)
        least = max(least, begun[0])
        if begun[1] == 0:
            shortest = _placed(ways, begun[4], least)
            break
        for each in expanded(begun):
            heapq.heappush(heap, each)
    while shortest is None:  # too many rows: carry the best one on to its end
        begun = min(expanded(begun)) if begun[1] else begun
        if begun[1] == 0:
            shortest = _placed(ways, begun[4], least)
    return shortest


def _by_parts(kinds: Sequence[FoldKind], buffer: float, repeat: float, least: float) -> FoldRow:
    """Rows of `AT_A_TIME` kinds each, one after the other."""
    places: list[tuple[int, int, float]] = []
    reached = 0.0
    for first in range(0, len(kinds), AT_A_TIME):
        row = fold_row(kinds[first : first + AT_A_TIME], buffer, repeat)
        begin = reached + buffer if places else 0.0
        if repeat > 0.0:  # each piece is to stay on its stripe
            begin = math.ceil(begin / repeat) * repeat
        places += [(first + kind, way, begin + shift) for kind, way, shift in row.places]
        reached = begin + row.reached
    return FoldRow(float(least), float(reached), tuple(places))


def _at_one_height(kinds: Sequence[FoldKind]) -> float:
    """What the pieces cover of a line along the cloth, the height where that is most, mm.

    No two cover the same of it, whatever their order; the first way stands for all, as the others
    are its mirrors.
    """
    heights = np.arange(0.0, max(kind.ways[0].shape.bounds[3] for kind in kinds), 10.0)
    covered = np.zeros(len(heights))
    for kind in kinds:
        shape = kind.ways[0].shape
        left, _, right, _ = shape.bounds
        lines = shapely.linestrings([[(left, y), (right, y)] for y in heights])
        covered += kind.count * shapely.length(shapely.intersection(shape, lines))
    return float(covered.max())


def _nearest(ways: Ways, counts: list[int], step: Array) -> tuple[int, ...]:
    """The shortest order, by the steps alone, of those in which the nearest piece comes next."""
    shortest, best = math.inf, tuple[int, ...]()
    kind = np.array(ways.kind)
    for start in range(len(kind)):
        left, order, length = np.array(counts), [start], -ways.left[start]
        left[kind[start]] -= 1
        while left.any():
            onward = np.where(left[kind] > 0, step[order[-1]], np.inf)
            order.append(int(onward.argmin()))
            length += float(onward.min())
            left[kind[order[-1]]] -= 1
        length += ways.right[order[-1]]
        if length < shortest:
            shortest, best = length, tuple(order)
    return best


def _placed(ways: Ways, order: tuple[int, ...], least: float) -> FoldRow:
    """The row in this order, each piece as near to the cut end as those before it let it."""
    places: list[float] = []
    for j, b in enumerate(order):
        place = ways.beginning(b, -math.inf)
        if places:
            side = places[-1] + ways.fold[order[j - 1]][1] - ways.fold[b][0]
            place = ways.beginning(b, side)
        moved = True
        while moved:
            moved = False
            for a, at in zip(order, places, strict=False):
                shift = at + ways.step(a, b, place - at)
                if shift > place + 1e-7:
                    place, moved = ways.beginning(b, shift), True
        places.append(place)
    reached = max((p + ways.right[b] for p, b in zip(places, order, strict=True)), default=math.inf)
    row = ((ways.kind[b], ways.way[b], p) for b, p in zip(order, places, strict=True))
    return FoldRow(float(least), float(reached), tuple(row))


def _flow(ways: Ways, counts: list[int], step: Array) -> float:
    """Least length by the steps from way to way alone, whole or not, as a linear programme."""
    # Loaded only when it is wanted, so that a first lay need not wait for it.
    from scipy.optimize import linprog

    count = len(ways.kind)
    links = np.argwhere(np.isfinite(step))
    first, last = np.arange(count), np.arange(count)
    costs = np.concatenate(
        [step[links[:, 0], links[:, 1]], -np.array(ways.left), np.array(ways.right)]
    )
    # One row a way: what comes in goes out; one a kind: as many as there are; one beginning.
    size = len(links) + 2 * count
    equal = np.zeros((count + len(counts) + 2, size))
    wanted = np.zeros(len(equal))
    into = np.concatenate([links[:, 1], first])
    equal[into, np.arange(len(into))] += 1.0
    equal[links[:, 0], np.arange(len(links))] -= 1.0
    equal[last, len(links) + count + np.arange(count)] -= 1.0
    equal[count + np.array(ways.kind)[into], np.arange(len(into))] += 1.0
    wanted[count : count + len(counts)] = counts
    equal[-2, len(links) : len(links) + count] = 1.0
    equal[-1, len(links) + count :] = 1.0
    wanted[-2:] = 1.0
    done = linprog(costs, A_eq=equal, b_eq=wanted, method="highs")
    return 0.0 if done.fun is None else float(done.fun)
