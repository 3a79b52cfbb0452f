"""A phone's or webcam's view of the table, with its lens, and all its derivatives.

The lens is that of Brown and Conrady as OpenCV writes it: for a point seen at (x, y) on the plane
at distance one, ``r^2 = x^2 + y^2`` and

    x' = x (1 + k1 r^2 + k2 r^4 + k3 r^6) + 2 p1 x y + p2 (r^2 + 2 x^2)
    y' = y (1 + k1 r^2 + k2 r^4 + k3 r^6) + p1 (r^2 + 2 y^2) + 2 p2 x y

then ``u = f x' + cx, v = f y' + cy``, square pixels.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calibration.errors import CalibrationError
from calibration.homography import Array

__all__ = ["LENS_COUNT", "Pose", "View", "back_projected", "seen", "turned_by", "turning"]

LENS_COUNT = 8
"""ln f, cx, cy, k1, k2, k3, p1, p2."""


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """Where a photograph was taken from: a table point `P` is at ``turn P + shift`` before the
    lens, mm, right, down and forward. `turn` is (3, 3), `shift` (3,)."""

    turn: Array
    shift: Array


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """Points seen (n, 2), pixels, with their derivatives.

    `by_lens` (n, 2, 8); `by_pose` (n, 2, 6), three small turns about the camera's axes and the
    shift; `by_point` (n, 2, 3).
    """

    points_px: Array
    by_lens: Array
    by_pose: Array
    by_point: Array


def turning(angles: Array) -> Array:
    """The rotation (3, 3) by a vector of angles (3,): Rodrigues' formula."""
    angle = float(np.linalg.norm(angles))
    if angle < 1e-12:
        return np.eye(3) + _cross(angles)
    axis = _cross(angles / angle)
    out: Array = np.eye(3) + np.sin(angle) * axis + (1.0 - np.cos(angle)) * axis @ axis
    return out


def _cross(vector: Array) -> Array:
    x, y, z = vector
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])


def _crossed(vectors: Array, rows: Array) -> Array:
    """Each vector (n, 3) crossed with its rows (n, 2, 3): (n, 2, 3)."""
    x, y, z = (vectors[:, None, axis] for axis in range(3))
    a, b, c = (rows[:, :, axis] for axis in range(3))
    return np.stack([y * c - z * b, z * a - x * c, x * b - y * a], axis=-1)


def turned_by(pose: Pose, step: Array) -> Pose:
    """A pose after small turns and a shift (6,), in the order of `View.by_pose`.

    Turned about the camera's own place on the way, so that the shift is left alone.
    """
    turn = turning(step[:3]) @ pose.turn
    # One step towards the nearest rotation, so that rounding does not add up.
    turn = 1.5 * turn - 0.5 * turn @ turn.T @ turn
    return Pose(turn, pose.shift + step[3:])


def seen(lens: Array, pose: Pose, points: Array) -> View:
    """How a camera of lens (8,) sees points (n, 3), mm, of the table's frame.

    Raises `CalibrationError` when a point is not before the camera.
    """
    turned = points @ pose.turn.T
    before = turned + pose.shift
    depth = before[:, 2]
    if depth.min(initial=np.inf) <= 1.0:
        raise CalibrationError("a point of the table lies behind the camera")
    focal = float(np.exp(lens[0]))
    k1, k2, k3, p1, p2 = lens[3:]
    x, y = before[:, 0] / depth, before[:, 1] / depth
    square = x * x + y * y
    radial = 1.0 + square * (k1 + square * (k2 + square * k3))
    slope = k1 + square * (2.0 * k2 + square * 3.0 * k3)
    bent_x = x * radial + 2.0 * p1 * x * y + p2 * (square + 2.0 * x * x)
    bent_y = y * radial + p1 * (square + 2.0 * y * y) + 2.0 * p2 * x * y
    points_px = np.column_stack([focal * bent_x + lens[1], focal * bent_y + lens[2]])

    by_lens = np.zeros((len(points), 2, LENS_COUNT))
    by_lens[:, 0, 0], by_lens[:, 1, 0] = focal * bent_x, focal * bent_y
    by_lens[:, 0, 1] = by_lens[:, 1, 2] = 1.0
    for index, power in enumerate((square, square**2, square**3)):
        by_lens[:, 0, 3 + index], by_lens[:, 1, 3 + index] = focal * x * power, focal * y * power
    by_lens[:, 0, 6], by_lens[:, 1, 6] = 2.0 * focal * x * y, focal * (square + 2.0 * y * y)
    by_lens[:, 0, 7], by_lens[:, 1, 7] = focal * (square + 2.0 * x * x), 2.0 * focal * x * y

    cross = 2.0 * slope * x * y + 2.0 * p1 * x + 2.0 * p2 * y
    by_xy = np.empty((len(points), 2, 2))
    by_xy[:, 0, 0] = radial + 2.0 * slope * x * x + 2.0 * p1 * y + 6.0 * p2 * x
    by_xy[:, 0, 1] = by_xy[:, 1, 0] = cross
    by_xy[:, 1, 1] = radial + 2.0 * slope * y * y + 6.0 * p1 * y + 2.0 * p2 * x
    of_before = np.zeros((len(points), 2, 3))
    of_before[:, 0, 0] = of_before[:, 1, 1] = 1.0 / depth
    of_before[:, 0, 2], of_before[:, 1, 2] = -x / depth, -y / depth
    by_before = focal * by_xy @ of_before

    by_pose = np.empty((len(points), 2, 6))
    # A small turn w moves R P by w x R P: the rows of the derivative are R P x row.
    by_pose[:, :, :3] = _crossed(turned, by_before)
    by_pose[:, :, 3:] = by_before
    return View(points_px, by_lens, by_pose, by_before @ pose.turn)


def back_projected(lens: Array, pose: Pose, points_px: Array, height: float = 0.0) -> Array:
    """Where rays through photograph points (n, 2) meet the plane at `height`: (n, 2), table mm.

    Raises `CalibrationError` when a ray does not reach the plane.
    """
    focal = float(np.exp(lens[0]))
    bent = (points_px - lens[1:3]) / focal
    k1, k2, k3, p1, p2 = lens[3:]
    straight = bent
    for _ in range(20):
        x, y = straight.T
        square = x * x + y * y
        radial = 1.0 + square * (k1 + square * (k2 + square * k3))
        aside = np.column_stack(
            [
                2.0 * p1 * x * y + p2 * (square + 2.0 * x * x),
                p1 * (square + 2.0 * y * y) + 2.0 * p2 * x * y,
            ]
        )
        straight = (bent - aside) / radial[:, None]
    eye = -pose.turn.T @ pose.shift
    ahead = np.column_stack([straight, np.ones(len(straight))]) @ pose.turn
    with np.errstate(divide="ignore", invalid="ignore"):
        far = (height - eye[2]) / ahead[:, 2]
    if not (np.isfinite(far).all() and (far > 0.0).all()):
        raise CalibrationError("the photograph looks past the table; take it from higher up")
    table: Array = eye[:2] + far[:, None] * ahead[:, :2]
    return table
