"""How sure a map is: error ellipses of points, and the error of lengths, in mm.

Where the table's frame lies and how it is turned costs a cutter nothing, so every error here is
what is left after the rigid motion that fits the lit area best. All of it is first order: the
covariance of the map's parameters, carried through its derivatives (Criminisi, Reid and Zisserman,
BMVC 1997, compare this with Monte-Carlo for homographies of a plane).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calibration.errors import CalibrationError
from calibration.homography import Array, mapped, spread_field, stretch
from calibration.places import grid_points
from calibration.projector_lens import anchor_points, ideal_points, lens_field
from calibration.table_bow import bow_field
from calibration.table_map import TableMap, lit_outline, screen_points, table_points

__all__ = [
    "CHI_95",
    "NORMAL_95",
    "ErrorMap",
    "Share",
    "error_map",
    "error_radius",
    "free_covariance",
    "length_error",
    "lit_grid",
    "metre_error",
    "moves",
    "point_covariance",
    "shares",
    "spread_moves",
]

CHI_95 = 5.991464547107979
"""95 % of a chi-square with two degrees of freedom: -2 ln 0.05."""
NORMAL_95 = 1.959963984540054
"""Half width of the middle 95 % of a normal distribution."""
METRE = 1000.0


@dataclass(frozen=True, slots=True, eq=False)
class ErrorMap:
    """Radii over the lit area.

    `points` has shape (rows, columns, 2), table mm, even on the screen; `radius` (rows, columns),
    mm: the longer half axis of the 95 % error ellipse.
    """

    points: Array
    radius: Array


@dataclass(frozen=True, slots=True)
class Share:
    """What one cause of error does by itself: `error`, mm, 95 % of a metre at the middle of the
    lit area, the worse of across and along."""

    name: str
    error: float


def lit_grid(table_map: TableMap, columns: int = 13, rows: int = 9) -> Array:
    """Points even on the screen, corner to corner, on the table: (rows * columns, 2), mm."""
    return table_points(table_map, _screen_grid(table_map.screen_size, columns, rows))


def _screen_grid(screen_size: tuple[int, int], columns: int, rows: int) -> Array:
    width, height = screen_size
    return grid_points(
        np.linspace(-0.5, width - 0.5, columns), np.linspace(-0.5, height - 0.5, rows)
    )


def moves(table_map: TableMap, screen_px: npt.ArrayLike) -> Array:
    """How the table points of screen points (n, 2) move with each parameter: (n, 2, m), mm.

    Parameters are in the order of `TableMap.parameter_names`.
    """
    points = np.atleast_2d(np.asarray(screen_px, dtype=np.float64))
    size, matrix = table_map.screen_size, table_map.table_from_screen
    ideal = ideal_points(table_map.lens, size, points)
    flat = mapped(matrix, ideal)
    of_anchors = spread_field(flat, mapped(matrix, anchor_points(size)))
    of_lens = stretch(matrix, ideal) @ lens_field(table_map.lens, size, points)
    field: Array = np.concatenate([of_anchors, of_lens], axis=2)
    if table_map.bow is None:
        return field
    with_flat, of_bow = bow_field(table_map.bow, flat, table_points(table_map, points))
    return np.concatenate([with_flat @ field, of_bow], axis=2)


def free_covariance(table_map: TableMap, covariance: Array) -> Array:
    """A covariance of the parameters (m, m) with the rigid motions of the whole map taken out.

    Rigid motions are taken out as an alignment over the lit area would: each parameter's moves
    lose their best fit by a shift and a turn, which is a move of the four anchors.
    """
    grid = _screen_grid(table_map.screen_size, 13, 9)
    field = moves(table_map, grid)
    anchors = mapped(table_map.table_from_screen, anchor_points(table_map.screen_size))
    rigid, middle = _rigid(table_points(table_map, grid))
    count = field.shape[2]
    fit = np.linalg.lstsq(rigid.reshape(-1, 3), field.reshape(-1, count), rcond=None)[0]
    keep = np.eye(count)
    keep[:8] -= _rigid(anchors, middle)[0].reshape(8, 3) @ fit
    free: Array = keep @ covariance @ keep.T
    return free


def _rigid(points: Array, middle: Array | None = None) -> tuple[Array, Array]:
    """Moves of points (n, 2) by two shifts and a turn about `middle`: (n, 2, 3)."""
    about = points.mean(axis=0) if middle is None else middle
    out = np.zeros((len(points), 2, 3))
    out[:, 0, 0] = out[:, 1, 1] = 1.0
    out[:, 0, 2], out[:, 1, 2] = -(points - about)[:, 1] / METRE, (points - about)[:, 0] / METRE
    return out, about


def _known(table_map: TableMap) -> Array:
    if not table_map.terms:
        raise CalibrationError(
            "this map does not say how sure it is: its record is of an older version; "
            "calibrate again"
        )
    return free_covariance(table_map, table_map.covariance)


def point_covariance(table_map: TableMap, table: npt.ArrayLike) -> Array:
    """Covariance (n, 2, 2), mm^2, of where the map puts table points (n, 2), mm.

    The 95 % ellipse is ``d' C^-1 d <= CHI_95``. The floor is in it. Not covered: cloth that
    moved, a projector that was knocked since, thickness that was not told.

    Raises `CalibrationError` for a map without terms.
    """
    points = np.atleast_2d(np.asarray(table, dtype=np.float64))
    field = moves(table_map, screen_points(table_map, points))
    out: Array = field @ _known(table_map) @ np.swapaxes(field, 1, 2)
    return out + table_map.floor**2 * np.eye(2)


def spread_moves(table_map: TableMap, screen_px: npt.ArrayLike) -> Array:
    """Moves (n, 2, k), mm, of the table points of screen points (n, 2), pixels, by `k` independent
    errors of one standard deviation each, all causes together, without the floor.

    The covariance of any two points is ``M_a M_b'``, so that these tell the error of every length.
    Raises `CalibrationError` for a map without terms.
    """
    covariance = _known(table_map)
    # Millimetres and the lens's small numbers stand side by side: each in its own deviations.
    own = np.sqrt(np.maximum(np.diag(covariance), 1e-300))
    sizes, ways = np.linalg.eigh(covariance / own[:, None] / own)
    told = sizes > 1e-12
    spread: Array = moves(table_map, screen_px) @ (
        own[:, None] * ways[:, told] * sizes[told] ** 0.5
    )
    return spread


def error_radius(covariance: Array) -> Array:
    """The longer half axis (n,) of the 95 % ellipses of covariances (n, 2, 2), mm."""
    largest = np.linalg.eigvalsh(covariance)[:, -1]
    out: Array = np.sqrt(CHI_95 * np.maximum(largest, 0.0))
    return out


def length_error(table_map: TableMap, a: npt.ArrayLike, b: npt.ArrayLike) -> Array:
    """95 % error (n,), mm, of the lengths from table points `a` (n, 2) to `b` (n, 2).

    A length lit as L is L +- this. The floor enters once for each end, but no more than it would
    for a length of one metre, in proportion to the length: what no term explains is smooth, too.

    Raises `CalibrationError` for a map without terms, or for a length of nothing.
    """
    start, end = (np.atleast_2d(np.asarray(side, dtype=np.float64)) for side in (a, b))
    return NORMAL_95 * np.sqrt(_length_variance(table_map, start, end, _known(table_map)))


def _length_variance(table_map: TableMap, start: Array, end: Array, covariance: Array) -> Array:
    way = end - start
    length = np.hypot(way[:, 0], way[:, 1])
    if length.min(initial=np.inf) <= 0.0:
        raise CalibrationError("a length needs two different points")
    field = moves(table_map, screen_points(table_map, end))
    field = field - moves(table_map, screen_points(table_map, start))
    along = np.einsum("ni,nim->nm", way / length[:, None], field)
    out: Array = np.einsum("nm,mk,nk->n", along, covariance, along)
    return out + 2.0 * (table_map.floor * np.minimum(length / METRE, 1.0)) ** 2


def metre_error(table_map: TableMap) -> float:
    """ "1 m is right to +- this", mm: the 95 % error of the worse half of metres in the lit area.

    Metres lie across and along in every part of the lit area; the figure is their 95th percentile.
    """
    starts, ends = _metres(table_map)
    return float(np.percentile(length_error(table_map, starts, ends), 95))


def _metres(table_map: TableMap) -> tuple[Array, Array]:
    outline = lit_outline(table_map)
    middle = outline.mean(axis=0)
    across = (outline[1] + outline[2] - outline[0] - outline[3]) / 2.0
    along = (outline[0] + outline[1] - outline[2] - outline[3]) / 2.0
    starts, ends = [], []
    for way, other in ((across, along), (along, across)):
        size = float(np.hypot(*way))
        step = way / size * min(METRE, 0.9 * size)
        for share in (-0.4, 0.0, 0.4):
            for slide in (-0.5, 0.0, 0.5):
                centre = middle + share * other + slide * (way - step) * 0.9
                starts.append(centre - step / 2.0)
                ends.append(centre + step / 2.0)
    return np.array(starts), np.array(ends)


def shares(table_map: TableMap) -> tuple[Share, ...]:
    """What each cause does to a metre by itself, the greatest first; the floor is among them."""
    starts, ends = _metres(table_map)
    count = len(table_map.parameter_names)
    bare = TableMap(
        table_map.table_from_screen, table_map.screen_size, table_map.lens, table_map.bow, floor=0.0
    )
    found = []
    for term in table_map.terms:
        free = free_covariance(bare, term.covariance)
        error = NORMAL_95 * np.sqrt(_length_variance(bare, starts, ends, free).max())
        found.append(Share(term.name, float(error)))
    only_floor = _length_variance(table_map, starts, ends, np.zeros((count, count))).max()
    found.append(Share("what no term explains", float(NORMAL_95 * np.sqrt(only_floor))))
    return tuple(sorted(found, key=lambda share: -share.error))


def error_map(table_map: TableMap, step: float = 50.0) -> ErrorMap:
    """The 95 % radius over the lit area at about every `step` mm.

    Raises `CalibrationError` for a map without terms, or a step that is not above 0.
    """
    if not step > 0.0:
        raise CalibrationError(f"step of the error map: found {step}, wanted mm above 0")
    outline = lit_outline(table_map)
    sides = np.hypot(*(outline - np.roll(outline, 1, axis=0)).T)
    columns = int(np.clip(max(sides[1], sides[3]) / step, 1, 400)) + 1
    rows = int(np.clip(max(sides[0], sides[2]) / step, 1, 400)) + 1
    points = lit_grid(table_map, columns, rows)
    radius = error_radius(point_covariance(table_map, points))
    return ErrorMap(points.reshape(rows, columns, 2), radius.reshape(rows, columns))
