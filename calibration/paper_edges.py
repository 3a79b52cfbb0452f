"""A plain white sheet lying in a hole of the projected board, found by its four edges.

Edges are fitted in linear light: in the gamma of a photograph they would lie outward. Along each
edge the place where the light rises is found at many points, a parabola (a lens bends edges) is
fitted robustly through them, and corners are where neighbouring parabolas meet.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calibration.detection import grey_of
from calibration.errors import CalibrationError
from calibration.homography import Array, mapped
from calibration.light import linear, sampled
from calibration.places import rectangle_corners

__all__ = ["SheetCorners", "sheet_corners"]

Parabola = tuple[Array, Array, Array, Array]
"""Where an edge starts, the way to its end, its outward normal, and three coefficients."""

PLACES = 80
REACH_PX = 9.0
ENDS = 0.06
"""Part of an edge left out at its ends, where the corners round it off."""
LEAST_CONTRAST = 0.04
"""Of paper over cloth, as a part of the paper's light."""
LEAST_PART = 0.05
"""Of the hole that a sheet covers at least."""


@dataclass(frozen=True, slots=True, eq=False)
class SheetCorners:
    """Corners (4, 2), pixels of the photograph, clockwise as seen from above, the long side first;
    and how sure they are, `sd_px`, each way."""

    points_px: Array
    sd_px: float


def sheet_corners(
    photograph: npt.NDArray[np.uint8],
    photo_from_screen: Array,
    hole: tuple[float, float, float, float],
    subject: str,
) -> SheetCorners:
    """Find the sheet in a photograph (h, w) or (h, w, 3), BGR.

    Parameters
    ----------
    photo_from_screen
        About where screen points are seen, (3, 3).
    hole
        The plain hole in the projected board: left, top, right, bottom in screen pixels.

    Raises `CalibrationError`, naming the `subject`, when no sheet stands out in the hole.
    """
    light = linear(grey_of(photograph, subject))
    rough = _quadrilateral(light, _region(photo_from_screen, hole), subject)
    screen_from_photo = np.asarray(np.linalg.inv(photo_from_screen), dtype=np.float64)
    rough = _in_order(rough, mapped(screen_from_photo, rough))
    parabolas, misses = [], []
    for start, end in zip(rough, np.roll(rough, -1, axis=0), strict=True):
        curve, miss = _edge(light, start, end, rough.mean(axis=0), subject)
        parabolas.append(curve)
        misses.append(miss)
    points = np.array([_meeting(parabolas[k - 1], parabolas[k], rough[k]) for k in range(4)])
    return SheetCorners(points, float(np.median(misses)) * 3.0 / np.sqrt(PLACES) + 0.15)


def _region(photo_from_screen: Array, hole: tuple[float, float, float, float]) -> Array:
    corners = rectangle_corners(*hole)
    middle = corners.mean(axis=0)
    return mapped(photo_from_screen, middle + 0.96 * (corners - middle))


