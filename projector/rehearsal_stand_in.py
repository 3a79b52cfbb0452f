"""Stand-ins that keep the rehearsal running until the parts they stand for are there."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from calibration.homography import mapped
from calibration.table_map import Array, TableMap
from projector.errors import ProjectorError
from projector.rehearsal_pictures import Image

SCREEN = (1920, 1080)
PHOTO = (3840, 2560)
REFERENCE = (11, 8, 35.0)  # inner corners along and across, square side in mm
REFERENCE_AT = (620.0, 330.0)
LIT = (13, 8, 120)  # inner corners of the projected board, square side in pixels


@dataclass(frozen=True, slots=True, eq=False)
class Rig:
    """The truth: both maps are homographies, no lens."""

    table_from_screen: Array
    photo_from_table: Array
    seed: int


def rig(seed: int) -> Rig:
    chance = np.random.default_rng(seed)
    corners = np.array([[0, 900], [1600, 900], [1600, 0], [0, 0]]) + chance.normal(0, 25, (4, 2))
    screen = np.array([[0, 0], [1919, 0], [1919, 1079], [0, 1079]])
    photo = np.array([[420, 330], [3430, 330], [3430, 2230], [420, 2230]])
    photo = photo + chance.normal(0, 70, (4, 2))
    return Rig(_fit(screen, corners), _fit(corners, photo), seed)


def _fit(a: Array, b: Array) -> Array:
    matrix, _ = cv2.findHomography(np.asarray(a, float), np.asarray(b, float))
    return np.asarray(matrix, float)


def photograph(true: Rig, screen_image: Image, reference: bool, shot: int) -> Image:
    """What the camera sees, uint8 (rows, columns, 3), of a linear-light screen (h, w, 3)."""
    scale = 2
    table_px_a_mm = 2.5
    size = (int(1800 * table_px_a_mm), int(1100 * table_px_a_mm))
    canvas_from_table = np.array(
        [
            [table_px_a_mm, 0, 100 * table_px_a_mm],
            [0, table_px_a_mm, 100 * table_px_a_mm],
            [0, 0, 1],
        ]
    )
    lit = cv2.warpPerspective(
        screen_image.astype(np.float32), canvas_from_table @ true.table_from_screen, size,
        flags=cv2.INTER_AREA,
    )  # fmt: skip
    paint = np.full((size[1], size[0]), 0.75, np.float32)
    if reference:
        columns, rows, side = REFERENCE
        step = int(side * table_px_a_mm * 2) // 2
        x0, y0 = ((v + 100) * table_px_a_mm for v in REFERENCE_AT)
        a, b = side * table_px_a_mm, side * table_px_a_mm
        x0i, y0i = round(x0), round(y0)
        paint[
            y0i - step : round(y0 + (rows + 2) * b), x0i - step : round(x0 + (columns + 2) * a)
        ] = 0.95
        ys, xs = np.mgrid[0 : size[1], 0 : size[0]]
        i, j = np.floor((xs - x0) / a).astype(int), np.floor((ys - y0) / b).astype(int)
        inside = (i >= 0) & (i <= columns) & (j >= 0) & (j <= rows)
        paint[inside & ((i + j) % 2 == 0)] = 0.06
    light = paint[:, :, None] * (0.06 + 0.9 * lit)
    photo_from_canvas = true.photo_from_table @ np.linalg.inv(canvas_from_table)
    big = np.diag([scale, scale, 1.0]) @ photo_from_canvas
    seen = cv2.warpPerspective(light, big, (PHOTO[0] * scale, PHOTO[1] * scale))
    seen = cv2.resize(
        cv2.GaussianBlur(seen, (0, 0), 0.8 * scale), PHOTO, interpolation=cv2.INTER_AREA
    )
    seen += np.random.default_rng((true.seed, shot)).normal(0, 0.006, seen.shape)
    coded: Image = (np.clip(seen, 0, 1) ** (1 / 2.2) * 255).astype(np.uint8)
    return coded


def linear(photo: Image) -> Array:
    out: Array = (photo.astype(float) / 255) ** 2.2
    return out


def lit_board() -> Image:
    columns, rows, side = LIT
    image = np.ones((SCREEN[1], SCREEN[0], 3), np.float32)
    x0, y0 = _board_origin()
    for i in range(columns + 1):
        for j in range(rows + 1):
            if (i + j) % 2 == 0:
                image[y0 + j * side : y0 + (j + 1) * side, x0 + i * side : x0 + (i + 1) * side] = 0
    return image


def _board_origin() -> tuple[int, int]:
    columns, rows, side = LIT
    return (SCREEN[0] - (columns + 1) * side) // 2, (SCREEN[1] - (rows + 1) * side) // 2


def corners(photo: Image, columns: int, rows: int, what: str) -> Array:
    grey = cv2.cvtColor(photo, cv2.COLOR_RGB2GRAY)
    small = cv2.resize(grey, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    seen, found = cv2.findChessboardCornersSB(small, (columns, rows))
    if not seen:
        raise ProjectorError(f"no {what} of {columns} x {rows} corners is seen in the photograph")
    fine = cv2.cornerSubPix(
        grey, (found.reshape(-1, 2) * 2 + 0.5).astype(np.float32), (7, 7), (-1, -1),
        (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_MAX_ITER, 50, 1e-3),
    )  # fmt: skip
    grid = np.asarray(fine, float).reshape(rows, columns, 2)
    if grid[0, 0, 0] > grid[0, -1, 0]:  # the photograph is upright: left to right, top to bottom
        grid = grid[:, ::-1]
    if grid[0, 0, 1] > grid[-1, 0, 1]:
        grid = grid[::-1]
    return grid.reshape(-1, 2)


def solved(of_reference: Image, of_lit: Image) -> tuple[TableMap, Array, Array]:
    columns, rows, side = REFERENCE
    i, j = np.meshgrid(np.arange(columns), np.arange(rows))
    table = np.column_stack([i.ravel(), j.ravel()]) * side + side + np.array(REFERENCE_AT)
    found_reference = corners(of_reference, columns, rows, "printed board")
    table = table.reshape(rows, columns, 2)[::-1].reshape(-1, 2)
    table_from_photo = _fit(found_reference, table)
    columns, rows, pixels = LIT
    i, j = np.meshgrid(np.arange(columns), np.arange(rows))
    screen = (
        (np.column_stack([i.ravel(), j.ravel()]) + 1) * pixels + np.array(_board_origin()) - 0.5
    )
    found_lit = corners(of_lit, columns, rows, "projected board")
    matrix = _fit(screen, mapped(table_from_photo, found_lit))
    return TableMap(matrix, SCREEN), found_reference, found_lit
