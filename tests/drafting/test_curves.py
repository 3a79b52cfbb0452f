"""Curves against SciPy's quadrature and closed forms."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from drafting import curves
from drafting.curves import Cubic, Line
from drafting.errors import DraftingError
from drafting.plane import Point, distance

coordinates = st.floats(-500, 500)
points = st.builds(Point, coordinates, coordinates)
cubics = (
    st.tuples(points, points, points, points)
    .filter(lambda p: distance(p[0], p[3]) > 1.0)
    .map(lambda p: Cubic(*p))
)
KAPPA = 4 / 3 * (math.sqrt(2) - 1)
QUARTER = Cubic(Point(100, 0), Point(100, 100 * KAPPA), Point(100 * KAPPA, 100), Point(0, 100))


def test_quarter_circle_length_is_that_of_four_libraries() -> None:
    # SciPy quad, svgpathtools, fontTools and bezier agree on this value for this curve.
    assert curves.length(QUARTER) == pytest.approx(157.10166980738558, abs=1e-6)


def test_curvature_at_the_ends_is_the_closed_form() -> None:
    # A cubic's curvature at its start is 2/3 |d x (P2 - P1)| / |d|^3 with d = P1 - P0; here
    # |d| = 100 k and the distance of P2 from the tangent is 100 (1 - k).
    expected = 2 / 3 * (1 - KAPPA) / KAPPA**2 / 100
    assert curves.curvature_at(QUARTER, 0.0) == pytest.approx(expected)
    assert curves.curvature_at(curves.reversed_segment(QUARTER), 1.0) == pytest.approx(-expected)
    assert curves.curvature_at(QUARTER, 0.5) == pytest.approx(0.01, rel=0.01)


@given(cubics)
@settings(max_examples=60, deadline=None)
def test_length_is_the_integral_of_speed(cubic: Cubic) -> None:
    control = np.array(
        [[p.x, p.y] for p in (cubic.start, cubic.control_1, cubic.control_2, cubic.end)]
    )
    sides = 3 * np.diff(control, axis=0)

    def speed(t: float) -> float:
        u = 1 - t
        return float(np.hypot(*(u * u * sides[0] + 2 * u * t * sides[1] + t * t * sides[2])))

    expected = sum(quad(speed, i / 8, (i + 1) / 8, limit=200)[0] for i in range(8))
    assert curves.length(cubic) == pytest.approx(expected, abs=1e-4)


@given(cubics, st.floats(0.01, 0.99))
@settings(max_examples=60, deadline=None)
def test_parts_are_the_whole(cubic: Cubic, t: float) -> None:
    first, second = curves.split(cubic, t)
    total = curves.length(first) + curves.length(second)
    assert total == pytest.approx(curves.length(cubic), abs=1e-4)
    assert distance(curves.point_at(second, 0.5), curves.point_at(cubic, t + (1 - t) / 2)) < 1e-9


@given(cubics, st.just(0.0) | st.floats(1e-6, 1.0))
@settings(max_examples=60, deadline=None)
def test_parameter_at_length_inverts_length(cubic: Cubic, part: float) -> None:
    along = part * curves.length(cubic)
    t = curves.parameter_at_length(cubic, along)
    inside = 1e-9 < t < 1 - 1e-9
    walked = curves.length(curves.split(cubic, t)[0]) if inside else t * curves.length(cubic)
    assert walked == pytest.approx(along, abs=1e-3)


@given(cubics, st.sampled_from([0.01, 0.1, 1.0]))
@settings(max_examples=60, deadline=None)
def test_chords_stay_within_tolerance(cubic: Cubic, tolerance: float) -> None:
    chords = shapely.LineString([(p.x, p.y) for p in curves.flattened(cubic, tolerance)])
    dense = [curves.point_at(cubic, i / 300) for i in range(301)]
    assert max(chords.distance(shapely.Point(p.x, p.y)) for p in dense) <= tolerance + 1e-9


def test_a_line_of_no_length_is_refused() -> None:
    with pytest.raises(DraftingError, match="no length"):
        Line(Point(1, 1), Point(1, 1))
