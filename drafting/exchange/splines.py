"""B-splines as cubic curves: exactly where they are cubic, within a stated tolerance elsewhere."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from drafting.errors import DraftingError
from drafting.exchange.linework import Chain
from drafting.plane import Point

__all__ = ["SPLINE_TOLERANCE", "add_spline"]

SPLINE_TOLERANCE = 0.005
"""How far the cubic curves may lie from a rational or high-degree spline, mm."""
MOST_HALVINGS = 12
MOST_CONTROLS = 5_000


def add_spline(chain: Chain, spline: Any, unit: float) -> None:
    """Add a spline of ezdxf (`ezdxf.math.BSpline`); `unit` is the mm in one of its units.

    A clamped spline of degree 3 or less without weights is taken apart exactly (Piegl and
    Tiller, The NURBS Book, A5.6). Any other is followed by cubic curves with its own tangents,
    halved until their middles and quarters lie within 0.005 mm of it.
    """
    if spline.count > MOST_CONTROLS:
        raise DraftingError(f"a spline of {spline.count} control points, wanted {MOST_CONTROLS}")
    if spline.degree <= 3 and not spline.is_rational and spline.is_clamped:
        for controls in spline.bezier_decomposition():
            points = [Point(unit * p.x, unit * p.y) for p in controls]
            if len(points) == 2:
                chain.line(points[0], points[1])
            elif len(points) == 3:
                chain.quadratic(points[0], points[1], points[2])
            else:
                chain.cubic(points[0], points[1], points[2], points[3])
        return
    knots = spline.knots()
    inside = sorted({float(k) for k in knots[spline.degree : len(knots) - spline.degree]})
    for low, high in pairwise(inside):
        if high - low > 1e-12 * max(1.0, abs(high)):
            _follow(chain, spline, unit, low, high, 0)


def _follow(chain: Chain, spline: Any, unit: float, low: float, high: float, depth: int) -> None:
    # A hair inside the knots, so that a corner at a knot keeps the tangents of its two sides.
    hair = 1e-9 * (high - low)
    a, at_a = _place_and_speed(spline, unit, low + hair)
    b, at_b = _place_and_speed(spline, unit, high - hair)
    third = (high - low) / 3
    first, second = a + third * at_a, b - third * at_b
    worst = 0.0
    for part in (0.25, 0.5, 0.75):
        u = 1.0 - part
        guess = u**3 * a + 3 * u * u * part * first + 3 * u * part**2 * second + part**3 * b
        place, _ = _place_and_speed(spline, unit, low + part * (high - low))
        worst = max(worst, abs(guess - place))
    if worst <= SPLINE_TOLERANCE or depth >= MOST_HALVINGS:
        start = chain.segments[-1].end if chain.segments else a
        chain.cubic(start, first, second, b)
        return
    middle = (low + high) / 2
    _follow(chain, spline, unit, low, middle, depth + 1)
    _follow(chain, spline, unit, middle, high, depth + 1)


def _place_and_speed(spline: Any, unit: float, at: float) -> tuple[Point, Point]:
    place, speed = spline.derivative(at, 1)
    return Point(unit * place.x, unit * place.y), Point(unit * speed.x, unit * speed.y)
