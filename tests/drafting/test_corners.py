"""Corner rules against hand computation; that the corners meet is common practice, no source."""

import dataclasses
import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from drafting.allowance import cutting_line
from drafting.corners import Corner, Rule
from drafting.curves import Cubic, Line
from drafting.draft import draft
from drafting.edge import Edge
from drafting.errors import DraftingError
from drafting.piece import Piece
from drafting.plane import Point
from drafting.style import Style
from drafting.unfolding import unfolded
from tests.drafting.known_pieces import MEDIUM, cornered, polygon


def mirrored(shape: shapely.Geometry, a: tuple[float, float], b: tuple[float, float]):
    """The shape, mirrored in the line through two points."""
    angle = 2 * math.atan2(b[1] - a[1], b[0] - a[0])
    c, s = math.cos(angle), math.sin(angle)
    matrix = [c, s, s, -c, a[0] - c * a[0] - s * a[1], a[1] - s * a[0] + c * a[1]]
    return shapely.affinity.affine_transform(shape, matrix)


@given(st.floats(-0.35, 0.35), st.floats(-0.35, 0.35), st.floats(5, 20), st.floats(10, 60))
@settings(max_examples=60, deadline=None)
def test_a_hem_ends_on_the_mirrored_cutting_lines(
    left: float, right: float, side: float, hem: float
) -> None:
    # By hand: a side leaning by a from the vertical has its cutting line side / cos a outside
    # it, which in the hem's depth runs in again by the same lean, mirrored: hem * tan a.
    top = [(300 + 400 * math.tan(right), 400), (-400 * math.tan(left), 400)]
    piece = cornered(
        [(0, 0), (300, 0), *top], [hem, side, 10, side], ["hem", "seam", "seam", "seam"]
    )
    foot = [x for x, y in polygon(piece).exterior.coords if y < -hem + 1e-6]
    assert max(foot) == pytest.approx(300 + side / math.cos(right) + hem * math.tan(right))
    assert min(foot) == pytest.approx(-side / math.cos(left) - hem * math.tan(left))


@given(st.floats(-60, 60), st.floats(-0.2, 0.2))
@settings(max_examples=40, deadline=None)
def test_a_hem_turned_up_lies_flat_beside_a_curved_side(bend: float, tilt: float) -> None:
    # What is below the hem line, mirrored in it, must cover the piece up to its own cutting
    # line, no more and no less: shapely mirrors and compares.
    low = (300.0, 300 * tilt)
    side = Cubic(Point(*low), Point(300 + bend, low[1] + 90), Point(300, 250), Point(300, 400))
    piece = Piece(
        "test",
        (
            Edge("hem", (Line(Point(0, 0), Point(*low)),), 40.0, "hem"),
            Edge("side", (side,), 10.0),
            Edge("rest", (Line(Point(300, 400), Point(0, 400)),), 10.0),
            Edge("left", (Line(Point(0, 400), Point(0, 0)),), 10.0),
        ),
    )
    whole = polygon(piece)
    far = 1000.0
    below = shapely.Polygon([(-far, -far * tilt), (far, far * tilt), (far, -far), (-far, -far)])
    hem = shapely.intersection(whole, below)
    turned = mirrored(hem, (0, 0), low)
    assert turned.difference(whole.buffer(0.02)).area < 0.01
    depth = 40 * math.hypot(1, tilt)
    band = shapely.Polygon(
        [
            (-far, -far * tilt),
            (far, far * tilt),
            (far, far * tilt + depth),
            (-far, -far * tilt + depth),
        ]
    )
    assert whole.intersection(band).difference(turned.buffer(0.02)).area < 0.01


