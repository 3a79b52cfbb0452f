"""Cutting lines against shapely's buffer, pyclipr and hand computation."""

import math
from dataclasses import replace

import pyclipr
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from drafting.allowance import cut_run, cutting_line, notch_lines, notch_strokes
from drafting.curves import Cubic, Line
from drafting.edge import Edge, moved_edge
from drafting.marks import Notch
from drafting.piece import Piece, seam_polygon
from drafting.plane import Motion, Point, distance
from tests.drafting.known_pieces import cornered, polygon


def disc(radius: float, allowance: float) -> Piece:
    k = 4 / 3 * (math.sqrt(2) - 1) * radius
    r = radius
    quarters = (
        Cubic(Point(r, 0), Point(r, k), Point(k, r), Point(0, r)),
        Cubic(Point(0, r), Point(-k, r), Point(-r, k), Point(-r, 0)),
        Cubic(Point(-r, 0), Point(-r, -k), Point(-k, -r), Point(0, -r)),
        Cubic(Point(0, -r), Point(k, -r), Point(r, -k), Point(r, 0)),
    )
    return Piece("disc", (Edge("rim", quarters, allowance),))


@pytest.mark.parametrize(
    "allowances", [(40, 10, 6, 15), (40, 10, 0, 15), (40, 0, 0, 15), (1, 1, 1, 1), (0, 0, 0, 0)]
)
def test_rectangle_with_four_allowances_is_a_rectangle(allowances: tuple[float, ...]) -> None:
    low, right, high, left = allowances
    piece = cornered([(0, 0), (200, 0), (200, 100), (0, 100)], [*allowances])
    expected = shapely.box(-left, -low, 200 + right, 100 + high)
    assert polygon(piece).symmetric_difference(expected).area < 1e-3


def test_a_disc_grows_by_its_allowance() -> None:
    # Closed form: radius 100 and 10 make 110; the cubic circle itself is 0.027 % off.
    assert polygon(disc(100, 10)).area == pytest.approx(math.pi * 110**2, rel=6e-4)


def test_a_right_angle_meets_at_root_two() -> None:
    piece = cornered([(0, 0), (100, 0), (100, 100), (0, 100)], [10] * 4)
    reach = max(distance(Point(100, 100), p) for p in cutting_line(piece, 0.02) if p.x > 100 < p.y)
    assert reach == pytest.approx(10 * math.sqrt(2), abs=1e-5)


def test_the_fold_stays_on_the_fold() -> None:
    piece = cornered(
        [(0, 0), (200, 0), (180, 300), (0, 320)],
        [40, 10, 10, 0],
        roles=["hem", "seam", "neckline", "fold"],
        fold_edge="edge 3",
    )
    line = cutting_line(piece, 0.02)
    assert min(p.x for p in line) == pytest.approx(0.0, abs=1e-9)
    assert sum(abs(p.x) < 1e-9 for p in line) == 2


@pytest.mark.parametrize("order", [1, -1])
def test_a_point_on_the_fold_sharper_than_a_mitre_goes_is_cut_as_shapely_does(order: int) -> None:
    # 8 degrees from the fold at the top and at the foot; the half is that of shapely's whole.
    half = [(0, 0), (20, 140), (20, 300), (0, 440)]
    whole = [*half, *((-x, y) for x, y in half[2:0:-1])]
    roles = ["seam", "seam", "seam", "fold"]
    piece = cornered(half, [10, 10, 10, 0], roles=roles, fold_edge="edge 3")
    if order < 0:  # the fold first
        piece = replace(piece, edges=(piece.edges[3], *piece.edges[:3]))
    expected = shapely.Polygon(whole).buffer(10, join_style="mitre", mitre_limit=4)
    expected = expected.intersection(shapely.box(0, -100, 500, 600))
    assert polygon(piece).symmetric_difference(expected).area < 1e-3


