"""Draws pictures into an array of pixels, anti-aliased, and of the next one only what changed."""

from __future__ import annotations

from typing import Any, NamedTuple
from weakref import WeakKeyDictionary

import cv2
import numpy as np
import numpy.typing as npt

from projector.stage.ink import Colour
from projector.stage.lettering import SIZES_PX, mask
from projector.stage.picture import Bounds, Part, Picture, Stroke, Writing
from projector.stage.strands import SAME, aside, strands

__all__ = ["Canvas", "Pixels", "drawn"]

Pixels = npt.NDArray[np.uint8]
Points = npt.NDArray[np.int32]
_PART = 4  # binary digits of a pixel that a line's place is rounded to: a sixteenth
_FAR_PX = 30_000.0
EDGE_SAME = 0.5
"""How far the dark edge of a line may be from its width, pixels; the line itself is drawn well."""


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
    first = np.array(origin, np.int32) << _PART
    last = first + (np.array(view.shape[1::-1], np.int32) << _PART)
    for box in part.boxes:
        corners = _fixed(box.corners) - first
        cv2.fillConvexPoly(view, corners, _light(box.colour), cv2.LINE_AA, _PART)
    lined = []
    for stroke in part.strokes:
        known = _drawn(stroke)
        met = np.flatnonzero(((known.low < last) & (known.high > first)).all(axis=1)).tolist()
        if met:
            lined.append((stroke, known, met))
    for stroke, known, met in lined:
        _polylines(view, stroke, known.edge, met, stroke.edge, first)
    for stroke, known, met in lined:
        _polylines(view, stroke, known.ink, met, stroke.colour, first)
    for writing in part.writings:
        _write(view, writing, origin)


def _light(colour: Colour) -> tuple[int, int, int, int]:
    return colour[2], colour[1], colour[0], 255


def _fixed(points: npt.NDArray[np.float64]) -> Points:
    near = np.clip(points, -_FAR_PX, _FAR_PX)
    rounded: Points = np.rint(near * 2**_PART).astype(np.int32)
    return rounded


class _Drawn(NamedTuple):
    """A stroke as the library draws it, in fixed points of the whole screen.

    `edge` and `ink` are lines of one thickness each. `low` and `high` (runs, 2) bound each of the
    polylines, so that of a dashed line only those that meet an area are drawn in it.
    """

    edge: tuple[tuple[int, Points], ...]
    ink: tuple[tuple[int, Points], ...]
    low: Points
    high: Points


_KNOWN: WeakKeyDictionary[Stroke, _Drawn] = WeakKeyDictionary()
"""Strokes that have been drawn; most are drawn again as they are."""


def _drawn(stroke: Stroke) -> _Drawn:
    known = _KNOWN.get(stroke)
    if known is not None:
        return known
    points = stroke.points
    moved = aside(points, stroke.breaks, stroke.closed)
    outer = stroke.width_px + 2.0 * stroke.edge_px if stroke.edge_px > 0.0 else 0.0
    edge, ink = (
        tuple((thickness, _fixed(points + offset * moved if offset else points)) for
              thickness, offset in strands(width_px, same) if width_px > 0.0)
        for width_px, same in ((outer, EDGE_SAME), (stroke.width_px, SAME))
    )  # fmt: skip
    firsts = np.array([0, *stroke.breaks])
    reach = max(outer, stroke.width_px) + 2.0
    low = _fixed(np.minimum.reduceat(points, firsts) - reach)
    high = _fixed(np.maximum.reduceat(points, firsts) + reach)
    _KNOWN[stroke] = known = _Drawn(edge, ink, low, high)
    return known


def _polylines(
    view: Pixels,
    stroke: Stroke,
    lines: tuple[tuple[int, Points], ...],
    met: list[int],
    colour: Colour,
    origin: Points,
) -> None:
    starts, ends = (0, *stroke.breaks), (*stroke.breaks, len(stroke.points))
    for thickness, points in lines:
        near = points - origin
        runs = [near[starts[run] : ends[run]] for run in met]
        cv2.polylines(view, runs, stroke.closed, _light(colour), thickness, cv2.LINE_AA, _PART)


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
