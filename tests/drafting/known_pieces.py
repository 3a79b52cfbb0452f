"""A body and pieces with straight edges that many tests begin with."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from drafting.allowance import cutting_line
from drafting.curves import Line
from drafting.edge import Edge
from drafting.piece import Piece
from drafting.plane import Point, coordinates
from drafting.survey import estimated_body

__all__ = ["MEDIUM", "cornered", "polygon"]

MEDIUM = estimated_body({"bust": 920.0, "waist": 760.0, "hip": 1000.0, "height": 1650.0})


def cornered(
    places: Sequence[tuple[float, float]],
    allowances: Sequence[float] | float = 0.0,
    roles: Sequence[str] | str = "seam",
    name: str = "test",
    marks: tuple = (),
    **more: object,
) -> Piece:
    """A piece with "edge 0", "edge 1" ... from each place to the next; one allowance and one
    role stand for all."""
    points = [Point(*place) for place in places]
    count = len(points)
    allowances = [allowances] * count if isinstance(allowances, float | int) else allowances
    roles = [roles] * count if isinstance(roles, str) else roles
    edges = tuple(
        Edge(f"edge {i}", (Line(points[i], points[(i + 1) % count]),), allowances[i], roles[i])
        for i in range(count)
    )
    return Piece(name, edges, marks, **more)


def polygon(piece: Piece, tolerance: float = 0.005) -> shapely.Polygon:
    """What lies inside the cutting line."""
    return shapely.Polygon(coordinates(cutting_line(piece, tolerance)))