def test_the_fold_stays_on_the_fold_beside_an_edge_that_goes_on_cornered() -> None:
    # A slit above the fold: its allowance reaches past the fold, which it leaves at the corner.
    piece = cornered(
        [(0, 0), (200, 0), (200, 300), (0, 300), (0, 200)],
        [40, 10, 10, 10, 0],
        roles=["hem", "seam", "seam", "seam", "fold"],
        fold_edge="edge 4",
    )
    slit = shapely.box(-10, 200, 0, 310)
    expected = shapely.union(shapely.box(0, -40, 210, 310), slit)
    assert polygon(piece).symmetric_difference(expected).area < 1e-3


def test_a_hem_turned_up_lies_on_the_side_it_was_mirrored_from() -> None:
    # The side leans in going up; the hem's end, folded in y = 0, must follow the cutting line.
    piece = cornered(
        [(0, 0), (200, 0), (150, 300), (0, 300)],
        [40, 10, 10, 10],
        roles=["hem", "seam", "seam", "seam"],
    )
    foot = max((p for p in cutting_line(piece, 0.02) if p.y < -39.9), key=lambda p: p.x)
    lean = 50 / 300
    outward = 10 * math.hypot(1, lean)  # the side's cutting line at y = 0, from x = 200
    assert foot.x == pytest.approx(200 + outward - 40 * lean, abs=1e-4)


rectangles = st.tuples(st.floats(60, 400), st.floats(60, 400), st.floats(-40, 40))


@given(rectangles, st.floats(4, 25))
@settings(max_examples=40, deadline=None)
def test_equal_allowance_is_shapelys_and_clippers_mitred_offset(
    size: tuple[float, float, float], allowance: float
) -> None:
    width, height, dent = size
    corners = [
        (0.0, 0.0),
        (width, 0.0),
        (width, height),
        (width / 2, height - abs(dent)),
        (0.0, height),
    ]
    piece = cornered(corners, [allowance] * 5)
    expected = shapely.Polygon(corners).buffer(allowance, join_style="mitre", mitre_limit=4)
    assert polygon(piece).symmetric_difference(expected).area < 0.05
    offset = pyclipr.ClipperOffset()
    offset.scaleFactor = 10_000
    offset.miterLimit = 4
    offset.addPath(corners, pyclipr.JoinType.Miter, pyclipr.EndType.Polygon)
    clipped = shapely.Polygon(offset.execute(allowance)[0])
    assert polygon(piece).symmetric_difference(clipped).area < 0.5


@given(st.floats(-90, 60), st.floats(5, 30))
@settings(max_examples=40, deadline=None)
def test_a_curved_edge_is_offset_within_a_twentieth_of_a_millimetre(
    bend: float, allowance: float
) -> None:
    curve = Cubic(Point(200, 0), Point(200 + bend, 60), Point(200 + bend, 120), Point(200, 200))
    piece = Piece(
        "curved",
        (
            Edge("bottom", (Line(Point(0, 0), Point(200, 0)),), allowance),
            Edge("side", (curve,), allowance),
            Edge(
                "rest",
                (Line(Point(200, 200), Point(0, 200)), Line(Point(0, 200), Point(0, 0))),
                allowance,
            ),
        ),
    )
    made = polygon(piece)
    fine = seam_polygon(piece, 0.001)
    expected = fine.buffer(allowance, join_style="round", quad_segs=128)
    assert made.is_valid
    assert expected.difference(made.buffer(0.05)).area < 1e-6
    for x, y in made.exterior.coords:  # only outward corners may lie further out
        far = fine.exterior.distance(shapely.Point(x, y)) - allowance
        corner = min(math.hypot(x - a, y - b) for a, b in ((0, 0), (200, 0), (200, 200), (0, 200)))
        assert far < 0.05 or corner <= 4 * allowance + 0.1


def test_notches_run_square_to_the_cutting_line() -> None:
    piece = cornered([(0, 0), (200, 0), (200, 100), (0, 100)], [40, 1, 6, 15])
    piece = Piece("test", piece.edges, (Notch("edge 1", 30.0), Notch("edge 0", 50.0, "double")))
    (_, seam, cut), (_, seam_2, cut_2) = notch_lines(piece)
    assert (seam, cut) == (Point(200, 30), Point(201, 30))
    assert (seam_2, cut_2) == (Point(50, 0), Point(50, -40))


