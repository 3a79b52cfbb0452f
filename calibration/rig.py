"""A simulated projector, table and camera, in closed form: the truth that estimates are held to.

The projector is a camera turned round (pinhole, lens, lens shift, keystone correction), the table
flat, bowed or raised, and the camera a phone or a webcam with a lens of its own. Frames: table
(mm, z up), screen and photograph (pixels, y down, origin at the centre of the first pixel).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from calibration.homography import Array, mapped

__all__ = [
    "Camera",
    "Projector",
    "Rig",
    "Table",
    "View",
    "photo_points",
    "surface_points",
    "true_screen_points",
    "true_table_points",
]


@dataclass(frozen=True, slots=True, eq=False)
class Camera:
    """A pinhole with a lens, in OpenCV's terms: radial k1, k2, k3 and tangential p1, p2."""

    focal_px: float
    centre_px: tuple[float, float]
    photo_size: tuple[int, int]
    radial: tuple[float, float, float] = (0.0, 0.0, 0.0)
    tangential: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """Where a camera or a projector is: `position` (3,) in mm, rows of `turn` (3, 3) its axes
    right, down and forward, in the table's frame."""

    position: Array
    turn: Array


@dataclass(frozen=True, slots=True, eq=False)
class Projector:
    """A camera turned round: a ray of the table is bent by the lens and meets the panel.

    `panel_from_screen` is the homography of its own keystone correction, identity when off.
    The centre of the lens is where its axis meets the panel, off the middle under lens shift.
    """

    view: View
    lens: Camera
    screen_size: tuple[int, int]
    panel_from_screen: Array = field(default_factory=lambda: np.eye(3))


@dataclass(frozen=True, slots=True)
class Table:
    """Heights ``raised + b1 X^2 + b2 X Y + b3 Y^2``, mm, with X, Y in metres from `middle`."""

    bow: tuple[float, float, float] = (0.0, 0.0, 0.0)
    middle: tuple[float, float] = (800.0, 450.0)
    raised: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Rig:
    """The truth of one scene: one projector, one table, one camera that took every view."""

    projector: Projector
    table: Table
    camera: Camera
    views: tuple[View, ...]

    @property
    def screen_size(self) -> tuple[int, int]:
        """The projector's pixels."""
        return self.projector.screen_size

    @property
    def photo_size(self) -> tuple[int, int]:
        """The camera's pixels."""
        return self.camera.photo_size


def surface_points(rig: Rig, table: Array, above: float = 0.0) -> Array:
    """Table points (n, 2) with their true height, `above` mm higher: (n, 3), mm."""
    x, y = ((table - np.array(rig.table.middle)) / 1000.0).T
    b1, b2, b3 = rig.table.bow
    height = rig.table.raised + above + b1 * x * x + b2 * x * y + b3 * y * y
    return np.column_stack([table, height])


def true_table_points(rig: Rig, screen_px: Array) -> Array:
    """Where screen points (n, 2), pixels, truly fall on the table: x and y (n, 2), mm."""
    projector = rig.projector
    rays = _rays(projector, mapped(projector.panel_from_screen, screen_px))
    eye, ahead = projector.view.position, rays @ projector.view.turn
    table: Array = eye[:2] - ahead[:, :2] * (eye[2] / ahead[:, 2])[:, None]
    for _ in range(30):  # a bow's slope, a few thousandths, is what each step leaves
        height = surface_points(rig, table)[:, 2]
        table = eye[:2] + ahead[:, :2] * ((height - eye[2]) / ahead[:, 2])[:, None]
    return table


def true_screen_points(rig: Rig, table: Array) -> Array:
    """The screen points (n, 2), pixels, that truly light table points (n, 2) or (n, 3), mm."""
    points = table if table.shape[1] == 3 else surface_points(rig, table)
    panel = _pictured(rig.projector.lens, rig.projector.view, points)
    back = np.asarray(np.linalg.inv(rig.projector.panel_from_screen), dtype=np.float64)
    return mapped(back, panel)


def photo_points(rig: Rig, table: Array, view: int = 0) -> Array:
    """Where a view shows table points (n, 2), or points in space (n, 3), mm: pixels (n, 2)."""
    points = table if table.shape[1] == 3 else surface_points(rig, table)
    return _pictured(rig.camera, rig.views[view], points)


def _pictured(camera: Camera, view: View, points: Array) -> Array:
    seen = (points - view.position) @ view.turn.T
    bent = _bent(camera, seen[:, :2] / seen[:, 2:])
    out: Array = camera.focal_px * bent + np.array(camera.centre_px)
    return out


def _bent(camera: Camera, rays: Array) -> Array:
    x, y = rays.T
    square = x * x + y * y
    k1, k2, k3 = camera.radial
    p1, p2 = camera.tangential
    radial = 1.0 + square * (k1 + square * (k2 + square * k3))
    return np.column_stack(
        [
            x * radial + 2 * p1 * x * y + p2 * (square + 2 * x * x),
            y * radial + p1 * (square + 2 * y * y) + 2 * p2 * x * y,
        ]
    )


def _rays(projector: Projector, panel_px: Array) -> Array:
    """Directions (n, 3), in the projector's axes, of panel points (n, 2): the lens undone."""
    lens = projector.lens
    bent = (panel_px - np.array(lens.centre_px)) / lens.focal_px
    straight = bent
    for _ in range(60):
        straight = straight + (bent - _bent(lens, straight))
    return np.column_stack([straight, np.ones(len(straight))])