@pytest.mark.parametrize("deep", [40.0, 20.0, 8.0])
@pytest.mark.parametrize("hem_first", [True, False])
def test_a_hem_turned_up_lies_flat_beside_sides_with_corners(deep: float, hem_first: bool) -> None:
    # Corners of both sides lie within the depth of the hem: shapely folds it up on the piece.
    right = [Point(300, 0), Point(312, 15), Point(305, 30), Point(300, 400)]
    left = [Point(0, 400), Point(-6, 28), Point(5, 12), Point(0, 0)]
    runs = ([left[-1], right[0]], right, [right[-1], left[0]], left)
    edges = tuple(
        Edge(f"edge {i}", tuple(Line(a, b) for a, b in pairwise(run)), 10.0)
        for i, run in enumerate(runs)
    )
    hem = dataclasses.replace(edges[0], allowance=deep, role="hem")
    whole = polygon(Piece("test", (hem, *edges[1:]) if hem_first else (*edges[1:], hem)))
    below = whole.intersection(shapely.box(-100, -100, 500, 0))
    folded = shapely.affinity.scale(below, 1, -1, origin=(0, 0))
    above = whole.intersection(shapely.box(-100, 0, 500, deep))
    assert folded.symmetric_difference(above).area < 1e-3


@given(st.floats(35, 145), st.floats(5, 25), st.floats(5, 25))
@settings(max_examples=60, deadline=None)
def test_squared_cut_edges_meet_when_sewn(angle_deg: float, sewn: float, other: float) -> None:
    # Two pieces whose angles at the seam make a straight contour. Laid right sides together on
    # the seam, one is the mirror image of the other across it: the cut ends of both seam
    # allowances must fall on each other. The seam is edge 1, from (200, 0) to (200, 300).
    def piece(angle: float) -> Piece:
        lean = 200 / math.tan(math.radians(angle))
        corners = [(0, 0), (200, 0), (200, 300), (0, 300 + lean)]
        roles = ["seam", "seam", "neckline", "seam"]
        return cornered(corners, [10, sewn, other, 10], roles)

    ends = []
    for angle in (angle_deg, 180 - angle_deg):
        made = polygon(piece(angle))
        strip = shapely.intersection(made, shapely.box(200, 150, 400, 900))
        ends.append(strip)
        reach = other / math.sin(math.radians(angle))  # by hand, along the seam line
        assert (
            strip.symmetric_difference(shapely.box(200, 150, 200 + sewn, 300 + reach)).area < 1e-3
        )
    assert ends[0].symmetric_difference(ends[1]).area < 1e-3


def test_a_mitre_past_its_limit_is_cut_square_as_shapely_does() -> None:
    corners = [(0.0, 0.0), (400.0, 0.0), (0.0, 60.0)]
    piece = cornered(corners, 10.0)
    expected = shapely.Polygon(corners).buffer(10, join_style="mitre", mitre_limit=4)
    assert polygon(piece).symmetric_difference(expected).area < 0.05


def test_edges_within_a_hundredth_of_a_radian_are_one_line_or_a_needle() -> None:
    # 0.0075 radians: a needle is cut square 40 mm from its point, a slit closes; that such edges
    # count as parallel shifts the cut by no more than 40 times 0.0075 mm.
    needle = [(0.0, 0.0), (400.0, 0.0), (0.0, 3.0)]
    slit = [(0, 0), (400, 0), (400, 300), (200.75, 300), (200, 100), (199.25, 300), (0, 300)]
    for corners in (needle, slit):
        piece = cornered(corners, [10.0] * len(corners))
        expected = shapely.Polygon(corners).buffer(10, join_style="mitre", mitre_limit=4)
        assert polygon(piece).exterior.hausdorff_distance(expected.exterior) < 0.31


@pytest.mark.parametrize("seed", [*range(40), 63, 97])  # those two: an arm is cut off whole
def test_a_cutting_line_lies_between_shapelys_least_and_most(seed: int) -> None:
    # Outside the least allowance, cut off at its corners; of a corner squared at the limit of a
    # mitre the end lies hypot(4, 1) allowances away. Edges are as short as a few millimetres.
    random = np.random.default_rng(seed)
    count = int(random.integers(4, 9))
    angles = (np.arange(count) + random.uniform(0, 0.8, count)) * math.tau / count
    reaches = random.uniform(5, 200, count)
    corners = list(zip(reaches * np.cos(angles), reaches * np.sin(angles), strict=True))
    allowances = random.choice([0.0, 2.0, 6.0, 10.0, 25.0, 40.0], count).tolist()
    rules = random.choice(["mitred", "squared before", "squared after", "blunt"], count)
    marked = tuple(Corner(f"edge {i}", str(rule)) for i, rule in enumerate(rules))  # type: ignore
    seam = shapely.Polygon(corners)
    made = polygon(cornered(corners, allowances, corners=marked))
    least = seam.buffer(min(allowances), join_style="bevel")
    most = seam.buffer(math.sqrt(17) * max(allowances) + 0.001, quad_segs=64)
    assert made.is_valid
    assert least.difference(made.buffer(1e-5)).area < 1e-3
    assert made.difference(most).area < 1e-3


