"""Photographs of the rig: its table under the projector's light, as its camera sees them.

Every photograph pixel is the mean over a fine grid of places inside it. For each place the ray is
followed back through the camera's lens to the table, and from there to the projector's pixel; the
light of that pixel, and of the room, falls on what lies there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
from scipy.interpolate import RectBivariateSpline

from calibration.errors import CalibrationError
from calibration.homography import fitted, mapped
from calibration.light import Light, coded, linear
from calibration.rig import (
    Rig,
    photo_points,
    surface_points,
    true_screen_points,
    true_table_points,
)
from calibration.rig_camera import PHONE, Conditions, exposed
from calibration.rig_surface import (
    Cloth,
    Sheet,
    part_near,
    plain_cloth,
    seen_cloth,
    seen_sheet,
)
from calibration.table_map import Array, screen_corners

__all__ = ["SCREEN_BLUR_PX", "photograph", "table_light"]

FINER = 3
"""Places a photograph pixel is divided into, each way: fewer are biased."""
NODES_PX, SPLINE_PX = 24, 4
"""Rays are followed exactly at every so many pixels, then by cubic splines, then linearly."""
STRIP = 256
SCREEN_FINER = 3
SCREEN_BLUR_PX = 0.35
"""Blur of the projector's own lens, standard deviation in its pixels."""
HAND = (45.0, 95.0)
SKIN = 0.35
ROOM_WIDTH = 1600.0
"""The room's light falls off evenly along x, its mean in the middle of this, mm."""


def photograph(
    rig: Rig,
    screen_image: npt.NDArray[np.uint8] | Light,
    seed: int,
    sheets: tuple[Sheet, ...] = (),
    cloth: Cloth | float = 0.7,
    conditions: Conditions = PHONE,
    view: int = 0,
) -> npt.NDArray[np.uint8]:
    """What the rig's camera sees while the projector shows an image.

    Parameters
    ----------
    screen_image
        What is sent to the projector: grey (h, w) or colour (h, w, 3), of the rig's screen size;
        uint8 levels are decoded as sRGB, floats 0..1 are light itself.
    seed
        Of the noise.
    sheets
        What lies on the cloth, the last one uppermost.
    cloth
        A `Cloth`, or the part of the light that a plain one gives back.
    view
        Which of the rig's views.

    Returns
    -------
    uint8 sRGB levels of shape (h, w), or (h, w, 3) where the image or the cloth has colours, in
    the order of the colours given.
    """
    spread = cloth if isinstance(cloth, Cloth) else plain_cloth(cloth)
    light = table_light(rig, screen_image, sheets, spread, conditions, view)
    signal = exposed(light, conditions, np.random.default_rng(seed))
    levels = coded(signal)
    if conditions.jpeg is None:
        return levels
    packed = cv2.imencode(".jpg", levels, [cv2.IMWRITE_JPEG_QUALITY, conditions.jpeg])[1]
    return np.asarray(cv2.imdecode(packed, cv2.IMREAD_UNCHANGED), dtype=np.uint8)


def table_light(
    rig: Rig,
    screen_image: npt.NDArray[np.uint8] | Light,
    sheets: tuple[Sheet, ...],
    cloth: Cloth,
    conditions: Conditions,
    view: int = 0,
) -> Light:
    """The light that reaches each pixel of the photograph, before the camera does its part.

    Shape (h, w) or (h, w, 3), float32, parts of the projector's full white.
    """
    width, height = rig.photo_size
    screen = _screen_light(rig, screen_image, conditions.black)
    colours = 3 if screen.ndim == 3 or cloth.print_.ndim == 3 else 0
    at_height = {
        height: _rays(rig, view, height) for height in {0.0, *(sheet.height for sheet in sheets)}
    }
    out = np.empty((height, width, colours) if colours else (height, width), np.float32)
    for top in range(0, height, STRIP):
        rows = min(STRIP, height - top)
        places = {
            above: _Places(*(_fine(ray, top, rows, width) for ray in rays))
            for above, rays in at_height.items()
        }
        strip = _strip(places, screen, sheets, cloth, conditions)
        out[top : top + rows] = cv2.resize(strip, (width, rows), interpolation=cv2.INTER_AREA)
    return out