def test_a_notch_beside_an_edge_without_allowance_ends_where_that_cuts_it_off() -> None:
    # By hand: beside a corner of 135 degrees the line of the next edge, run on, lies as deep
    # below this one as the notch stands from the corner.
    corners = [(0, 0), (200, 0), (300, 100), (300, 300), (0, 300)]
    piece = cornered(corners, [10, 0, 10, 10, 10])
    piece = replace(piece, marks=(Notch("edge 0", 199.5), Notch("edge 0", 195.0)))
    for (_, seam, cut), depth in zip(notch_lines(piece), (0.5, 5.0), strict=True):
        assert distance(seam, Point(200 - depth, 0)) < 1e-9
        assert distance(cut, Point(200 - depth, -depth)) < 1e-6


def test_a_notch_of_a_bend_is_as_long_as_its_allowance() -> None:
    # Not only as long as the chords of the cutting line let it.
    piece = replace(disc(100, 10), marks=tuple(Notch("rim", 10.0 + 31.7 * i) for i in range(10)))
    for _, seam, cut in notch_lines(piece):
        assert distance(seam, cut) == pytest.approx(10.0, abs=1e-9)
        assert abs(cut) == pytest.approx(110.0, abs=0.03)


def test_a_double_notch_is_two_snips_and_one_without_allowance_runs_inward() -> None:
    piece = cornered([(0, 0), (200, 0), (200, 100), (0, 100)], [40, 10, 0, 15])
    marks = (Notch("edge 0", 50.0, "double"), Notch("edge 2", 80.0))
    strokes = notch_strokes(Piece("test", piece.edges, marks))
    assert [(inner, outer) for _, inner, outer in strokes] == [
        (Point(53, 0), Point(53, -40)),
        (Point(47, 0), Point(47, -40)),
        (Point(120, 96), Point(120, 100)),
    ]


def test_a_notch_with_no_cutting_line_before_it_is_as_long_as_its_allowance() -> None:
    # In a hollow corner, within the wide allowance of the edge beside: the line runs 40 away from
    # that edge, and along it for more than ten allowances.
    corners = [(0, 0), (400, 0), (400, 200), (200, 200), (200, 500), (0, 500)]
    piece = cornered(corners, [10, 10, 3, 40, 10, 10])
    piece = replace(piece, marks=(Notch("edge 2", 180.0), Notch("edge 2", 100.0)))
    (_, seam, cut), (_, far, end) = notch_lines(piece)
    assert (seam, cut) == (Point(220, 200), Point(220, 203))
    assert (far, end) == (Point(300, 200), Point(300, 203))


def test_nobody_is_led_to_cut_along_the_fold() -> None:
    half = cornered([(0, 0), (200, 0), (200, 100), (0, 100)], [40, 10, 6, 0])
    edges = (*half.edges[:3], replace(half.edges[3], role="fold"))
    run, closed = cut_run(Piece("half", edges, fold_edge="edge 3"), 0.02)
    assert not closed
    assert (run[0], run[-1]) == (Point(0, -40), Point(0, 106))
    assert all(point.x > 1.0 for point in run[1:-1])
    assert cut_run(half, 0.02) == (cutting_line(half, 0.02), True)


@pytest.mark.parametrize("motion", [Motion(), Motion(0.7, 30.0, -80.0)])
@pytest.mark.parametrize("first", range(5))
def test_the_open_run_is_the_same_wherever_the_outline_begins_and_lies(
    first: int, motion: Motion
) -> None:
    corners = [(0, 0), (200, 0), (200, 100), (0.5, 100), (0, 60)]
    half = cornered(corners, [40, 10, 6, 0, 0])
    edges = (*half.edges[:4], replace(half.edges[4], role="fold"))
    turned = tuple(moved_edge(edge, motion) for edge in (*edges[first:], *edges[:first]))
    run, closed = cut_run(Piece("half", turned, fold_edge="edge 4"), 0.02)
    assert not closed
    run = tuple(motion.inverse(point) for point in run)
    assert distance(run[0], Point(0, -40)) < 1e-9 and distance(run[-1], Point(0, 60)) < 1e-9
    assert min(point.x for point in run[1:-1]) > 0.4  # close by the fold, and not on it
