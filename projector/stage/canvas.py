"""Draws pictures into an array of pixels, anti-aliased, and of the next one only what changed."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from projector.stage.ink import Colour
from projector.stage.lettering import SIZES_PX, mask
from projector.stage.picture import Bounds, Part, Picture, Stroke, Writing

__all__ = ["Canvas", "Pixels", "drawn"]

Pixels = npt.NDArray[np.uint8]
_PART = 4  # binary digits of a pixel that a line's place is rounded to: a sixteenth
_FAR_PX = 30_000.0


def drawn(picture: Picture) -> npt.NDArray[Any]:
    """The picture as uint8, shape (height, width, 3), red, green, blue."""
    width, height = picture.screen_size
    pixels = np.zeros((height, width, 4), np.uint8)
    Canvas(pixels).draw(picture)
    return pixels[:, :, 2::-1].copy()


class Canvas:
    """Pixels that show one picture after another.

    Parameters
    ----------
    pixels
        uint8, shape (height, width, 4): blue, green, red and a byte that is not looked at, as
        a window keeps them.
    """

    def __init__(self, pixels: Pixels) -> None:
        self._pixels = pixels
        self._shown: Picture | None = None

    def draw(self, picture: Picture) -> bool:
        """Show the picture; tells whether any pixel may have changed.

        Only what parts that came, went or changed their place in the order touch is drawn anew.
        """
        shown = self._shown
        self._shown = picture
        height, width = self._pixels.shape[:2]
        if shown is None or shown.ground != picture.ground:
            areas: list[Bounds] = [(0, 0, width, height)]
        else:
            before, now = set(map(id, shown.parts)), set(map(id, picture.parts))
            changed = [part for part in shown.parts if id(part) not in now]
            changed += [part for part in picture.parts if id(part) not in before]
            areas = merged([part.bounds for part in changed])
        for area in areas:
            self._repaint(picture, area)
        return bool(areas)

    def _repaint(self, picture: Picture, area: Bounds) -> None:
        left, top, right, bottom = area
        view = self._pixels[top:bottom, left:right]
        red, green, blue = picture.ground
        # A pixel at a time, not a byte: filling is most of what a large area costs.
        word = np.array([blue, green, red, 255], np.uint8).view(np.uint32)[0]
        self._pixels.view(np.uint32)[top:bottom, left:right, 0] = word
        for part in picture.parts:
            if touch(part.bounds, area):
                paint(view, part, (left, top))


def touch(a: Bounds, b: Bounds) -> bool:
    """Whether two areas have a pixel in common."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def merged(areas: list[Bounds]) -> list[Bounds]:
    """Areas that have no pixel in common and cover the given ones; empty ones are left out."""
    apart: list[Bounds] = []
    for area in areas:
        if area[0] >= area[2] or area[1] >= area[3]:
            continue
        while True:
            met = next((other for other in apart if touch(area, other)), None)
            if met is None:
                break
            apart.remove(met)
            area = (
                min(area[0], met[0]),
                min(area[1], met[1]),
                max(area[2], met[2]),
                max(area[3], met[3]),
            )
        apart.append(area)
    return apart


def paint(view: Pixels, part: Part, origin: tuple[int, int]) -> None:
    """Draw a part into pixels whose first one is the screen's pixel `origin`."""
    for box in part.boxes:
        corners = _fixed(box.corners, origin)
        cv2.fillConvexPoly(view, corners, _light(box.colour), cv2.LINE_AA, _PART)
    lined = [(stroke, _pieces(stroke, origin)) for stroke in part.strokes]
    for stroke, lines in lined:
        if stroke.edge_px > 0.0:
            _polylines(view, lines, stroke, stroke.edge, stroke.width_px + 2.0 * stroke.edge_px)
    for stroke, lines in lined:
        _polylines(view, lines, stroke, stroke.colour, stroke.width_px)
    for writing in part.writings:
        _write(view, writing, origin)


def _light(colour: Colour) -> tuple[int, int, int, int]:
    return colour[2], colour[1], colour[0], 255


def _fixed(points: npt.NDArray[np.float64], origin: tuple[int, int]) -> npt.NDArray[np.int32]:
    near = np.clip(points - origin, -_FAR_PX, _FAR_PX)
    rounded: npt.NDArray[np.int32] = np.rint(near * 2**_PART).astype(np.int32)
    return rounded


def _pieces(stroke: Stroke, origin: tuple[int, int]) -> list[npt.NDArray[np.int32]]:
    points = _fixed(stroke.points, origin)
    if not stroke.breaks:
        return [points]
    starts = (0, *stroke.breaks)
    ends = (*stroke.breaks, len(points))
    return [points[start:end] for start, end in zip(starts, ends, strict=True)]


def _polylines(
    view: Pixels,
    lines: list[npt.NDArray[np.int32]],
    stroke: Stroke,
    colour: Colour,
    width_px: float,
) -> None:
    thickness = max(1, round(width_px))
    cv2.polylines(view, lines, stroke.closed, _light(colour), thickness, cv2.LINE_AA, _PART)


def _write(view: Pixels, writing: Writing, origin: tuple[int, int]) -> None:
    matrix = writing.screen_from_text
    scale = float(np.sqrt(abs(np.linalg.det(matrix[:, :2])))) * writing.height  # px a capital
    size = next((size for size in SIZES_PX if size >= scale), SIZES_PX[-1])
    if scale < 2.0:
        return  # not to be read anyhow
    if writing.edge is not None:
        letters = mask(writing.text, size, max(1, round(size * 0.14)))
        _blend(view, letters, writing, size, origin, writing.edge)
    _blend(view, mask(writing.text, size), writing, size, origin, writing.colour)


def _blend(
    view: Pixels,
    letters: tuple[Pixels, float],
    writing: Writing,
    size: int,
    origin: tuple[int, int],
    colour: Colour,
) -> None:
    grey, middle = letters
    high, wide = grey.shape
    part = writing.height / size  # mm of text a pixel of the mask
    text_from_mask = np.array([[part, 0.0, -part * (wide - 1) / 2], [0.0, part, -part * middle]])
    matrix = writing.screen_from_text[:, :2] @ text_from_mask
    matrix[:, 2] += writing.screen_from_text[:, 2] - origin
    ends = np.array([[0, 0, 1], [wide, 0, 1], [0, high, 1], [wide, high, 1]]) @ matrix.T
    low = np.maximum(np.floor(ends.min(axis=0)).astype(int) - 1, 0)
    top = np.minimum(np.ceil(ends.max(axis=0)).astype(int) + 2, view.shape[1::-1])
    if (low >= top).any():
        return
    matrix[:, 2] -= low
    width, height = (int(n) for n in top - low)
    placed = cv2.warpAffine(grey, matrix, (width, height), flags=cv2.INTER_LINEAR)
    area = view[low[1] : top[1], low[0] : top[0]]
    share = placed.astype(np.float32)[:, :, None] / 255.0
    light = np.array(_light(colour), np.float32)
    area[:] = np.rint(area + (light - area) * share).astype(np.uint8)
