"""Islands that search at the same time: in turn in this process, or side by side in their own."""

from __future__ import annotations

import queue
from collections.abc import Callable, Iterator
from functools import partial
from typing import Protocol

from projector.cloth.search.island import Island, advanced, begun, spots_of, taken_over
from projector.cloth.search.island_process import IslandProcess, answer
from projector.cloth.search.no_fit_table import NoFitTable, table_of
from projector.cloth.search.problem import Lay, Problem
from projector.errors import ProjectorError

__all__ = ["SEEDS", "Crew", "InTurn", "SideBySide"]

SEEDS = 2
"""Islands of a crew."""


class Crew(Protocol):
    """`SEEDS` islands by number. What they find is the same, however they run."""

    def begin(self, number: int, problem: Problem, lay: Lay, seed: int) -> None:
        """Let one island search from a legal lay; what it searched before is left."""

    def take_over(self, number: int, lay: Lay) -> None:
        """Tell an island of a shorter lay that was found elsewhere."""

    def searched(self, moves: int, stopped: Callable[[], bool]) -> Iterator[tuple[int, Lay]]:
        """Search until every island has made so many moves in all; each better lay of each."""

    def leave(self) -> None:
        """Begin nothing more."""


class InTurn:
    """Islands that take turns in this process."""

    def __init__(self) -> None:
        self._islands: dict[int, Island] = {}
        self._begun: list[int] = []
        self._table: tuple[Problem, NoFitTable] | None = None

    def begin(self, number: int, problem: Problem, lay: Lay, seed: int) -> None:
        if self._table is None or self._table[0] is not problem:
            self._table = problem, table_of(problem)
        self._islands[number] = begun(problem, self._table[1], lay, seed)
        self._begun.append(number)

    def take_over(self, number: int, lay: Lay) -> None:
        taken_over(self._islands[number], lay)

    def searched(self, moves: int, stopped: Callable[[], bool]) -> Iterator[tuple[int, Lay]]:
        for number in self._begun:
            yield number, spots_of(self._islands[number])
        self._begun.clear()
        for number, island in self._islands.items():
            while island.moves < moves and island.length > island.problem.enough:
                if stopped():
                    return
                if advanced(island):
                    yield number, spots_of(island)

    def leave(self) -> None:
        self._islands.clear()


class SideBySide:
    """Islands in processes of their own."""

    def __init__(self) -> None:
        self._arrived: queue.SimpleQueue[tuple[int, bytes | None]] = queue.SimpleQueue()
        self._islands = [IslandProcess(partial(self._put, number)) for number in range(SEEDS)]

    def _put(self, number: int, line: bytes | None) -> None:
        self._arrived.put((number, line))

    def begin(self, number: int, problem: Problem, lay: Lay, seed: int) -> None:
        self._islands[number].begin(problem, lay, seed)

    def take_over(self, number: int, lay: Lay) -> None:
        self._islands[number].take_over(lay)

    def searched(self, moves: int, stopped: Callable[[], bool]) -> Iterator[tuple[int, Lay]]:
        for island in self._islands:
            island.search(moves)
        busy = set(range(SEEDS))
        while busy:
            if stopped():
                return
            try:
                number, line = self._arrived.get(timeout=0.05)
            except queue.Empty:
                continue
            if line is None:
                raise ProjectorError(
                    "the search ended early: the system stopped a process of it, most likely for "
                    "want of memory; close other programs"
                )
            found = answer(line)
            if found is None:
                busy.discard(number)
            else:
                yield number, found

    def leave(self) -> None:
        for island in self._islands:
            island.stop()
