"""The camera's view and its derivatives against OpenCV and SciPy."""

import cv2
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from calibration.camera import Pose, back_projected, seen, turned_by, turning
from calibration.errors import CalibrationError

FOCAL, MIDDLE = 1500.0, (980.0, 530.0)
K1, K2, K3, P1, P2 = 0.12, -0.35, 0.21, 0.004, -0.003
LENS = np.array([np.log(FOCAL), *MIDDLE, K1, K2, K3, P1, P2])
INNER = np.array([[FOCAL, 0.0, MIDDLE[0]], [0.0, FOCAL, MIDDLE[1]], [0.0, 0.0, 1.0]])
BENT = np.array([K1, K2, P1, P2, K3])
VECTOR, SHIFT = np.array([2.6, 0.3, -0.4]), np.array([-400.0, 300.0, 1500.0])
POSE = Pose(cv2.Rodrigues(VECTOR)[0], SHIFT)
POINTS = np.random.default_rng(3).uniform([-100, -100, -60], [900, 600, 60], (12, 3))


def opencv(points: np.ndarray, vector: np.ndarray, shift: np.ndarray) -> np.ndarray:
    return cv2.projectPoints(points, vector, shift, INNER, BENT)[0].reshape(-1, 2)


def by_steps(of: object, count: int, step: float) -> np.ndarray:
    """Central differences of a function of `count` numbers, in the last axis."""
    rows = step * np.eye(count)
    return np.stack([(of(row) - of(-row)) / (2 * step) for row in rows], axis=-1)  # type: ignore[operator]


def test_points_are_seen_where_opencv_sees_them() -> None:
    view = seen(LENS, POSE, POINTS)
    assert view.points_px == pytest.approx(opencv(POINTS, VECTOR, SHIFT), abs=1e-9)
    assert np.ptp(view.points_px[:, 0]) > 500.0


def test_derivatives_by_the_lens_are_opencvs() -> None:
    # OpenCV's columns: turn 3, shift 3, fx, fy, cx, cy, k1, k2, p1, p2, k3.
    found = cv2.projectPoints(POINTS, VECTOR, SHIFT, INNER, BENT)[1].reshape(12, 2, -1)
    view = seen(LENS, POSE, POINTS)
    assert view.by_lens[..., 0] == pytest.approx(FOCAL * found[..., 6:8].sum(axis=2), rel=1e-9)
    assert view.by_lens[..., 1:] == pytest.approx(found[..., [8, 9, 10, 11, 14, 12, 13]], rel=1e-9)
    assert view.by_pose[..., 3:] == pytest.approx(found[..., 3:6], rel=1e-9, abs=1e-12)


def test_derivatives_by_turns_and_points_are_differences_of_opencv() -> None:
    def after_a_turn(angles: np.ndarray) -> np.ndarray:
        turn = Rotation.from_rotvec(angles) * Rotation.from_rotvec(VECTOR)
        return opencv(POINTS, turn.as_rotvec(), SHIFT)

    view = seen(LENS, POSE, POINTS)
    assert view.by_pose[..., :3] == pytest.approx(by_steps(after_a_turn, 3, 1e-5), abs=1e-4)
    moved = by_steps(lambda aside: opencv(POINTS + aside, VECTOR, SHIFT), 3, 1e-3)
    assert view.by_point == pytest.approx(moved, abs=1e-6)


def test_turns_are_scipys() -> None:
    for angles in ([0.3, -0.8, 1.9], [1e-5, 2e-5, -3e-5], [1e-13, 0.0, 2e-13], [0.0, 0.0, 0.0]):
        expected = Rotation.from_rotvec(angles).as_matrix()
        assert turning(np.array(angles)) == pytest.approx(expected, abs=1e-15)
    pose = POSE
    step = np.array([0.2, -0.1, 0.3, 5.0, -6.0, 7.0])
    for _ in range(3):
        pose = turned_by(pose, step)
    thrice = Rotation.from_rotvec(step[:3]) ** 3 * Rotation.from_rotvec(VECTOR)
    assert pose.turn == pytest.approx(thrice.as_matrix(), abs=1e-12)
    assert pose.shift == pytest.approx(SHIFT + 3 * step[3:])
    # A matrix that rounding has bent comes back to the rotation nearest to it.
    bent = turned_by(Pose(POSE.turn * (1 + 1e-5), SHIFT), np.zeros(6))
    assert bent.turn @ bent.turn.T == pytest.approx(np.eye(3), abs=1e-9)


@pytest.mark.parametrize("height", [0.0, 25.0])
def test_rays_meet_the_plane_where_opencvs_do(height: float) -> None:
    points = np.column_stack([POINTS[:, :2], np.full(12, height)])
    points_px = opencv(points, VECTOR, SHIFT)
    assert back_projected(LENS, POSE, points_px, height) == pytest.approx(points[:, :2], abs=1e-6)
    if height == 0.0:
        assert back_projected(LENS, POSE, points_px) == pytest.approx(points[:, :2], abs=1e-6)


def test_what_lies_behind_the_camera_is_refused() -> None:
    # By hand: the camera looks along +z of the table's frame from its own place.
    level = Pose(np.eye(3), np.zeros(3))
    assert len(seen(LENS, level, np.array([[0.0, 0.0, 1.1]])).points_px) == 1
    assert seen(LENS, level, np.empty((0, 3))).points_px.shape == (0, 2)
    for depth in (1.0, -5.0):
        with pytest.raises(CalibrationError, match="behind the camera"):
            seen(LENS, level, np.array([[0.0, 0.0, 900.0], [0.0, 0.0, depth]]))
    with pytest.raises(CalibrationError, match="looks past the table"):
        back_projected(LENS, level, np.array([MIDDLE]), -10.0)
    across = Pose(np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]]), np.zeros(3))
    straight = np.concatenate([LENS[:3], np.zeros(5)])
    with pytest.raises(CalibrationError, match="looks past the table"):
        back_projected(straight, across, np.array([MIDDLE]), 10.0)
