"""Offsets of adversarial curves against shapely and pyclipr; arc lengths against SciPy."""

import itertools
import math

import numpy as np
import pyclipr
import pytest
import scipy.integrate
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.interpolate import BPoly

from drafting.allowance import cutting_line, notch_lines
from drafting.curves import Cubic, Line, end_tangents, length, parameter_at_length, point_at, split
from drafting.draft import draft
from drafting.edge import Edge
from drafting.errors import DraftingError
from drafting.marks import Notch
from drafting.offset import loop_free, offset_segment, plane_number
from drafting.piece import Piece, notches_of, outline, seam_polygon
from drafting.plane import Point
from drafting.style import Style
from tests.drafting.known_pieces import MEDIUM

heights = st.floats(-250, 250)
controls = st.tuples(st.floats(-150, 350), heights, st.floats(-150, 350), heights)


def curved_top(curve: Cubic, allowance: float) -> Piece:
    """A box whose upper side, from right to left, is the curve.

    Corners of the box sharper than 5 degrees are left out: within the flatness of a curve they
    could cross.
    """
    leave, arrive = end_tangents(curve)
    assume(min(leave.y, -arrive.y) > -math.cos(math.radians(5)))
    try:
        return box_under(curve, allowance)
    except DraftingError:  # a curve that crosses itself or the box is no seam line
        assume(False)
        raise


def box_under(curve: Cubic, allowance: float) -> Piece:
    corners = [Point(0, 0), Point(0, -300), Point(200, -300), Point(200, 0)]
    rest = tuple(Line(a, b) for a, b in itertools.pairwise(corners))
    return Piece("curved", (Edge("top", (curve,), allowance), Edge("rest", rest, allowance)))


def bent(values: tuple[float, float, float, float]) -> Cubic:
    a, b, c, d = values
    # Control points nearer to an end than a seam line can be drawn turn round within microns.
    assume(math.hypot(a - 200, b) > 1.0 and math.hypot(c, d) > 1.0)
    return Cubic(Point(200, 0), Point(a, b), Point(c, d), Point(0, 0))


@given(controls, st.floats(2, 40))
@settings(max_examples=40, deadline=None)
def test_any_curve_is_offset_as_shapely_and_clipper_do(
    values: tuple[float, float, float, float], allowance: float
) -> None:
    piece = curved_top(bent(values), allowance)
    fine = shapely.Polygon([(p.x, p.y) for p in outline(piece, 0.003)])
    assume(fine.is_valid)  # a crossing too small for the piece to refuse has no right answer
    is_offset_as_others_do(piece, fine, allowance)


@pytest.mark.parametrize("high", [150.0, -150.0, 60.0])
@pytest.mark.parametrize("allowance", [3.0, 12.0, 40.0])
def test_a_cusp_is_swept_round_outward_and_left_alone_inward(high: float, allowance: float) -> None:
    # The derivative vanishes in the middle: the curve turns back on itself at (100, 3/4 high).
    spike = Cubic(Point(200, 0), Point(0, high), Point(200, high), Point(0, 0))
    piece = box_under(spike, allowance)
    fine = shapely.Polygon([(p.x, p.y) for p in outline(piece, 0.003)])
    is_offset_as_others_do(piece, fine, allowance)


def is_offset_as_others_do(piece: Piece, fine: shapely.Polygon, allowance: float) -> None:
    line = cutting_line(piece, 0.02)
    made = shapely.Polygon([(p.x, p.y) for p in line])
    assert made.is_valid
    offset = pyclipr.ClipperOffset()
    offset.scaleFactor = 100_000
    offset.arcTolerance = 0.003
    offset.addPath(
        shapely.get_coordinates(fine.exterior)[:-1], pyclipr.JoinType.Round, pyclipr.EndType.Polygon
    )
    corners = shapely.MultiPoint([(0, 0), (200, 0), (0, -300), (200, -300)])
    mitres = corners.buffer(4.5 * allowance)  # where ours are pointed and theirs are round
    clipped = max(
        (shapely.Polygon(path) for path in offset.execute(allowance)), key=lambda p: p.area
    )
    # shapely simplifies a whole outline before it buffers it, by more than is tolerated here;
    # the segments it buffers one by one are exact.
    ring = shapely.get_coordinates(fine.exterior)
    segments = shapely.linestrings(np.stack([ring[:-1], ring[1:]], axis=1))
    swept = shapely.union_all([fine, *shapely.buffer(segments, allowance, quad_segs=32)])
    for expected in (shapely.Polygon(swept.exterior), shapely.Polygon(clipped.exterior)):
        assert expected.difference(made.buffer(0.05)).area < 1e-4
        assert made.difference(expected.buffer(0.05)).difference(mitres).area < 1e-4


