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


def test_the_length_of_a_hairpin_is_scipys() -> None:
    # Its speed falls to 0.3 at 1/2, from some hundreds: SciPy is told where.
    def speed(t: float) -> float:
        u = 1 - t
        return math.hypot(3 * (-200 * u * u + 400.8 * u * t - 200.4 * t * t), 450 * (u * u - t * t))

    hairpin = Cubic(Point(200, 0), Point(0, 150), Point(200.4, 150), Point(0, 0))
    expected, error = quad(speed, 0, 1, points=[0.499, 0.5, 0.501], epsabs=1e-10, limit=200)
    assert error < 1e-6
    assert curves.length(hairpin) == pytest.approx(expected, abs=1e-6)


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


@pytest.mark.parametrize("size", [1.0, 1e-3, 1e-4])
def test_curvature_is_of_any_size_of_curve(size: float) -> None:
    # Closed form: drawn so many times smaller, a curve bends so many times more.
    small = Cubic(*(Point(p.x * size, p.y * size) for p in (
        QUARTER.start, QUARTER.control_1, QUARTER.control_2, QUARTER.end
    )))  # fmt: skip
    assert curves.curvature_at(small, 0.3) == pytest.approx(
        curves.curvature_at(QUARTER, 0.3) / size
    )
    assert curves.curvature_at(Line(Point(0, 0), Point(size, 0)), 0.3) == 0.0


def test_a_cusp_has_no_end_of_curvature_and_is_left_the_way_it_goes_on() -> None:
    # B' vanishes at 1/2 and B'' points down there: it arrives upward and leaves downward.
    cusp = Cubic(Point(200, 0), Point(0, 150), Point(200, 150), Point(0, 0))
    assert curves.curvature_at(cusp, 0.5) == math.inf
    assert distance(curves.tangent_at(cusp, 0.5), Point(0, -1)) < 1e-9


def test_a_slow_place_that_is_no_cusp_is_passed_in_its_own_direction() -> None:
    # By hand: B'(1/2) = 3/4 (P3 + P2 - P1 - P0) = (0.3, 0) and B''(1/2) = 3 (P3 - P2 - P1 + P0)
    # = (-1.2, -900); curvature 0.3 * -900 / 0.3^3.
    slow = Cubic(Point(200, 0), Point(0, 150), Point(200.4, 150), Point(0, 0))
    assert distance(curves.tangent_at(slow, 0.5), Point(1, 0)) < 1e-9
    assert curves.curvature_at(slow, 0.5) == pytest.approx(-900 / 0.3**2)


def test_a_straight_curve_that_pauses_goes_on_straight() -> None:
    # B = 8 (t - 1/2)^3 (30, 40) has neither B' nor B'' at 1/2, and runs along (3, 4) throughout.
    pausing = Cubic(Point(-30, -40), Point(30, 40), Point(-30, -40), Point(30, 40))
    assert distance(curves.tangent_at(pausing, 0.5), Point(0.6, 0.8)) < 1e-9


@pytest.mark.parametrize("along", [1e-6, 0.1, 24.0, 49.9999, 50.0, 50.001, 51.0, 99.9])
def test_a_place_is_found_on_a_curve_that_pauses(along: float) -> None:
    # Closed form: B = 8 (t - 1/2)^3 (30, 40) has come 50 + 400 (t - 1/2)^3 far; its speed at 1/2
    # is 0, where steps by the speed alone would fly off.
    pausing = Cubic(Point(-30, -40), Point(30, 40), Point(-30, -40), Point(30, 40))
    t = curves.parameter_at_length(pausing, along)
    assert 50 + 400 * (t - 0.5) ** 3 == pytest.approx(along, abs=2e-7)


def test_a_line_is_split_into_its_parts() -> None:
    line = Line(Point(10, 20), Point(40, 60))
    first, second = curves.split(line, 0.2)
    assert (first.start, second.end) == (line.start, line.end)
    assert distance(first.end, Point(16, 28)) < 1e-12 and first.end == second.start


@pytest.mark.parametrize("inner", [1, 2])
def test_where_a_control_point_lies_on_its_end_the_tangent_is_the_limit(inner: int) -> None:
    # With P1 = P0 the curve leaves towards P2, with P2 = P0, too, towards P3; by l'Hospital.
    start, third, end = Point(10, 20), Point(40, 60), Point(100, -30)
    flat = Cubic(start, start, third if inner == 1 else start, end)
    towards = (third if inner == 1 else end) - start
    assert distance(curves.tangent_at(flat, 0.0), towards.unit) < 1e-9
    back = curves.reversed_segment(flat)
    assert distance(curves.tangent_at(back, 1.0), -1.0 * towards.unit) < 1e-9
    close = Cubic(start, start, start + Point(0.3, 0.4), end)
    assert distance(curves.tangent_at(close, 0.0), Point(0.6, 0.8)) < 1e-9
    near = curves.point_at(flat, 1e-4) - start
    assert distance(near.unit, towards.unit) < 1e-3


def test_the_ends_of_lengths_and_parameters() -> None:
    line = Line(Point(10, 20), Point(40, 60))  # 3-4-5: 50 mm
    assert curves.length(line) == 50.0
    assert curves.parameter_at_length(line, 12.5) == pytest.approx(0.25)
    for segment in (line, QUARTER):
        total = curves.length(segment)
        assert curves.parameter_at_length(segment, 0.0) == 0.0
        assert curves.parameter_at_length(segment, total) == pytest.approx(1.0, abs=1e-9)
        assert curves.parameter_at_length(segment, -5e-7) == 0.0
        for outside in (-2e-6, total + 2e-6):
            with pytest.raises(DraftingError, match="lies outside it"):
                curves.parameter_at_length(segment, outside)
        for t in (0.0, 1.0, -0.1, 1.1):
            with pytest.raises(DraftingError, match="strictly inside"):
                curves.split(segment, t)
        for tolerance in (0.0, -1.0):
            with pytest.raises(DraftingError, match="must be positive"):
                curves.flattened(segment, tolerance)


def test_a_curve_is_flattened_into_no_more_chords_than_its_bend_asks_for() -> None:
    # h <= max |B''| dt^2 / 8 (Bezier curves, any handbook): here |B''| = 6 |P2 - 2 P1 + P0|.
    bend = 6 * distance(QUARTER.control_2 + QUARTER.start, 2 * QUARTER.control_1)
    hooked = Cubic(Point(0, 0), Point(80, 60), Point(20, 40), Point(-40, 30))  # bent most at 0
    most = 6 * math.hypot(20 - 160, 40 - 120)
    for tolerance in (0.001, 0.1, 10.0):
        for curve, bent in ((QUARTER, bend), (hooked, most)):
            for segment in (curve, curves.reversed_segment(curve)):
                chords = math.ceil(math.sqrt(bent / (8 * tolerance)))
                assert len(curves.flattened(segment, tolerance)) == 1 + chords
    assert curves.flattened(QUARTER, 1e6) == (QUARTER.start, QUARTER.end)
    line = Line(Point(1, 2), Point(3, 4))
    assert curves.flattened(line, 0.1) == (line.start, line.end)


def test_a_curve_of_one_point_is_refused() -> None:
    with pytest.raises(DraftingError, match="no length"):
        Cubic(Point(1, 1), Point(1, 1), Point(1, 1), Point(1, 1))
    Cubic(Point(1, 1), Point(1, 1), Point(2, 1), Point(1, 1))  # a loop has a length


def test_a_line_of_no_length_is_refused() -> None:
    with pytest.raises(DraftingError, match="no length"):
        Line(Point(1, 1), Point(1, 1))
