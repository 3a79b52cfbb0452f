"""The photograph of a paper piece with its outline over it: edges by number, corners, notches."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pygame

from drafting.chains import flattened_chain
from drafting.exchange.completing import edges_of
from drafting.plane import Point, coordinates
from projector.desk.drawing_board import Board
from projector.desk.palette import LETTERS_PX, Palette
from projector.desk.trace_part import Traced
from projector.errors import ProjectorError
from projector.photo import read_photo
from projector.traced_outline import Tracing, outline_of

__all__ = ["PhotoFit", "TraceContent", "paint_trace", "photo_fit", "seen_px"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TraceContent:
    """What is drawn; `middle` is the photograph's pixel in the middle of what is shown."""

    photo: Path
    traced: Traced | None = None
    zoom: float = 1.0
    middle: tuple[float, float] | None = None
    fold: int = 0


@dataclass(frozen=True, slots=True)
class PhotoFit:
    """Pixels of the figure from pixels of the photograph: `px` each, (left, top) is (0, 0)."""

    px: float
    left: float
    top: float

    def shown(self, points_px: Array) -> Array:
        """Points (n, 2) of the photograph, in the figure."""
        return np.asarray(points_px * self.px + (self.left, self.top))

    def on_photo(self, x: float, y: float) -> tuple[float, float]:
        """The photograph's pixel under a pixel of the figure."""
        return (x - self.left) / self.px, (y - self.top) / self.px


@lru_cache(maxsize=2)
def _photo(path: Path, changed: float) -> npt.NDArray[np.uint8]:
    return np.ascontiguousarray(read_photo(path).image[:, :, ::-1])


def photo_fit(content: TraceContent, size: tuple[int, int]) -> PhotoFit:
    """Where the photograph stands in a figure of this size. Raises `ProjectorError`, `OSError`."""
    height, width = _photo(content.photo, content.photo.stat().st_mtime).shape[:2]
    px = min(size[0] / width, size[1] / height) * content.zoom
    x, y = (width / 2, height / 2) if content.middle is None else content.middle
    return PhotoFit(px, size[0] / 2 - px * x, size[1] / 2 - px * y)


def seen_px(traced: Traced, places: tuple[Point, ...]) -> Array:
    """Where places on the table, mm, lie in the photograph, (n, 2), pixels."""
    if not places:
        return np.zeros((0, 2))
    return traced.plane.seen(np.array(coordinates(places)))


@lru_cache(maxsize=16)
def _edges(tracing: Tracing) -> tuple[Array, ...]:
    """Each edge as points (n, 2), mm, half a millimetre true."""
    runs, _ = edges_of(outline_of(tracing))
    return tuple(np.array(coordinates(flattened_chain(run, 0.3))) for run in runs)


def paint_trace(
    content: TraceContent, size: tuple[int, int], palette: Palette, scale: float
) -> pygame.Surface:
    """Corners are squares, notches are rings; the fold edge is green."""
    board = Board(size, palette.well)
    try:
        image = _photo(content.photo, content.photo.stat().st_mtime)
        fit = photo_fit(content, size)
    except (ProjectorError, OSError) as error:
        board.text((size[0] / 2, size[1] / 2), str(error)[:90], round(15 * scale), palette.stop)
        return board.picture()
    way = np.array([[fit.px, 0.0, fit.left], [0.0, fit.px, fit.top]])
    shown = image
    if fit.px < 0.6:  # far smaller: averaged first, so that thin things do not vanish
        part = 2.0 ** round(np.log2(fit.px))
        reduced = (max(1, round(image.shape[1] * part)), max(1, round(image.shape[0] * part)))
        shown = np.asarray(cv2.resize(image, reduced, interpolation=cv2.INTER_AREA))
        way = way @ np.diag([image.shape[1] / reduced[0], image.shape[0] / reduced[1], 1.0])
    ground = tuple(int(part) for part in palette.well)
    board.image = np.asarray(
        cv2.warpAffine(shown, way, size, flags=cv2.INTER_LINEAR, borderValue=ground), np.uint8
    )
    if content.traced is not None:
        _outline(board, content, content.traced, fit, palette, scale)
    return board.picture()


def _outline(
    board: Board,
    content: TraceContent,
    traced: Traced,
    fit: PhotoFit,
    palette: Palette,
    scale: float,
) -> None:
    letters = round(0.9 * LETTERS_PX * scale)
    for number, edge in enumerate(_edges(traced.tracing), 1):
        rows = fit.shown(traced.plane.seen(edge))
        colour = palette.fine if number == content.fold else palette.light
        board.line(rows, palette.panel, 4.0 * scale)
        board.line(rows, colour, 2.0 * scale)
        # Aside of the middle, where a notch often is.
        steps = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
        at = 0.4 * steps[-1]
        place = np.array([np.interp(at, steps, rows[:, 0]), np.interp(at, steps, rows[:, 1])])
        board.dot(place, 0.75 * letters, palette.panel)
        board.text(place, str(number), letters, palette.ink, bold=True)
    corners = tuple(corner.place for corner in traced.tracing.corners)
    half = 5.0 * scale
    for x, y in fit.shown(seen_px(traced, corners)):
        square = [(x - half, y - half), (x + half, y - half), (x + half, y + half),
                  (x - half, y + half)]  # fmt: skip
        board.area(square, palette.panel)
        board.line(square, palette.accent, 2.0 * scale, closed=True)
    notches = tuple(notch.place for notch in traced.tracing.notches)
    for place in fit.shown(seen_px(traced, notches)):
        board.dot(place, 7.0 * scale, palette.panel, filled=False)
        board.dot(place, 6.0 * scale, palette.stop, filled=False)
