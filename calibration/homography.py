"""Homographies between planes, by the normalised linear fit."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from calibration.errors import CalibrationError

__all__ = ["Array", "fitted", "mapped", "spread_field", "stretch", "through_four"]

Array = npt.NDArray[np.float64]


def mapped(matrix: Array, points: npt.ArrayLike) -> Array:
    """Points (n, 2) sent through a homography (3, 3)."""
    rows = np.atleast_2d(np.asarray(points, dtype=np.float64))
    moved = np.column_stack([rows, np.ones(len(rows))]) @ matrix.T
    out: Array = moved[:, :2] / moved[:, 2:]
    return out


def fitted(source: npt.ArrayLike, target: npt.ArrayLike) -> Array:
    """The homography (3, 3), last entry 1, that sends `source` (n, 2) to `target` (n, 2).

    Least squares in the algebraic error, each set first moved to its centroid and scaled to mean
    distance sqrt 2 (Hartley and Zisserman, the normalised direct linear fit; from memory).

    Raises
    ------
    CalibrationError
        Fewer than four points, sets of different length, or points that (nearly) lie on a line.
    """
    a, b = np.asarray(source, dtype=np.float64), np.asarray(target, dtype=np.float64)
    if a.shape != b.shape or a.ndim != 2 or a.shape[1] != 2 or len(a) < 4:
        raise CalibrationError(
            f"a homography needs four or more pairs of points, found {a.shape} and {b.shape}"
        )
    if not (np.isfinite(a).all() and np.isfinite(b).all()):
        raise CalibrationError("a homography needs finite points")
    of_a, of_b = _normaliser(a), _normaliser(b)
    p, q = mapped(of_a, a), mapped(of_b, b)
    one, zero = np.ones((len(p), 1)), np.zeros((len(p), 3))
    rows = np.column_stack([p, one])
    system = np.vstack(
        [
            np.hstack([rows, zero, -q[:, :1] * rows]),
            np.hstack([zero, rows, -q[:, 1:] * rows]),
        ]
    )
    # The last row of `turned` spans what the system sends to nothing; of eight rows only the
    # full decomposition has it, of many rows the left side would be a needless large square.
    _, singular, turned = np.linalg.svd(system, full_matrices=len(system) < 9)
    if singular[7] < 1e-9 * singular[0]:
        raise CalibrationError("the points lie on one line; spread them over the table")
    matrix: Array = np.linalg.inv(of_b) @ turned[-1].reshape(3, 3) @ of_a
    if abs(matrix[2, 2]) < 1e-12 * np.abs(matrix).max():
        raise CalibrationError("the homography sends the origin to infinity")
    scaled: Array = matrix / matrix[2, 2]
    return scaled


def through_four(source: Array, target: Array) -> Array:
    """The homography (3, 3), last entry 1, that sends four points exactly to four others (4, 2).

    Raises `CalibrationError` when three of them lie on a line, or the origin goes to infinity.
    """
    (x, y), (u, v) = source.T, target.T
    one, zero = np.ones(4), np.zeros(4)
    system = np.vstack(
        [
            np.column_stack([x, y, one, zero, zero, zero, -u * x, -u * y]),
            np.column_stack([zero, zero, zero, x, y, one, -v * x, -v * y]),
        ]
    )
    try:
        values = np.linalg.solve(system, np.concatenate([u, v]))
    except np.linalg.LinAlgError as error:
        raise CalibrationError("three of four points lie on one line") from error
    return np.append(values, 1.0).reshape(3, 3)


def stretch(matrix: Array, points: Array) -> Array:
    """Derivatives of a homography's picture with its points: (n, 2, 2)."""
    moved = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    depth = moved[:, 2, None, None]
    picture = (moved[:, :2] / moved[:, 2:])[:, :, None]
    out: Array = (matrix[:2, :2] - picture * matrix[2, :2]) / depth
    return out


def spread_field(points: Array, anchors: Array) -> Array:
    """How a homography's picture moves when four of its points do: (n, 2, 8).

    Small moves of a homography's picture are ``a + M p + p (c . p)`` with eight numbers; they are
    solved for from the moves of the four `anchors` (4, 2), so that the field times the anchors'
    moves (x, y of each in turn) is the move of `points` (n, 2), to first order, in the same unit.
    """
    middle, size = anchors.mean(axis=0), float(np.abs(anchors - anchors.mean(axis=0)).max())
    shape = _moves((anchors - middle) / size).reshape(8, 8)
    field: Array = _moves((points - middle) / size) @ np.linalg.inv(shape)
    return field


def _moves(points: Array) -> Array:
    x, y = points[:, 0], points[:, 1]
    one, zero = np.ones_like(x), np.zeros_like(x)
    return np.stack(
        [
            np.stack([one, zero, x, y, zero, zero, x * x, x * y], axis=-1),
            np.stack([zero, one, zero, zero, x, y, x * y, y * y], axis=-1),
        ],
        axis=1,
    )


def _normaliser(points: Array) -> Array:
    middle = points.mean(axis=0)
    spread = float(np.hypot(*(points - middle).T).mean())
    if spread <= 0.0:
        raise CalibrationError("all points are at one place; spread them over the table")
    scale = np.sqrt(2.0) / spread
    return np.array(
        [[scale, 0.0, -scale * middle[0]], [0.0, scale, -scale * middle[1]], [0.0, 0.0, 1.0]]
    )