@dataclass(frozen=True, slots=True, eq=False)
class _Places:
    """Table x, y (mm) and screen u, v (pixels) of fine places, float32 of one shape."""

    x: Light
    y: Light
    u: Light
    v: Light


def _screen_light(rig: Rig, image: npt.NDArray[np.uint8] | Light, black: float) -> Light:
    """The screen in light, finer than its pixels and blurred as its lens does it."""
    width, height = rig.screen_size
    if image.shape[:2] != (height, width):
        raise CalibrationError(
            f"the screen is {width} x {height} pixels, the image has shape {image.shape}"
        )
    light = (
        linear(np.asarray(image, np.uint8)) if image.dtype == np.uint8 else image.astype(np.float32)
    )
    light = black + (1.0 - np.float32(black)) * light
    fine = cv2.resize(
        light, None, fx=SCREEN_FINER, fy=SCREEN_FINER, interpolation=cv2.INTER_NEAREST
    )
    return np.asarray(
        cv2.GaussianBlur(fine, (0, 0), SCREEN_BLUR_PX * SCREEN_FINER), dtype=np.float32
    )


def _rays(rig: Rig, view: int, above: float) -> tuple[Light, Light, Light, Light]:
    """Table x, y and screen x, y where the rays through a coarse grid of pixels end, `above` mm
    over the table.

    The grid has a point at every `SPLINE_PX` pixels, the first at pixel edge -0.5 - SPLINE_PX.
    """
    width, height = rig.photo_size
    nodes = [
        np.arange(-2 * NODES_PX, side + 3 * NODES_PX, NODES_PX) - 0.5 for side in (width, height)
    ]
    grid = np.stack(np.meshgrid(nodes[0], nodes[1]), axis=-1).reshape(-1, 2)
    table = _table_from_photo(rig, view, above, grid)
    screen = true_screen_points(rig, surface_points(rig, table, above))
    finer = [np.arange(-1, side // SPLINE_PX + 3) * SPLINE_PX - 0.5 for side in (width, height)]
    shape = (len(nodes[1]), len(nodes[0]))
    x, y, u, v = (
        RectBivariateSpline(nodes[1], nodes[0], values.reshape(shape))(finer[1], finer[0])
        for values in (*table.T, *screen.T)
    )
    return (
        x.astype(np.float32), y.astype(np.float32), u.astype(np.float32), v.astype(np.float32)
    )  # fmt: skip


def _table_from_photo(rig: Rig, view: int, above: float, seen_px: Array) -> Array:
    """Where rays through photograph points (n, 2) meet the table, by Newton's steps."""
    corners = true_table_points(rig, screen_corners(rig.screen_size))
    low, high = corners.min(axis=0), corners.max(axis=0)
    spread = np.linspace(0.0, 1.0, 7)
    place = np.stack(np.meshgrid(*(low[:, None] + (high - low)[:, None] * spread)), -1)
    known = place.reshape(-1, 2)

    def seen_from_table(points: Array) -> Array:
        return photo_points(rig, surface_points(rig, points, above), view)

    return _newton(seen_from_table, mapped(fitted(seen_from_table(known), known), seen_px), seen_px)


def _newton(seen_from_table: Callable[[Array], Array], table: Array, wanted: Array) -> Array:
    step = 0.5
    for _ in range(6):
        here = seen_from_table(table)
        slopes = np.stack(
            [
                (seen_from_table(table + move) - seen_from_table(table - move)) / (2 * step)
                for move in (np.array([step, 0.0]), np.array([0.0, step]))
            ],
            axis=-1,
        )
        missing = wanted - here
        det = slopes[:, 0, 0] * slopes[:, 1, 1] - slopes[:, 0, 1] * slopes[:, 1, 0]
        dx = (slopes[:, 1, 1] * missing[:, 0] - slopes[:, 0, 1] * missing[:, 1]) / det
        dy = (slopes[:, 0, 0] * missing[:, 1] - slopes[:, 1, 0] * missing[:, 0]) / det
        table = table + np.stack([dx, dy], axis=-1)
    return table


def _fine(ray: Light, top: int, rows: int, width: int) -> Light:
    """A ray's coordinate at every fine place of some rows of the photograph."""
    # Row r of the coarse grid is pixel edge (r - 1) SPLINE_PX - 0.5; a fine place k lies at
    # (k + 0.5) / FINER - 0.5. A matrix of linear weights for each axis keeps this exact.
    down = _weights(top, rows, ray.shape[0])
    across = _weights(0, width, ray.shape[1])
    first = down[0]
    some = ray[first] + (ray[first + 1] - ray[first]) * down[1][:, None]
    left = across[0]
    gap = np.diff(some, axis=1)
    return np.asarray(some[:, left] + gap[:, left] * across[1][None, :], dtype=np.float32)


def _weights(start: int, count: int, length: int) -> tuple[npt.NDArray[np.int64], Light]:
    places = (np.arange(start * FINER, (start + count) * FINER) + 0.5) / FINER / SPLINE_PX + 1.0
    below = np.clip(places.astype(np.int64), 0, length - 2)
    return below, (places - below).astype(np.float32)


def _strip(
    places: dict[float, _Places],
    screen: Light,
    sheets: tuple[Sheet, ...],
    cloth: Cloth,
    conditions: Conditions,
) -> Light:
    ground = places[0.0]
    out = _lit(seen_cloth(cloth, ground.x, ground.y), ground, screen, conditions)
    for sheet in sheets:
        at = places[sheet.height]
        part = part_near(sheet, at.x, at.y)
        if part is None:
            continue
        near = _Places(at.x[part], at.y[part], at.u[part], at.v[part])
        given, there = seen_sheet(sheet, near.x, near.y)
        light = _lit(given, near, screen, conditions)
        if out.ndim == 3:
            there = there[:, :, None]
            light = light if light.ndim == 3 else light[:, :, None]
        out[part] = np.where(there, light, out[part])
    x, y = ground.x, ground.y
    for at_x, at_y, radius, strength in conditions.glare:
        spot = strength * np.exp(-((x - at_x) ** 2 + (y - at_y) ** 2) / (2 * radius**2))
        out += spot if out.ndim == 2 else spot[:, :, None]
    if conditions.hand is not None:
        at_x, at_y = conditions.hand
        covered = ((x - at_x) / HAND[0]) ** 2 + ((y - at_y) / HAND[1]) ** 2 < 1.0
        if covered.any():
            skin = _lit(np.full_like(x, SKIN), ground, screen, conditions)
            if out.ndim == 3:
                covered = covered[:, :, None]
                skin = skin if skin.ndim == 3 else skin[:, :, None]
            out = np.where(covered, skin, out)
    return out


def _lit(given: Light, at: _Places, screen: Light, conditions: Conditions) -> Light:
    """The light of the projector and of the room, given back in part."""
    half = np.float32((SCREEN_FINER - 1) / 2)
    light = cv2.remap(
        screen, at.u * SCREEN_FINER + half, at.v * SCREEN_FINER + half, cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT, borderValue=0.0,
    )  # fmt: skip
    slope = np.float32(conditions.room * conditions.uneven / ROOM_WIDTH)
    room = slope * at.x + np.float32(conditions.room) - slope * np.float32(ROOM_WIDTH / 2)
    np.maximum(room, 0.0, out=room)
    if light.ndim == 3 or given.ndim == 3:
        light = light if light.ndim == 3 else light[:, :, None]
        given = given if given.ndim == 3 else given[:, :, None]
        room = room[:, :, None]
    return np.asarray(given * (light + room), dtype=np.float32)
