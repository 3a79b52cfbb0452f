"""TableMap: where on the table a projector pixel falls, and back.

Frames: screen (projector pixels, y down, origin at the centre of the first pixel) and table
(millimetres, y away from the worker). Points are arrays of shape (n, 2).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from calibration.errors import CalibrationError
from calibration.homography import Array, mapped, through_four
from calibration.places import rectangle_corners
from calibration.projector_lens import (
    LENS_NAMES,
    NO_LENS,
    ProjectorLens,
    anchor_points,
    ideal_points,
    real_points,
)
from calibration.table_bow import BOW_NAMES, TableBow, bowed, flattened

__all__ = [
    "Array",
    "TableMap",
    "Term",
    "even_term",
    "lit_outline",
    "parameters",
    "screen_corners",
    "screen_points",
    "table_points",
    "with_parameters",
]

FLOOR = 0.005
"""Error of a point, mm, that no model here explains: a corner found with a bias of 0.01 pixels of a
photograph is off by so much. More, and the ellipses of the best maps hold all points, not 95 %."""
ANCHOR_NAMES = tuple(f"anchor {which} {axis}" for which in range(1, 5) for axis in "xy")


@dataclass(frozen=True, slots=True, eq=False)
class Term:
    """One cause of error: its share of the covariance of the map's parameters.

    Parameters
    ----------
    name
        The cause, as the worker is told it: "corners", "print scale", "projector lens", ...
    covariance
        Shape (m, m), over `TableMap.parameter_names`.
    """

    name: str
    covariance: Array

    def __post_init__(self) -> None:
        value = np.array(self.covariance, dtype=np.float64)
        square = value.ndim == 2 and value.shape[0] == value.shape[1]
        if not square or not np.isfinite(value).all():
            raise CalibrationError(f"covariance of {self.name}: wanted a square of finite numbers")
        if np.diag(value).min(initial=0.0) < 0.0:
            raise CalibrationError(f"covariance of {self.name}: a variance is below 0")
        value.setflags(write=False)
        object.__setattr__(self, "covariance", value)


def even_term(name: str, covariance: Array) -> Term:
    """The term of a covariance (m, m) that rounding has made uneven, or negative next to 0."""
    even: Array = (covariance + covariance.T) / 2.0
    np.fill_diagonal(even, np.maximum(np.diag(even), 0.0))
    return Term(name, even)


@dataclass(frozen=True, slots=True, eq=False)
class TableMap:
    """The map found by a calibration, and how sure it is.

    Parameters
    ----------
    table_from_screen
        Homography, shape (3, 3), scaled so that its last entry is 1. By itself it is close to
        the best plain homography; `table_points` adds the lens and the bow, where they are known.
    screen_size
        Width and height of the projector's screen in pixels; the map holds for no other.
    lens
        The projector's own lens (see `ProjectorLens`); the default has none.
    bow
        A table bowed to the second order; None for a flat one.
    terms
        Causes of error, independent of one another, each a covariance over the same parameters
        (`parameter_names`): the places x, y of the four anchor points of the screen on the table
        (mm), then the numbers of the lens, then with a bow its three coefficients and the
        projector's place. Empty when nothing is known, as in records of version 1.
    floor
        Standard deviation of what no term explains, mm, at a point, each way.
    thickness
        Height of the lit surface above the one that was calibrated, mm (see `height.raised`).

    Raises
    ------
    CalibrationError
        When the matrix is not finite or not invertible, or when its horizon crosses the screen;
        when a term is not over these parameters.
    """

    table_from_screen: Array
    screen_size: tuple[int, int]
    lens: ProjectorLens = NO_LENS
    bow: TableBow | None = None
    terms: tuple[Term, ...] = ()
    floor: float = FLOOR
    thickness: float = 0.0
    screen_from_table: Array = field(init=False)

    def __post_init__(self) -> None:
        matrix = np.array(self.table_from_screen, dtype=np.float64)
        if matrix.shape != (3, 3) or not np.isfinite(matrix).all():
            raise CalibrationError(f"a homography is 3 x 3 finite numbers, found {matrix.shape}")
        if abs(matrix[2, 2]) < 1e-12:
            raise CalibrationError("the homography sends the first pixel to infinity")
        matrix /= matrix[2, 2]
        width, height = self.screen_size
        with np.errstate(over="ignore", invalid="ignore"):
            depth = _homogeneous(screen_corners((width, height))) @ matrix[2]
        if not depth.min() > 0.0:
            raise CalibrationError("the horizon of the map crosses the screen")
        if not np.isfinite(matrix).all() or np.linalg.cond(matrix / np.abs(matrix).max()) > 1e12:
            raise CalibrationError("the homography cannot be inverted")
        inverse = np.linalg.inv(matrix)
        for name, value in (("table_from_screen", matrix), ("screen_from_table", inverse)):
            value.setflags(write=False)
            object.__setattr__(self, name, value)
        count = len(self.parameter_names)
        for term in self.terms:
            if term.covariance.shape != (count, count):
                raise CalibrationError(
                    f"covariance of {term.name}: found {term.covariance.shape}, "
                    f"wanted {count} x {count}"
                )
        if not 0.0 <= self.floor < 100.0:
            raise CalibrationError(f"floor of the error: found {self.floor}, wanted 0 to 100 mm")

    @property
    def parameter_names(self) -> tuple[str, ...]:
        """What the rows and columns of every term's covariance stand for."""
        return ANCHOR_NAMES + LENS_NAMES + (BOW_NAMES if self.bow else ())

    @property
    def covariance(self) -> Array:
        """The sum of the terms, shape (m, m)."""
        count = len(self.parameter_names)
        return sum((term.covariance for term in self.terms), np.zeros((count, count)))