KAPPA = 400 / 3 * (math.sqrt(2) - 1)
QUARTER = Cubic(Point(100, 0), Point(100, KAPPA), Point(KAPPA, 100), Point(0, 100))


def exactly_offset(curve: Cubic, t: np.ndarray, allowance: float) -> np.ndarray:
    """Places on the right of a curve: the curve and its direction by SciPy."""
    control = [curve.start, curve.control_1, curve.control_2, curve.end]
    seam = BPoly(np.array([(p.x, p.y) for p in control])[:, None], [0, 1])
    x, y = seam.derivative()(t).T / np.hypot(*seam.derivative()(t).T)
    return shapely.points(seam(t) + allowance * np.stack([y, -x], axis=1))


@pytest.mark.parametrize("allowance", [0.0, 5.0, 19.0, 40.0])
def test_a_bend_is_carried_out_within_its_tolerance_and_by_few_chords(allowance: float) -> None:
    # The chords of an arc of radius R with a sagitta s turn by sqrt(8 s / R) each, and halving
    # makes at most twice the fewest.
    exact = exactly_offset(QUARTER, np.linspace(0, 1, 1501), allowance)
    for tolerance in (0.005, 0.02):
        line = offset_segment(QUARTER, allowance, tolerance)
        chords = shapely.LineString(np.stack([line.real, line.imag], axis=1))
        assert shapely.distance(chords, exact).max() <= 1.001 * tolerance
        fewest = math.pi / 2 / math.sqrt(8 * tolerance / (100 + allowance))
        assert len(line) - 1 <= (1.08 if allowance < 10.0 else 2.3) * fewest


@pytest.mark.parametrize("width", [0.0003, 0.0008, 0.002, 0.004, 0.02])
def test_a_tip_too_narrow_to_be_sampled_is_rounded_within_the_tolerance(width: float) -> None:
    # Nearly a cusp: at 1/2 its speed is only 3/4 of `width`, while B'' is 900 down.
    tip = Cubic(Point(200, 0), Point(0, 150), Point(200 - width, 150), Point(0, 0))
    t = 0.5 + 0.75 * width / 900 * np.tan(np.linspace(-1.55, 1.55, 701))
    for allowance in (3.0, 40.0):
        line = offset_segment(tip, allowance, 0.02)
        chords = shapely.LineString(np.stack([line.real, line.imag], axis=1))
        away = shapely.distance(chords, exactly_offset(tip, t[(t > 0) & (t < 1)], allowance))
        assert away.max() <= 0.02


def test_a_straight_curve_is_carried_out_straight() -> None:
    # By hand: right of (3, 4) / 5 lies (4, -3) / 5.
    straight = Cubic(Point(0, 0), Point(30, 40), Point(60, 80), Point(90, 120))
    line = offset_segment(straight, 10.0, 0.02)
    assert line[[0, -1]] == pytest.approx([8 - 6j, 98 + 114j])
    assert len(line) <= 3
    assert ((line - line[0]) / (3 + 4j)).imag == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("allowance", [0.8, 3.0, 40.0])
