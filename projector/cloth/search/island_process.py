"""An island in a process of its own, told what to do by lines of JSON.

A thread waits for its answers, since not every system can wait for several pipes at once.
"""

from __future__ import annotations

import contextlib
import json
import os
import sys
import threading
from collections.abc import Callable
from typing import IO, Any

import numpy as np

from projector.cloth.search.child_process import child_process
from projector.cloth.search.island import Island, advanced, begun, spots_of, taken_over
from projector.cloth.search.no_fit_table import table_of
from projector.cloth.search.problem import Part, Problem, Spot, Way

__all__ = ["IslandProcess", "answer", "problem_from_plain", "problem_plain"]


def problem_plain(problem: Problem) -> dict[str, Any]:
    """A problem as plain data; equal ways are written once."""
    numbers: dict[int, int] = {}
    ways: list[dict[str, Any]] = []
    parts = []
    for part in problem.parts:
        chosen = []
        for way in part.ways:
            if id(way) not in numbers:
                numbers[id(way)] = len(ways)
                ways.append({"outline": way.outline.tolist(), "phase": list(way.phase)})
            chosen.append(numbers[id(way)])
        rest = part.low, part.high, part.steady
        parts.append({"ways": chosen, "step": list(part.step), "rest": rest})
    return {
        "ways": ways,
        "parts": parts,
        "obstacles": [outline.tolist() for outline in problem.obstacles],
        "limit": problem.limit,
        "buffer": problem.buffer,
        "taken": problem.taken,
        "enough": problem.enough,
    }


def problem_from_plain(plain: dict[str, Any]) -> Problem:
    """The problem that `problem_plain` wrote."""
    ways = [Way(np.array(way["outline"]), tuple(way["phase"])) for way in plain["ways"]]
    return Problem(
        tuple(
            Part(tuple(ways[k] for k in part["ways"]), tuple(part["step"]), *part["rest"])
            for part in plain["parts"]
        ),
        tuple(np.array(outline) for outline in plain["obstacles"]),
        plain["limit"],
        plain["buffer"],
        plain["taken"],
        plain["enough"],
    )


class IslandProcess:
    """A child process that searches on one island.

    `arrived` is called from a thread with every line of its answers, and with None when it has
    ended.
    """

    def __init__(self, arrived: Callable[[bytes | None], None]) -> None:
        one = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "1")
        self._process = child_process(__name__, **one)
        assert self._process.stdin is not None and self._process.stdout is not None
        self._told: IO[bytes] = self._process.stdin
        answers: IO[bytes] = self._process.stdout

        def passed_on() -> None:
            with answers:
                for line in answers:
                    arrived(line)
            arrived(None)

        threading.Thread(target=passed_on, daemon=True).start()

    def begin(self, problem: Problem, spots: tuple[Spot, ...], seed: int) -> None:
        """Ask for a search that starts from a legal lay; one that went on before is left."""
        self._tell({"problem": problem_plain(problem), "spots": _plain(spots), "seed": seed})

    def search(self, moves: int) -> None:
        """Ask for attempts until so many moves in all have been made; lays arrive as lines."""
        self._tell({"moves": moves})

    def take_over(self, spots: tuple[Spot, ...]) -> None:
        """Ask to go on from a lay that was found elsewhere."""
        self._tell({"spots": _plain(spots)})

    def stop(self) -> None:
        """End the process at once."""
        self._process.kill()
        self._process.wait()
        with contextlib.suppress(OSError):
            self._told.close()

    def _tell(self, message: dict[str, Any]) -> None:
        with contextlib.suppress(OSError):  # that it has ended arrives as its last answer
            self._told.write(json.dumps(message).encode() + b"\n")
            self._told.flush()


def _plain(spots: tuple[Spot, ...]) -> list[list[float]]:
    return [[spot.way, spot.x, spot.y] for spot in spots]


def answer(line: bytes) -> tuple[Spot, ...] | None:
    """The lay in a line of an island, None for the line that ends its answer."""
    told = json.loads(line)
    return None if told is None else tuple(Spot(int(w), x, y) for w, x, y in told)


def _serve(asked: IO[str], told: IO[str]) -> None:
    island: Island | None = None
    for line in asked:
        message = json.loads(line)
        if "problem" in message:
            problem = problem_from_plain(message["problem"])
            island = None  # so that no two tables are held at once
            island = begun(problem, table_of(problem), _spots(message["spots"]), message["seed"])
            _send(told, island)
        elif island is None:
            raise ValueError("an island is begun before it is told anything else")
        elif "spots" in message:
            taken_over(island, _spots(message["spots"]))
        else:
            while island.moves < message["moves"] and island.length > island.problem.enough:
                if advanced(island):
                    _send(told, island)
            told.write("null\n")
            told.flush()


def _send(told: IO[str], island: Island) -> None:
    told.write(json.dumps(_plain(spots_of(island))) + "\n")
    told.flush()


def _spots(plain: list[list[float]]) -> tuple[Spot, ...]:
    return tuple(Spot(int(w), x, y) for w, x, y in plain)


if __name__ == "__main__":
    if hasattr(os, "nice"):
        os.nice(5)  # windows and the beam go first
    try:
        _serve(sys.stdin, sys.stdout)
    except (BrokenPipeError, KeyboardInterrupt):
        os._exit(0)