def _quadrilateral(light: npt.NDArray[np.float32], region: Array, subject: str) -> Array:
    mask = np.zeros(light.shape, np.uint8)
    cv2.fillConvexPoly(mask, np.rint(region).astype(np.int32), 255)
    inside = light[mask > 0]
    refused = CalibrationError(
        f"{subject}: no plain sheet stands out in the hole of the projected board; lay it there "
        "whole, flat, on cloth that is darker than paper"
    )
    if inside.size < 2500:
        raise refused
    low, high = np.percentile(inside, [1.0, 99.0])
    if high - low < LEAST_CONTRAST * high:
        raise refused
    levels = np.clip((light - low) / (high - low) * 255.0, 0, 255).astype(np.uint8)
    smooth = cv2.GaussianBlur(levels, (0, 0), 1.5)
    threshold, _ = cv2.threshold(
        smooth[mask > 0].reshape(-1, 1), 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU
    )
    bright = np.where((smooth > threshold) & (mask > 0), 255, 0).astype(np.uint8)
    outlines, _ = cv2.findContours(bright, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    area = cv2.contourArea(region.astype(np.float32))
    for outline in sorted(outlines, key=cv2.contourArea, reverse=True)[:3]:
        hull = cv2.convexHull(outline)
        size = cv2.contourArea(hull)
        if size < LEAST_PART * area or size > 0.97 * area:
            continue
        for part in (0.01, 0.02, 0.03, 0.05, 0.08):
            corners = cv2.approxPolyDP(hull, part * cv2.arcLength(hull, True), True)
            if len(corners) == 4:
                return np.asarray(corners.reshape(4, 2), dtype=np.float64)
    raise refused


def _in_order(photo: Array, screen: Array) -> Array:
    """Clockwise as seen on the screen, a long side first, begun nearest its upper left corner."""
    middle = screen.mean(axis=0)
    turn = np.argsort(np.arctan2(screen[:, 1] - middle[1], screen[:, 0] - middle[0]))
    sides = np.hypot(*(np.roll(screen[turn], -1, axis=0) - screen[turn]).T)
    starts = (0, 2) if sides[0] + sides[2] > sides[1] + sides[3] else (1, 3)
    first = min(starts, key=lambda k: float(screen[turn[k]].sum()))
    out: Array = photo[np.roll(turn, -first)]
    return out


def _edge(
    light: npt.NDArray[np.float32], start: Array, end: Array, middle: Array, subject: str
) -> tuple[Parabola, float]:
    """Origin, direction, normal and coefficients of the parabola along an edge; rms miss, px."""
    way = end - start
    length = float(np.hypot(*way))
    along = way / length
    normal = np.array([-along[1], along[0]])
    if (middle - start) @ normal > 0:
        normal = -normal  # outward
    t = np.linspace(ENDS, 1.0 - ENDS, PLACES) * length
    away = np.arange(-REACH_PX, REACH_PX + 0.25, 0.5)
    places = start + t[:, None, None] * along + away[None, :, None] * normal
    rows = sampled(light, places)
    paper, cloth = rows[:, :6].mean(axis=1), rows[:, -6:].mean(axis=1)
    step = paper - cloth
    good = step > LEAST_CONTRAST * np.maximum(paper, 1e-6)
    if good.sum() < PLACES // 3:
        raise CalibrationError(
            f"{subject}: an edge of the plain sheet is hidden; clear it and light it evenly"
        )
    # The area between the profile and the cloth is the paper's share of the way: exact for any
    # symmetric blur.
    share = ((rows - cloth[:, None]) / np.where(good, step, 1.0)[:, None]).mean(axis=1)
    place = away[0] + share * (away[-1] - away[0])
    weights = good.astype(float)
    u = t / length
    powers = np.stack([np.ones_like(u), u, u * u], axis=1)
    fit = np.zeros(3)
    for _ in range(8):
        fit = np.linalg.lstsq(powers * weights[:, None], place * weights, rcond=None)[0]
        miss = np.abs(place - powers @ fit)
        scale = max(2.0 * float(np.median(miss[good])), 0.02)
        weights = good / np.sqrt(1.0 + (miss / scale) ** 2)
    rms = float(np.sqrt((miss[good] ** 2).mean()))
    return (start, along * length, normal, fit), rms


def _meeting(before: Parabola, after: Parabola, rough: Array) -> Array:
    """Where two parabolas meet, near a rough corner (2,)."""
    point = rough.astype(np.float64)
    for _ in range(8):
        rows, missing = [], []
        for start, way, normal, fit in (before, after):
            length = float(np.hypot(*way))
            along = way / length
            u = float((point - start) @ along) / length
            height = float(fit @ np.array([1.0, u, u * u]))
            slope = float(fit[1] + 2.0 * fit[2] * u) / length
            rows.append(normal - slope * along)
            missing.append(height - float((point - start) @ normal))
        point = point + np.linalg.solve(np.array(rows), np.array(missing))
    return point
