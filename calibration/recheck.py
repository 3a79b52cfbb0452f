"""Does a map still hold? By a fresh map of one photograph, or by taping one lit square.

A projector that was knocked moves its picture as a whole, which costs nothing, and changes its
scale and shape, which does. Both checks compare what the map promises with what is seen now, each
with its error, and say by how much it moved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.stats import chi2

from calibration.errors import CalibrationError
from calibration.homography import Array
from calibration.table_map import TableMap, screen_points, table_points
from calibration.tape import Length
from calibration.uncertainty import CHI_95, METRE, NORMAL_95, free_covariance, lit_grid, moves

__all__ = ["Recheck", "lit_square", "of_lengths", "of_maps"]

CHANCE = 0.001
"""A map that holds is called moved no more often than this."""


@dataclass(frozen=True, slots=True, eq=False)
class Recheck:
    """The verdict of a re-check.

    Parameters
    ----------
    holds
        False when what is seen now cannot be had from the map by chance, or when the change exceeds
        the tolerance beyond its error.
    moved
        How far true scale has changed: 95th percentile over the lit area after the best rigid
        motion (two maps), or the greatest miss of a length (tape), mm.
    error
        95 % error of `moved` if nothing had changed, mm.
    scale
        New lengths over the map's, less one.
    chance
        How likely so much is by chance when nothing has moved.
    told
        One line for the worker.
    """

    holds: bool
    moved: float
    error: float
    scale: float
    chance: float
    told: str


def lit_square(table_map: TableMap, side: float = 600.0) -> Array:
    """Corners of a square (4, 2), table mm, about the middle of the lit area, to light and tape.

    It is shrunk where it would leave the lit area.
    """
    width, height = table_map.screen_size
    middle = lit_grid(table_map).mean(axis=0)
    corners = np.array([[-0.5, 0.5], [0.5, 0.5], [0.5, -0.5], [-0.5, -0.5]])
    for _ in range(40):
        square: Array = middle + side * corners
        on_screen = screen_points(table_map, square)
        if ((on_screen >= 0) & (on_screen <= [width - 1, height - 1])).all():
            return square
        side *= 0.9
    raise CalibrationError("no square fits the lit area; calibrate again")


def of_lengths(
    table_map: TableMap,
    points: npt.ArrayLike,
    lengths: Sequence[Length | tuple[int, int, float]],
    tape_error: float = 0.5,
) -> Recheck:
    """The verdict of lengths, mm, taped between lit points (n, 2), table mm of the map.

    For a square of `lit_square`: its sides (0, 1), (1, 2), (2, 3), (3, 0) and diagonals (0, 2),
    (1, 3); fewer will do. `tape_error` is of one length, standard deviation.

    Raises `CalibrationError` when no length is given or a point is not there.
    """
    places = np.atleast_2d(np.asarray(points, dtype=np.float64))
    taped = [part if isinstance(part, Length) else Length(*part) for part in lengths]
    if not taped:
        raise CalibrationError("no length was given; tape a side of the square")
    for part in taped:
        if not (0 <= part.first < len(places) and 0 <= part.second < len(places)):
            raise CalibrationError(
                f"found a length from {part.first} to {part.second}, wanted points 0 to "
                f"{len(places) - 1}"
            )
    first = [part.first for part in taped]
    second = [part.second for part in taped]
    way = places[second] - places[first]
    promised = np.hypot(way[:, 0], way[:, 1])
    if promised.min() <= 0.0:
        raise CalibrationError("a length needs two different points")
    measured = np.array([part.length for part in taped])
    field = moves(table_map, screen_points(table_map, places))
    along = np.einsum("ni,nim->nm", way / promised[:, None], field[second] - field[first])
    own = free_covariance(table_map, table_map.covariance)
    each = tape_error**2 + 2.0 * table_map.floor**2
    spread = along @ own @ along.T + each * np.eye(len(taped))
    off = measured - promised
    chance = float(chi2.sf(off @ np.linalg.solve(spread, off), len(off)))
    worst = int(np.argmax(np.abs(off)))
    error = float(NORMAL_95 * np.sqrt(spread[worst, worst]))
    scale = float((promised @ off) / (promised @ promised))
    return _verdict(chance, float(np.abs(off[worst])), error, scale, "a length")


def of_maps(before: TableMap, now: TableMap, tolerance: float | None = None) -> Recheck:
    """The verdict of a fresh map, e.g. of one photograph, against the one in use.

    Only true scale and shape are compared: frames may differ by any rigid motion. `tolerance`, mm:
    a change that is sure but smaller still holds; None to call any sure change moved.

    Raises `CalibrationError` when the maps are of different screens.
    """
    if before.screen_size != now.screen_size:
        raise CalibrationError(
            f"the new map is of a screen of {now.screen_size[0]} x {now.screen_size[1]}, the one "
            f"in use of {before.screen_size[0]} x {before.screen_size[1]}; set the resolution back"
        )
    grid = lit_grid(before)
    screen = screen_points(before, grid)
    seen = table_points(now, screen)
    a, b = seen - seen.mean(axis=0), grid - grid.mean(axis=0)
    u, _, v = np.linalg.svd(a.T @ b)
    turn = u @ np.diag([1.0, np.sign(np.linalg.det(u @ v))]) @ v
    off = a @ turn - b
    moved = float(np.percentile(np.hypot(off[:, 0], off[:, 1]), 95))
    scale = float(((a @ turn) * b).sum() / (b * b).sum() - 1.0)
    own = moves(before, screen)
    other = np.einsum("ij,njm->nim", turn.T, moves(now, screen))
    covariances = [free_covariance(m, m.covariance) for m in (before, now)]
    spread = sum(
        (
            np.einsum("nim,mk,pjk->nipj", field, covariance, field)
            for field, covariance in zip((own, other), covariances, strict=True)
        ),
        np.zeros((len(grid), 2, len(grid), 2)),
    ).reshape(off.size, off.size)
    floor = before.floor**2 + now.floor**2
    # The errors of the maps are smooth: their few modes, not each point, are the evidence.
    values, axes = np.linalg.eigh(spread)
    large = values > max(1e-6 * values[-1], 1e-12)
    told = axes[:, large].T @ off.ravel()
    chance = float(chi2.sf((told**2 / (values[large] + floor)).sum(), int(large.sum())))
    # The mean square of a point's miss, both ways together; of a circle, 95 % lie within this.
    square = np.trace(spread) / len(grid) + 2.0 * floor
    error = float(np.sqrt(CHI_95 * square / 2.0))
    verdict = _verdict(chance, moved, error, scale, "the lit area")
    if tolerance is not None and moved <= tolerance and not verdict.holds:
        return Recheck(
            True, moved, verdict.error, scale, chance,
            f"moved by {moved:.2f} mm, within {tolerance:g} mm: the map still serves",
        )  # fmt: skip
    return verdict


def _verdict(chance: float, moved: float, error: float, scale: float, what: str) -> Recheck:
    holds = chance >= CHANCE
    told = (
        f"the map holds: {what} is off by {moved:.2f} mm, and up to {error:.2f} mm is chance"
        if holds
        else f"the map has moved: {what} is off by {moved:.2f} mm where {error:.2f} mm is chance, "
        f"{scale * METRE:+.1f} mm in a metre; calibrate again"
    )
    return Recheck(holds, moved, error, scale, chance, told)
