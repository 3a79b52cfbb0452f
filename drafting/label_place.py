"""Where a block of words has most room inside a piece."""

from __future__ import annotations

import math
from typing import TypeAlias

import shapely
import shapely.affinity

from drafting.chains import flattened_chain
from drafting.marks import Drill, Grain, InnerLine
from drafting.piece import Piece, seam_polygon
from drafting.plane import Point, coordinates

__all__ = ["Area", "clear_area", "roomiest", "without"]

Area: TypeAlias = shapely.Polygon | shapely.MultiPolygon

STEPS = 12
"""Halvings of the scale at which a block fits: to 1 part in 4,000."""


def clear_area(piece: Piece, margin: float) -> Area:
    """The inside of the seam line, `margin` mm clear of grain, drill holes and inner lines.

    Where the lines leave nothing free, the whole inside.
    """
    area: Area = seam_polygon(piece, 1.0)
    for mark in piece.marks:
        if isinstance(mark, Grain):
            places = [mark.start, mark.end]
        elif isinstance(mark, InnerLine):
            places = [*flattened_chain(mark.segments, 1.0)]
        elif isinstance(mark, Drill):
            places = [mark.point, mark.point + Point(0.1, 0.0)]
        else:
            continue
        area = without(area, shapely.LineString(coordinates(places)), margin)
    return area


def without(area: Area, line: shapely.LineString, margin: float) -> Area:
    """The area less a strip of `margin` mm to both sides of the line, if anything is left."""
    clear = shapely.difference(area, line.buffer(margin))
    return clear if isinstance(clear, Area) and not clear.is_empty else area


def roomiest(area: Area, width: float, height: float, turn: float = 0.0) -> tuple[Point, float]:
    """The middle of the place with most room for a block, and the scale at which it fits there.

    The block is `width` by `height` mm and turned by `turn` radians; at a scale of 1 or more it
    fits as it is. The plane is squeezed along the block until the block is square, so that the
    largest circle finds the middle; the scale is then searched with the real outline.
    """
    squeeze = height / width
    level = shapely.affinity.rotate(area, -turn, origin=(0.0, 0.0), use_radians=True)
    flat = shapely.affinity.scale(level, squeeze, 1.0, origin=(0.0, 0.0))
    circle = shapely.maximum_inscribed_circle(flat, 2.0)
    (x, y), _ = shapely.get_coordinates(circle)
    shapely.prepare(flat)
    fits, fails = 0.0, 4.0 * shapely.length(circle) / height
    for _ in range(STEPS):
        scale = 0.5 * (fits + fails)
        half = 0.5 * scale * height
        if shapely.covers(flat, shapely.box(x - half, y - half, x + half, y + half)):
            fits = scale
        else:
            fails = scale
    across, up = float(x / squeeze), float(y)
    cosine, sine = math.cos(turn), math.sin(turn)
    return Point(cosine * across - sine * up, sine * across + cosine * up), fits
