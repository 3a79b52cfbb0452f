"""A half opened out against shapely's own mirror."""

import pytest
from shapely.affinity import scale

from drafting.curves import Cubic, Line
from drafting.edge import Edge, point_along
from drafting.marks import Grain, Notch
from drafting.piece import Piece, edge_named, notches_of, seam_polygon
from drafting.plane import Point
from drafting.unfolding import unfolded

HALF = Piece(
    "back",
    (
        Edge("hem", (Line(Point(0, 0), Point(240, 0)),), 40.0, "hem"),
        Edge(
            "side", (Cubic(Point(240, 0), Point(250, 200), Point(200, 300), Point(260, 420)),), 10.0
        ),
        Edge("overarm", (Line(Point(260, 420), Point(80, 600)),), 10.0),
        Edge("neck", (Cubic(Point(80, 600), Point(70, 580), Point(40, 575), Point(0, 575)),), 6.0),
        Edge("centre", (Line(Point(0, 575), Point(0, 0)),), 0.0, "fold"),
    ),
    (Notch("side", 100.0, "double"), Grain(Point(100, 100), Point(100, 300))),
    fold_edge="centre",
)


def test_the_whole_is_the_half_and_its_mirror() -> None:
    whole = unfolded(HALF)
    half = seam_polygon(HALF, 0.01)
    expected = half.union(scale(half, xfact=-1, origin=(0, 0)))
    assert seam_polygon(whole, 0.01).symmetric_difference(expected).area < 1e-3
    assert whole.fold_edge is None


def test_notches_lie_at_mirrored_places() -> None:
    whole = unfolded(HALF)
    assert {n.edge for n in notches_of(whole)} == {"side", "side mirrored"}
    first, second = (point_along(edge_named(whole, n.edge), n.along) for n in notches_of(whole))
    assert (second.x, second.y) == pytest.approx((-first.x, first.y), abs=1e-4)


def test_a_piece_without_a_fold_is_left_alone() -> None:
    whole = unfolded(HALF)
    assert unfolded(whole) is whole
