"""A picture in screen pixels: lines and text, in parts that can be drawn anew one by one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from projector.stage.ink import Colour
from projector.stage.lettering import text_width

__all__ = ["Array", "Bounds", "Box", "Part", "Picture", "Stroke", "Writing", "bounds_of"]

Array = npt.NDArray[np.float64]
Bounds = tuple[int, int, int, int]
"""Left, top, right and bottom in whole pixels; right and bottom are not part of it."""

_FAR_PX = 30_000.0


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Stroke:
    """Polylines of one colour and width.

    Parameters
    ----------
    points
        Shape (n, 2), screen pixels.
    breaks
        Rows of `points` at which another line begins, without 0.
    width_px
        Never under 1.
    edge, edge_px
        Colour of the thin edge on both sides and its width on each; 0 for none.
    """

    points: Array
    colour: Colour
    width_px: float
    breaks: tuple[int, ...] = ()
    closed: bool = False
    edge: Colour = (0, 0, 0)
    edge_px: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Writing:
    """A line of text.

    `screen_from_text` (2, 3) takes text millimetres (x along the line, y down, origin at the
    middle of the line, capital letters `height` mm high) to screen pixels.
    """

    text: str
    height: float
    screen_from_text: Array
    colour: Colour
    edge: Colour | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Box:
    """A filled convex area, corners (n, 2) in screen pixels: what a card is written on."""

    corners: Array
    colour: Colour


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """Something that is drawn as a whole: boxes, then strokes, then writings.

    The same part, not merely an equal one, means that nothing about it has changed.
    """

    bounds: Bounds
    strokes: tuple[Stroke, ...] = ()
    writings: tuple[Writing, ...] = ()
    boxes: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """Parts from the lowest to the topmost on a plain ground, for one size of screen."""

    screen_size: tuple[int, int]
    parts: tuple[Part, ...] = ()
    ground: Colour = (0, 0, 0)


def bounds_of(
    screen_size: tuple[int, int],
    strokes: tuple[Stroke, ...],
    writings: tuple[Writing, ...] = (),
    boxes: tuple[Box, ...] = (),
) -> Bounds:
    """What of the screen they touch; empty (left = right) when they lie off it."""
    corners = []
    for stroke in strokes:
        grown = stroke.width_px / 2 + stroke.edge_px + 2.0
        corners += [stroke.points.min(axis=0) - grown, stroke.points.max(axis=0) + grown]
    for box in boxes:
        corners += [box.corners.min(axis=0) - 2.0, box.corners.max(axis=0) + 2.0]
    for writing in writings:
        half = np.array([text_width(writing.text) / 2 + 0.4, 1.2]) * writing.height
        block = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half
        placed = block @ writing.screen_from_text[:, :2].T + writing.screen_from_text[:, 2]
        corners += [placed.min(axis=0), placed.max(axis=0)]
    if not corners:
        return 0, 0, 0, 0
    rows = np.clip(np.array(corners), -_FAR_PX, _FAR_PX)
    low, high = np.floor(rows.min(axis=0)).astype(int), np.ceil(rows.max(axis=0)).astype(int) + 1
    left, top = max(0, int(low[0])), max(0, int(low[1]))
    right, bottom = min(screen_size[0], int(high[0])), min(screen_size[1], int(high[1]))
    return (left, top, right, bottom) if left < right and top < bottom else (0, 0, 0, 0)
