"""Plain polygons laid on a strip: the search by itself, for others to judge it.

    from projector.cloth.plain_lay import lay_polygons

    for lay in lay_polygons(outlines, width=1500.0, seconds=10.0, processes=2, seed=1):
        print(lay.length, lay.density)

The strip is `width` high in y and as short in x as it is found. The compiled loops are kept on
disk after their first run; `warmed_up()` makes them beforehand, so that no timing counts it.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from projector.cloth.search.first_lay import first_lay
from projector.cloth.search.problem import Array, Part, Problem, Spot, Way, far_end, outline_array
from projector.errors import ProjectorError

__all__ = ["PlainLay", "lay_polygons", "warmed_up"]


@dataclass(frozen=True, slots=True)
class PlainLay:
    """A lay without overlap, verified by shapely.

    Parameters
    ----------
    length
        Length of strip it takes.
    density
        Area of the polygons over the area of strip they take, 0 to 1.
    places
        For each polygon: its turn in degrees counter-clockwise about the origin of its
        coordinates, then its shift in x and y.
    """

    length: float
    density: float
    places: tuple[tuple[float, float, float], ...]


def lay_polygons(
    outlines: Sequence[npt.ArrayLike],
    width: float,
    turns_deg: Sequence[float] | Sequence[Sequence[float]] = (0.0, 180.0),
    seconds: float = math.inf,
    budget: int = 1_000_000,
    seed: int = 0,
    processes: int = 2,
) -> Iterator[PlainLay]:
    """Each shorter lay of some polygons on a strip, as it is found; the last is the shortest.

    Parameters
    ----------
    outlines
        Corners (n, 2) of every polygon to be laid, one entry a copy, in any unit.
    width
        Width of the strip in that unit.
    turns_deg
        The turns allowed, for all polygons or for each by itself.
    seconds, budget
        When to stop: by the clock, or after an amount of work (500 moves of a polygon on each of
        two islands). With the same seed and budget, and `seconds` left out, the last lay is the
        same on one process and on two.

    Raises
    ------
    ProjectorError
        For an outline without area, or one that does not fit the strip.
    """
    end = time.monotonic() + seconds
    each = [turns_deg] * len(outlines) if np.ndim(turns_deg[0]) == 0 else turns_deg
    known: dict[bytes, tuple[Way, ...]] = {}
    parts, area = [], 0.0
    for points, turns in zip(outlines, each, strict=True):
        outline = outline_array(points)
        area += shapely.Polygon(outline).area
        key = outline.tobytes() + np.array(turns, np.float64).tobytes()
        if key not in known:
            known[key] = tuple(Way(_turned(outline, float(t))) for t in np.atleast_1d(turns))
        parts.append(Part(known[key], (0.0, 0.0), 0.0, width))
    problem = Problem(tuple(parts), enough=area / width * (1.0 + 2e-5))
    lay = first_lay(problem, seed)
    if lay is None:
        raise ProjectorError(f"a polygon does not fit a strip {width:g} wide in any of its turns")
    yield _plain(problem, lay, area, width, each)
    from projector.cloth.search.islands import improved

    def stopped() -> bool:
        return time.monotonic() > end

    for better in improved(problem, lay, seed, budget, processes, stopped):
        yield _plain(problem, better, area, width, each)


def _turned(outline: Array, degrees: float) -> Array:
    quarters = degrees / 90.0
    if quarters == round(quarters):  # exactly, without rounding
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarters) % 4]
    else:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turned: Array = outline @ np.array([[c, s], [-s, c]])
    return turned


def _plain(
    problem: Problem, lay: tuple[Spot, ...], area: float, width: float, turns: Sequence[object]
) -> PlainLay:
    length = far_end(problem, lay)
    places = tuple(
        (float(np.atleast_1d(np.asarray(of, np.float64))[spot.way]), spot.x, spot.y)
        for of, spot in zip(turns, lay, strict=True)
    )
    return PlainLay(length, area / (length * width), places)


def warmed_up() -> float:
    """Compile whatever is not compiled yet, or load it; the seconds it took."""
    began = time.monotonic()
    square = [(0.0, 0.0), (3.0, 0.0), (3.0, 2.0), (0.0, 2.0)]
    for _ in lay_polygons([square] * 5, 5.0, budget=1, processes=1):
        pass
    return time.monotonic() - began
