"""Anti-aliased lines and areas on an array of pixels, placed by millimetres or by pixels."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
import pygame

from drafting.drawing import Box
from drafting.plane import Point
from projector.desk.lettering import written, written_width
from projector.desk.palette import Colour

__all__ = ["Board", "Scale", "fitting"]

_PART = 4
_FAR = 30_000.0
Points = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Scale:
    """Pixels from millimetres: x to the right, y up, `px` pixels a mm; (left, top) is (0, 0)."""

    px: float
    left: float
    top: float

    def pixels(self, points: npt.ArrayLike) -> Points:
        """Points (n, 2), mm, in pixels."""
        rows = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        return rows * (self.px, -self.px) + (self.left, self.top)

    def place(self, x_px: float, y_px: float) -> Point:
        """The place in mm under a pixel."""
        return Point((x_px - self.left) / self.px, (self.top - y_px) / self.px)


def fitting(box: Box, left: float, top: float, width: float, height: float) -> Scale:
    """The largest scale at which the box fits a rectangle of pixels, in its middle."""
    px = max(1e-6, min(width / max(box.width, 1e-6), height / max(box.height, 1e-6)))
    return Scale(
        px,
        left + (width - px * box.width) / 2 - px * box.left,
        top + (height - px * box.height) / 2 + px * box.top,
    )


class Board:
    """A picture that is being drawn."""

    def __init__(self, size: tuple[int, int], ground: Colour) -> None:
        width, height = max(1, size[0]), max(1, size[1])
        self.image = np.empty((height, width, 3), np.uint8)
        # Ten times as quick as writing the colour into every row by numpy.
        cv2.rectangle(self.image, (0, 0), (width, height), ground, cv2.FILLED)
        self._texts: list[tuple[pygame.Surface, tuple[int, int]]] = []

    def line(
        self,
        points: npt.ArrayLike,
        colour: Colour,
        width_px: float = 1.0,
        closed: bool = False,
        dash: tuple[float, float] | None = None,
    ) -> None:
        """A polyline through points (n, 2), pixels; `dash` in pixels: drawn, left out."""
        rows = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        if len(rows) < 2 or np.abs(rows).max() > _FAR:
            return
        thickness = max(1, round(width_px))
        if dash is not None:
            around = np.vstack([rows, rows[:1]]) if closed else rows
            parts = [_fixed(part) for part in _dashes(around, *dash)]
            cv2.polylines(self.image, parts, False, colour, thickness, cv2.LINE_AA, _PART)
            return
        cv2.polylines(self.image, [_fixed(rows)], closed, colour, thickness, cv2.LINE_AA, _PART)

    def area(self, points: npt.ArrayLike, colour: Colour, strength: float = 1.0) -> None:
        """A filled polygon; `strength` below 1 lets what is under it show."""
        rows = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        if len(rows) < 3 or np.abs(rows).max() > _FAR:
            return
        if strength >= 1.0:
            cv2.fillPoly(self.image, [_fixed(rows)], colour, cv2.LINE_AA, _PART)
            return
        low = np.clip(np.floor(rows.min(axis=0)).astype(int) - 1, 0, None)
        high = np.ceil(rows.max(axis=0)).astype(int) + 2
        part = self.image[low[1] : high[1], low[0] : high[0]]
        if part.size:
            over = part.copy()
            cv2.fillPoly(over, [_fixed(rows - low)], colour, cv2.LINE_AA, _PART)
            cv2.addWeighted(over, strength, part, 1.0 - strength, 0.0, part)

    def dot(
        self, place: npt.ArrayLike, radius_px: float, colour: Colour, filled: bool = True
    ) -> None:
        """A disc or a ring about a place (2,), pixels."""
        x, y = np.asarray(place, dtype=np.float64).reshape(2)
        if max(abs(x), abs(y)) > _FAR:
            return
        centre = (round(x * 2**_PART), round(y * 2**_PART))
        thickness = cv2.FILLED if filled else max(1, round(radius_px / 4))
        cv2.circle(
            self.image, centre, round(radius_px * 2**_PART), colour, thickness, cv2.LINE_AA, _PART
        )

    def text(
        self,
        place: npt.ArrayLike,
        text: str,
        size_px: int,
        colour: Colour,
        anchor: str = "middle",
        bold: bool = False,
    ) -> None:
        """A line of text, its middle, left or right end at a place (2,), pixels."""
        x, y = np.asarray(place, dtype=np.float64).reshape(2)
        wide = written_width(text, size_px, bold)
        start = x - {"left": 0.0, "middle": wide / 2, "right": float(wide)}[anchor]
        picture = written(text, size_px, colour, bold)
        self._texts.append((picture, (round(start), round(y - picture.get_height() / 2))))

    def picture(self) -> pygame.Surface:
        """What was drawn, with its texts on top."""
        height, width = self.image.shape[:2]
        surface = pygame.image.frombuffer(
            np.ascontiguousarray(self.image).data, (width, height), "RGB"
        )
        for text, place in self._texts:
            surface.blit(text, place)
        return surface


def _fixed(rows: Points) -> npt.NDArray[np.int32]:
    fixed: npt.NDArray[np.int32] = np.round(rows * 2**_PART).astype(np.int32)[:, None, :]
    return fixed


def _dashes(rows: Points, drawn: float, left_out: float) -> Iterable[Points]:
    """The parts of a polyline that a dashed pen draws."""
    steps = np.hypot(*np.diff(rows, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    starts = np.arange(0.0, along[-1], drawn + left_out)[:2000]
    ends = np.minimum(starts + drawn, along[-1])
    at = np.sort(np.concatenate([along, starts, ends]))
    points = np.column_stack([np.interp(at, along, rows[:, axis]) for axis in (0, 1)])
    firsts, lasts = np.searchsorted(at, starts), np.searchsorted(at, ends, side="right")
    return [points[first:last] for first, last in zip(firsts, lasts, strict=True)]