def screen_corners(screen_size: tuple[int, int]) -> Array:
    """Outer corners of the screen's first and last pixels, shape (4, 2), pixels, in turn."""
    width, height = screen_size
    return rectangle_corners(-0.5, -0.5, width - 0.5, height - 0.5)


def _homogeneous(points: npt.ArrayLike) -> Array:
    rows = np.atleast_2d(np.asarray(points, dtype=np.float64))
    return np.column_stack([rows, np.ones(len(rows))])


def table_points(table_map: TableMap, screen_px: npt.ArrayLike) -> Array:
    """Where screen points (n, 2), pixels, fall on the table: (n, 2), mm."""
    points = np.atleast_2d(np.asarray(screen_px, dtype=np.float64))
    ideal = ideal_points(table_map.lens, table_map.screen_size, points)
    moved = _homogeneous(ideal) @ table_map.table_from_screen.T
    if (moved[:, 2] <= 0.0).any():
        raise CalibrationError("a screen point lies beyond the horizon of the map")
    flat: Array = moved[:, :2] / moved[:, 2:]
    return bowed(table_map.bow, flat) if table_map.bow else flat


def screen_points(table_map: TableMap, table: npt.ArrayLike) -> Array:
    """The screen points (n, 2), pixels, that light the table points (n, 2), mm.

    Points off the screen are returned too; `CalibrationError` when one lies beyond the horizon.
    """
    points = np.atleast_2d(np.asarray(table, dtype=np.float64))
    flat = flattened(table_map.bow, points) if table_map.bow else points
    moved = _homogeneous(flat) @ table_map.screen_from_table.T
    # The inverse may carry either sign; on the lit side the third coordinate has the sign
    # it has at the middle of the screen.
    if (moved[:, 2] <= 0.0).any():
        raise CalibrationError("a table point lies beyond the horizon of the map")
    ideal: Array = moved[:, :2] / moved[:, 2:]
    return real_points(table_map.lens, table_map.screen_size, ideal)


def lit_outline(table_map: TableMap) -> Array:
    """The four corners of the lit area on the table, shape (4, 2), mm, in the screen's order."""
    return table_points(table_map, screen_corners(table_map.screen_size))


def parameters(table_map: TableMap) -> Array:
    """The map's parameters (m,), as `TableMap.parameter_names` says."""
    anchors = mapped(table_map.table_from_screen, anchor_points(table_map.screen_size))
    lens, bow = table_map.lens, table_map.bow
    of_bow = (*bow.coefficients, *bow.projector) if bow else ()
    return np.concatenate([anchors.ravel(), lens.values, of_bow])


def with_parameters(table_map: TableMap, values: Array) -> TableMap:
    """The map with these parameters (m,) in place of its own; the rest is kept."""
    matrix = through_four(anchor_points(table_map.screen_size), values[:8].reshape(4, 2))
    last = 8 + len(LENS_NAMES)
    lens = ProjectorLens(tuple(float(value) for value in values[8:last]))
    bow = table_map.bow
    if bow is not None:
        b1, b2, b3, x, y, height = (float(value) for value in values[last:])
        bow = replace(bow, coefficients=(b1, b2, b3), projector=(x, y, height))
    return replace(table_map, table_from_screen=matrix, lens=lens, bow=bow)
