"""A first guess of a scene, for one focal length: poses from planes, the map by back-projection."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calibration.camera import Pose, back_projected, turned_by
from calibration.errors import CalibrationError
from calibration.evidence import PhotoSight
from calibration.homography import Array, fitted
from calibration.scene import Layout, Scene
from calibration.table_map import TableMap, parameters, table_points

__all__ = ["mirrored_pose", "plane_pose", "started"]

FEWEST = 4


def plane_pose(lens: Array, plane: Array, photo_px: Array) -> Pose:
    """The pose that a plane's homography has, for a known focal length: its two columns made
    square (Zhang's decomposition). `plane` (n, 2), mm; the lens's distortion is left out."""
    focal = float(np.exp(lens[0]))
    straight = (photo_px - lens[1:3]) / focal
    middle = plane.mean(axis=0)
    matrix = fitted(plane - middle, straight)
    matrix = matrix / np.sqrt(np.linalg.norm(matrix[:, 0]) * np.linalg.norm(matrix[:, 1]))
    if matrix[2, 2] < 0.0:
        matrix = -matrix
    u, _, v = np.linalg.svd(matrix[:, :2], full_matrices=False)
    first, second = (u @ v).T
    turn = np.array([first, second, np.cross(first, second)]).T
    shift = matrix[:, 2] - turn[:, :2] @ middle
    return Pose(turn, shift)


def mirrored_pose(pose: Pose, at: Array) -> Pose:
    """The pose that shows a small plane about the table point `at` (2,) nearly alike: its normal
    mirrored at the line of sight. The other of two that a far plane cannot tell apart."""
    middle = pose.turn[:, :2] @ at + pose.shift
    sight = middle / np.linalg.norm(middle)
    normal = pose.turn[:, 2]
    axis = np.cross(normal, sight)
    size = float(np.linalg.norm(axis))
    if size < 1e-9:
        return pose
    angle = 2.0 * np.arctan2(size, float(normal @ sight))
    # Towards the sight and as far beyond; a normal that faces the camera has normal . sight < 0.
    if normal @ sight < 0.0:
        angle -= 2.0 * np.pi
    turned = turned_by(pose, np.array([*(axis / size * angle), 0.0, 0.0, 0.0]))
    return Pose(turned.turn, middle - turned.turn[:, :2] @ at)


def started(
    photos: Sequence[PhotoSight],
    screen_size: tuple[int, int],
    layout: Layout,
    focal_px: float,
    mirrored: bool,
) -> Scene:
    """A scene near the truth, if the focal length is.

    The photograph that shows the frame's sheet largest gives a pose (or, `mirrored`, its twin);
    its projected corners thrown back on the table give the map, the map gives the other poses,
    and those the places of the other sheets.

    Raises `CalibrationError` when this guess leads nowhere.
    """
    values = np.zeros(layout.count)
    values[0] = np.log(focal_px)
    for photo, sensor in zip(photos, layout.sensors, strict=True):
        values[layout.sensor(sensor).start : layout.sensor(sensor).start + 2] = (
            np.array(photo.photo_size) - 1.0
        ) / 2.0
    lenses = [
        np.array([values[0], *values[layout.sensor(sensor)][:2], *[0.0] * 5])
        for sensor in layout.sensors
    ]
    first = _base(photos, layout)
    plane, seen_px, height = _sheet_seen(photos[first], layout.sheets[0])
    base = plane_pose(lenses[first], plane, seen_px)
    base = Pose(base.turn, base.shift - base.turn[:, 2] * height)
    if mirrored:
        base = mirrored_pose(base, plane.mean(axis=0))
    table = back_projected(lenses[first], base, photos[first].photo_px)
    table_map = TableMap(fitted(photos[first].screen_px, table), screen_size)
    poses: list[Pose] = []
    for index, photo in enumerate(photos):
        if index == first:
            poses.append(base)
        else:
            poses.append(_pose_in_map(photo, lenses[index], table_map, layout))
    for index, pose in enumerate(poses):
        values[layout.pose(index)][3:] = pose.shift
    values[layout.table_map] = parameters(table_map)
    for index in range(1, len(layout.sheets)):
        values[layout.sheet(index)] = _place(photos, layout.sheets[index], lenses, poses)
    return Scene(layout, values, tuple(pose.turn for pose in poses), table_map)


def _base(photos: Sequence[PhotoSight], layout: Layout) -> int:
    sizes = [0.0] * len(photos)
    for index, photo in enumerate(photos):
        for reference in photo.references:
            if reference.name == layout.sheets[0] and len(photo.screen_px) >= FEWEST:
                spread = np.ptp(reference.photo_px, axis=0) / max(photo.photo_size)
                sizes[index] = float(spread.prod())
    best = int(np.argmax(sizes))
    if sizes[best] <= 0.0:
        raise CalibrationError(
            f"no photograph shows both the projected board and {layout.sheets[0]!r}; "
            "take one that shows both"
        )
    return best


def _sheet_seen(photo: PhotoSight, name: str) -> tuple[Array, Array, float]:
    for reference in photo.references:
        if reference.name == name:
            return reference.plane * reference.scale, reference.photo_px, reference.height
    raise CalibrationError(f"{photo.subject} does not show {name!r}")


def _pose_in_map(photo: PhotoSight, lens: Array, table_map: TableMap, layout: Layout) -> Pose:
    if len(photo.screen_px) >= FEWEST:
        return plane_pose(lens, table_points(table_map, photo.screen_px), photo.photo_px)
    plane, seen_px, height = _sheet_seen(photo, layout.sheets[0])
    pose = plane_pose(lens, plane, seen_px)
    return Pose(pose.turn, pose.shift - pose.turn[:, 2] * height)


def _place(
    photos: Sequence[PhotoSight], name: str, lenses: list[Array], poses: list[Pose]
) -> Array:
    """Where a sheet lies: x, y, angle, by the rigid fit of its points thrown back on the table."""
    for photo, lens, pose in zip(photos, lenses, poses, strict=True):
        if any(reference.name == name for reference in photo.references):
            plane, seen_px, height = _sheet_seen(photo, name)
            table = back_projected(lens, pose, seen_px, height)
            a, b = plane - plane.mean(axis=0), table - table.mean(axis=0)
            angle = np.arctan2((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum(), (a * b).sum())
            c, s = np.cos(angle), np.sin(angle)
            x, y = table.mean(axis=0) - plane.mean(axis=0) @ np.array([[c, s], [-s, c]])
            return np.array([x, y, angle])
    raise CalibrationError(f"no photograph shows {name!r}")