@pytest.mark.parametrize("side", [1, -1])
def test_an_edge_that_bends_near_its_corner_is_cut_off_along_the_next(side: int) -> None:
    # 10 all round but for the edge that slants, whose own line cuts off what reaches past it:
    # shapely's offset and a half plane.
    bent, slant = [(0, 3), (150, 3), (196, 0), (200, 0)], [(200, 0), (300, 100)]
    rest = [(300, 100), (300, 300), (0, 300), (0, 3)]
    runs = [[(side * x, y) for x, y in run[::side]] for run in (bent, slant, rest)[::side]]
    edges = tuple(
        Edge(
            f"edge {i}",
            tuple(Line(Point(*a), Point(*b)) for a, b in pairwise(run)),
            0.0 if len(run) == 2 else 10.0,
        )
        for i, run in enumerate(runs)
    )
    around = shapely.Polygon([*bent, *slant[1:], *rest[1:-1]]).buffer(10, join_style="mitre")
    beyond = shapely.Polygon([(-300, -500), (700, 500), (700, -500)])
    expected = shapely.affinity.scale(around.difference(beyond), side, 1, origin=(0, 0))
    assert polygon(Piece("test", edges)).symmetric_difference(expected).area < 1e-6


@pytest.mark.parametrize("rule", ["squared before", "squared after"])
def test_a_corner_too_sharp_or_hollow_to_be_squared_is_mitred(rule: Rule) -> None:
    sharp = [(0, 0), (400, 0), (0, 60)]
    hollow = [(400, 200), (200, 150), (200, 500), (0, 500), (0, 0), (400, 0)]
    for corners in (sharp, hollow):
        piece = cornered(corners, 10.0, corners=(Corner("edge 1", rule),))
        expected = shapely.Polygon(corners).buffer(10, join_style="mitre", mitre_limit=4)
        assert polygon(piece).symmetric_difference(expected).area < 0.05


def test_unlike_allowances_meet_where_both_lines_cross() -> None:
    # By hand: 30 beside 10 at 135 degrees inside; the lines x = 110 and (x + y) / sqrt 2 = c.
    corners = [(0, 0), (100, 0), (100, 100), (0, 200)]
    for wide, narrow in ((30.0, 10.0), (10.0, 30.0)):
        piece = cornered(corners, [10, narrow, wide, 10])
        c = 200 / math.sqrt(2) + wide
        meet = (100 + narrow, c * math.sqrt(2) - 100 - narrow)
        assert polygon(piece).exterior.distance(shapely.Point(meet)) < 1e-6
        assert polygon(piece).bounds[2] <= 100 + narrow + 1e-6


def test_a_rule_can_be_asked_for() -> None:
    corners = [(0, 0), (200, 0), (120, 300), (0, 300)]
    plain = cornered(corners, 10.0)
    shapes = {
        rule: polygon(dataclasses.replace(plain, corners=(Corner("edge 2", rule),)))
        for rule in ("mitred", "squared before", "squared after", "blunt")
    }
    areas = {rule: shape.area for rule, shape in shapes.items()}
    assert areas["mitred"] == pytest.approx(polygon(plain).area)
    assert areas["blunt"] < areas["mitred"]
    # By hand: the edge that is sewn first ends square where the other cutting line crosses its
    # seam line; the side along (-80, 300), the top along y = 300, both with 10.
    lean = math.hypot(80, 300)
    square = {
        "squared before": [
            (200 - 80 * 310 / 300, 310),
            (200 - 80 * 310 / 300 + 3000 / lean, 310 + 800 / lean),
        ],
        "squared after": [(120 + lean / 30, 300), (120 + lean / 30, 310)],
    }
    for rule, places in square.items():
        corners_made = shapely.MultiPoint(shapely.get_coordinates(shapes[rule]))
        for place in places:
            assert corners_made.distance(shapely.Point(place)) < 1e-9
    with pytest.raises(DraftingError, match="possible before each of"):
        dataclasses.replace(plain, corners=(Corner("edge 9", "mitred"),))
    with pytest.raises(DraftingError, match="'rounded' is not one of mitred"):
        Corner("edge 2", "rounded")  # type: ignore[arg-type]