def test_an_arc_of_few_chords_goes_round_the_outer_side_of_a_cusp(allowance: float) -> None:
    # By hand: half a circle of radius R about the cusp, its chords with a sagitta of 0.02 turn by
    # at most sqrt(8 * 0.02 / R); on the inner side there is only the cusp.
    spike = Cubic(Point(200, 0), Point(0, 150), Point(200, 150), Point(0, 0))
    back = Cubic(spike.end, spike.control_2, spike.control_1, spike.start)
    chords = math.ceil(math.pi / math.sqrt(8 * 0.02 / allowance))
    arc = np.exp(1j * math.pi * np.arange(1, chords) / chords)
    for curve, expected, through in ((spike, allowance * arc, False), (back, [], True)):
        line = offset_segment(curve, allowance, 0.02) - complex(100, 112.5)
        swept = line[(np.abs(np.abs(line) - allowance) < 1e-6) & (line.imag > 0.01 * allowance)]
        assert swept == pytest.approx(np.array(expected), abs=1e-4)
        assert (np.abs(line).min() < 1e-9) == through
        # It sets out a quarter turn to the right of (-4, 3), or of (-4, -3) from the other end.
        outset = complex(3, 4) if curve is spike else complex(3, -4)
        assert line[0] - plane_number(curve.start) == pytest.approx(
            allowance / 5 * outset - complex(100, 112.5)
        )


def test_a_curve_without_allowance_is_its_own_line_at_a_cusp() -> None:
    spike = Cubic(Point(200, 0), Point(0, 150), Point(200, 150), Point(0, 0))
    line = offset_segment(spike, 0.0, 0.02)
    assert np.abs(line - complex(100, 112.5)).min() < 0.02
    assert (np.diff(line.real) <= 0.0).all()


@given(controls)
@settings(max_examples=100, deadline=None)
def test_arc_length_is_scipys(values: tuple[float, float, float, float]) -> None:
    curve = bent(values)

    def speed(t: float) -> float:
        p = np.array(
            [(q.x, q.y) for q in (curve.start, curve.control_1, curve.control_2, curve.end)]
        )
        u = 1 - t
        return float(np.hypot(*(np.array([3 * u * u, 6 * u * t, 3 * t * t]) @ np.diff(p, axis=0))))

    # Where the curve is slowest it may turn round: SciPy is given those places to begin anew at.
    t = np.polynomial.Polynomial([0, 1])
    basis = (3 * (1 - t) ** 2, 6 * (1 - t) * t, 3 * t**2)
    control = np.array(
        [(q.x, q.y) for q in (curve.start, curve.control_1, curve.control_2, curve.end)]
    )
    steps = np.diff(control, axis=0)
    squared = sum(sum(w * d for w, d in zip(basis, side, strict=True)) ** 2 for side in steps.T)
    slow = sorted(r.real for r in squared.deriv().roots() if 0 < r.real < 1 and abs(r.imag) < 0.1)
    expected, error = scipy.integrate.quad(speed, 0, 1, limit=500, points=slow or None, epsabs=1e-9)
    assert length(curve) == pytest.approx(expected, abs=1e-5 + error)
    third = parameter_at_length(curve, expected / 3)
    slow = [place for place in slow if place < third]
    first = scipy.integrate.quad(speed, 0, third, limit=500, points=slow or None, epsabs=1e-9)[0]
    assert first == pytest.approx(expected / 3, abs=1e-5 + error)


def test_a_quarter_circle_has_its_published_length() -> None:
    # R = 100: 157.10166980738558 by SciPy quad, svgpathtools, fontTools and bezier alike.
    assert length(QUARTER) == pytest.approx(157.10166980738558, abs=1e-9)


@given(controls, st.floats(0.05, 0.95), st.floats(2, 25))
@settings(max_examples=40, deadline=None)
def test_a_split_edge_has_the_same_cutting_line(
    values: tuple[float, float, float, float], t: float, allowance: float
) -> None:
    curve = bent(values)
    assume(abs(point_at(curve, t).x) < 1e6)
    whole = curved_top(curve, allowance)
    parts = Piece("parts", (Edge("top", split(curve, t), allowance), whole.edges[1]))
    shapes = [
        shapely.Polygon([(p.x, p.y) for p in cutting_line(piece, 0.01)]) for piece in (whole, parts)
    ]
    assert (
        shapes[0].symmetric_difference(shapes[1]).difference(shapes[0].exterior.buffer(0.05)).area
        < 1e-4
    )


