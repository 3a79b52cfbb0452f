"""Points and motions of the plane.

Frames: x to the right, y up, angles counter-clockwise from +x, millimetres and radians.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from drafting.errors import DraftingError

__all__ = ["Motion", "Point", "coordinates", "distance", "midpoint"]


@dataclass(frozen=True, slots=True)
class Point:
    """A point, or a displacement, in millimetres."""

    x: float
    y: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.x) and math.isfinite(self.y)):
            raise DraftingError(f"point ({self.x}, {self.y}) is not finite")

    def __add__(self, other: Point) -> Point:
        return Point(self.x + other.x, self.y + other.y)

    def __sub__(self, other: Point) -> Point:
        return Point(self.x - other.x, self.y - other.y)

    def __mul__(self, factor: float) -> Point:
        return Point(self.x * factor, self.y * factor)

    __rmul__ = __mul__

    def __neg__(self) -> Point:
        return Point(-self.x, -self.y)

    def __abs__(self) -> float:
        return math.hypot(self.x, self.y)

    def dot(self, other: Point) -> float:
        """Scalar product, mm²."""
        return self.x * other.x + self.y * other.y

    def cross(self, other: Point) -> float:
        """z of the vector product, mm²; positive when `other` lies to the left of this one."""
        return self.x * other.y - self.y * other.x

    @property
    def angle(self) -> float:
        """Direction from +x, radians in (-pi, pi]."""
        return math.atan2(self.y, self.x)

    @property
    def unit(self) -> Point:
        """This displacement at length 1. Raises `DraftingError` when its length is 0."""
        size = abs(self)
        if size == 0.0:
            raise DraftingError("a displacement of length 0 has no direction")
        return Point(self.x / size, self.y / size)

    @property
    def left(self) -> Point:
        """This displacement turned a quarter turn to the left (counter-clockwise)."""
        return Point(-self.y, self.x)


@dataclass(frozen=True, slots=True)
class Motion:
    """An isometry: an optional mirror x -> -x *first*, then a turn by `angle`, then a shift.

    p -> R(angle) M p + (dx, dy), with M = diag(-1, 1) when `mirrored`. The mirror keeps the
    grain (y) of a piece. ``to_from`` names chain: ``table_from_cloth @ cloth_from_piece``.
    """

    angle: float = 0.0
    dx: float = 0.0
    dy: float = 0.0
    mirrored: bool = False

    def __post_init__(self) -> None:
        if not all(map(math.isfinite, (self.angle, self.dx, self.dy))):
            raise DraftingError(f"motion ({self.angle}, {self.dx}, {self.dy}) is not finite")

    @property
    def matrix(self) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
        """Rows of the 2 x 3 matrix [A | t], so that p' = A p + t."""
        # Exact at quarter turns, so that pieces laid on grain stay exactly on it.
        quarters = self.angle / (math.pi / 2)
        if abs(quarters - round(quarters)) < 1e-15 * max(1.0, abs(quarters)):
            c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarters) % 4]
        else:
            c, s = math.cos(self.angle), math.sin(self.angle)
        side = -1.0 if self.mirrored else 1.0
        return ((side * c, -s, self.dx), (side * s, c, self.dy))

    def __call__(self, point: Point) -> Point:
        (a, b, e), (c, d, f) = self.matrix
        return Point(a * point.x + b * point.y + e, c * point.x + d * point.y + f)

    def direction(self, displacement: Point) -> Point:
        """A displacement turned and mirrored, not shifted."""
        (a, b, _), (c, d, _) = self.matrix
        return Point(
            a * displacement.x + b * displacement.y, c * displacement.x + d * displacement.y
        )

    def __matmul__(self, first: Motion) -> Motion:
        """The motion that does `first`, then this one."""
        shift = self(Point(first.dx, first.dy))
        turn = -first.angle if self.mirrored else first.angle
        return Motion(self.angle + turn, shift.x, shift.y, self.mirrored != first.mirrored)

    @property
    def inverse(self) -> Motion:
        """The motion that undoes this one."""
        turn = self.angle if self.mirrored else -self.angle
        back = Motion(turn, 0.0, 0.0, self.mirrored).direction(Point(self.dx, self.dy))
        return Motion(turn, -back.x, -back.y, self.mirrored)


def distance(a: Point, b: Point) -> float:
    """Straight distance in mm."""
    return math.hypot(b.x - a.x, b.y - a.y)


def midpoint(a: Point, b: Point) -> Point:
    """The point halfway between two points."""
    return Point((a.x + b.x) / 2, (a.y + b.y) / 2)


def coordinates(points: Iterable[Point]) -> list[tuple[float, float]]:
    """The points as rows of x and y, mm, which array and polygon libraries take."""
    return [(point.x, point.y) for point in points]