@pytest.mark.parametrize("lift", [0.0, 0.6, 1.0])
def test_a_half_and_its_whole_have_one_cutting_line(lift: float) -> None:
    for piece in draft(MEDIUM, Style(lift=lift, front_lower=60.0)).pieces:
        half = polygon(piece)
        whole = polygon(unfolded(piece))
        other = shapely.affinity.scale(half, -1, 1, origin=(0, 0))
        assert whole.symmetric_difference(half.union(other)).area < 0.01


def test_a_pointed_neckline_meets_its_mirror_image_at_the_fold() -> None:
    # By hand: 6 mm outside a line at 30 degrees to the fold stands 6 / sin 30 = 12 mm up it.
    foot = 300 - 100 / math.tan(math.radians(30))
    corners = [(0, 0), (200, 0), (200, 300), (100, 300), (0, foot)]
    roles = ["hem", "seam", "seam", "neckline", "fold"]
    piece = cornered(corners, [40, 10, 10, 6, 0], roles, fold_edge="edge 4")
    on_fold = [p.y for p in cutting_line(piece, 0.02) if abs(p.x) < 1e-9]
    assert max(on_fold) == pytest.approx(foot + 12.0)
    assert min(on_fold) == pytest.approx(-40.0)


def test_a_pointed_hem_meets_its_mirror_image_at_the_fold() -> None:
    # By hand: 6 mm outside a line at 30 degrees to the fold stands 6 / sin 30 = 12 mm down it.
    side = 100 / math.tan(math.radians(30))
    corners, roles = (
        [(0, 0), (100, side), (100, 400), (0, 400)],
        ["hem", "seam", "neckline", "fold"],
    )
    piece = cornered(corners, [6, 10, 8, 0], roles, fold_edge="edge 3")
    on_fold = [p.y for p in cutting_line(piece, 0.02) if abs(p.x) < 1e-9]
    assert min(on_fold) == pytest.approx(-12.0)
    assert max(on_fold) == pytest.approx(408.0)


def test_corners_inside_an_edge_are_those_of_a_mitred_offset() -> None:
    # A side of three lines, with a corner outward and one inward, drawn as one edge.
    corners = [(0, 0), (300, 0), (340, 90), (300, 180), (330, 260), (330, 400), (0, 400)]
    points = [Point(*corner) for corner in corners]
    side = tuple(Line(a, b) for a, b in pairwise(points[1:6]))
    runs = [(Line(points[0], points[1]),), side, (Line(points[5], points[6]),),
            (Line(points[6], points[0]),)]  # fmt: skip
    for allowance in (3.0, 10.0, 15.0):
        edges = tuple(Edge(f"edge {i}", run, allowance, "seam") for i, run in enumerate(runs))
        truth = shapely.Polygon(corners).buffer(allowance, join_style="mitre", mitre_limit=10.0)
        assert polygon(Piece("test", edges)).symmetric_difference(truth).area < 1e-6


def test_rules_survive_unfolding_and_turning() -> None:
    base = draft(MEDIUM, Style()).pieces[0]
    piece = dataclasses.replace(
        base, corners=(Corner("underarm", "blunt"), Corner("wrist", "blunt"))
    )
    whole = unfolded(piece)
    assert {c.after for c in whole.corners} == {
        "underarm",
        "wrist",
        "side mirrored",
        "underarm mirrored",
    }
    half = polygon(piece)
    both = half.union(shapely.affinity.scale(half, -1, 1, origin=(0, 0)))
    assert polygon(whole).symmetric_difference(both).area < 0.01
    assert np.isclose(half.area, polygon(base).area, rtol=1e-2) and half.area < polygon(base).area