def test_a_figure_of_eight_keeps_what_is_wound_round_the_right_way() -> None:
    # By hand: the lower lobe runs counter-clockwise, the upper one clockwise.
    path = np.array([0, 10 + 0j, 4 + 12j, 6 + 12j])
    freed = loop_free(path)
    assert freed is not None
    crossing = shapely.LineString([(10, 0), (4, 12)]).intersection(
        shapely.LineString([(6, 12), (0, 0)])
    )
    area = shapely.Polygon(np.stack([freed.real, freed.imag], axis=1)).area
    assert area == pytest.approx(10 * crossing.y / 2, abs=1e-5)
    assert loop_free(np.array([0, 4j, 4 + 4j, 4 + 0j])) is None


def test_what_is_wound_round_both_ways_is_not_kept() -> None:
    # By hand: a square wound round counter-clockwise, and a smaller one the other way that reaches
    # 4 by 6 into it.
    corners = [
        (10, 2),
        (10, 10),
        (0, 10),
        (0, 0),
        (10, 0),
        (10, 2),
        (6, 2),
        (6, 8),
        (16, 8),
        (16, 2),
    ]
    freed = loop_free(np.array([complex(x, y) for x, y in corners]))
    assert freed is not None
    kept = shapely.Polygon(np.stack([freed.real, freed.imag], axis=1))
    expected = shapely.difference(shapely.box(0, 0, 10, 10), shapely.box(6, 2, 10, 8))
    assert kept.symmetric_difference(expected).area < 1e-4


def test_of_two_parts_that_only_a_loop_joins_the_larger_is_kept() -> None:
    # By hand: crossed at x = 20/7 and 15/2, a triangle of 80/7, a loop, and 5/2 by 3 with 2 by 6.
    right = [0 - 4j, 5 + 3j, 10 - 3j, 12 - 3j]
    for mirror in (1, -1):  # the larger part after the smaller, and before it
        path = np.array([*right, *(z.conjugate() for z in reversed(right))])
        freed = loop_free(path if mirror == 1 else -path.conjugate()[::-1])
        assert freed is not None
        kept = shapely.Polygon(np.stack([mirror * freed.real, freed.imag], axis=1))
        expected = shapely.Polygon([(7.5, 0), (10, -3), (12, -3), (12, 3), (10, 3)])
        assert kept.symmetric_difference(expected).area < 1e-4


@pytest.mark.parametrize("lift", [0.0, 0.5, 1.0])
def test_notches_of_a_draft_end_square_on_the_cutting_line(lift: float) -> None:
    for piece in draft(MEDIUM, Style(lift=lift)).pieces:
        rim = shapely.LinearRing([(p.x, p.y) for p in cutting_line(piece, 0.02)])
        body = seam_polygon(piece, 0.01)
        assert len(notch_lines(piece)) == len(notches_of(piece))
        for _, seam, cut in notch_lines(piece):
            assert rim.distance(shapely.Point(cut.x, cut.y)) < 0.05
            assert body.exterior.distance(shapely.Point(seam.x, seam.y)) < 0.02


def test_a_notch_in_a_tight_bend_ends_on_the_cutting_line() -> None:
    # The bend is tighter than the allowance, whose loop is gone: the notch runs on to the line.
    curve = Cubic(Point(200, 0), Point(60, 20), Point(140, -240), Point(0, 0))
    piece = box_under(curve, 40.0)
    middle = length(curve) / 2
    for along in (middle - 40, middle, middle + 60):
        marked = Piece("curved", piece.edges, (Notch("top", along),))
        rim = shapely.LinearRing([(p.x, p.y) for p in cutting_line(marked, 0.02)])
        (_, seam, cut) = notch_lines(marked)[0]
        assert rim.distance(shapely.Point(cut.x, cut.y)) < 0.05
        assert math.hypot(cut.x - seam.x, cut.y - seam.y) > 39.9
