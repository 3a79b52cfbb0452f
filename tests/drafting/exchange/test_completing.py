"""Pieces made from outlines, against offsets by shapely and lengths worked out by hand."""

import math

import pytest
import shapely

from drafting.allowance import cutting_line
from drafting.curves import Cubic, Line, flattened, length
from drafting.edge import edge_length
from drafting.errors import DraftingError
from drafting.exchange.completing import EdgeSaid, Said, completed, edges_of
from drafting.exchange.linework import Stroke
from drafting.exchange.outlines import outlines
from drafting.marks import Grain
from drafting.piece import grain_of, notches_of, seam_polygon
from drafting.plane import Point
from tests.drafting.exchange.test_outlines import circle, line


def outline_of(*strokes: Stroke):
    (outline,) = outlines(strokes, 0.1).outlines
    return outline


BOX = line((0, 0), (200, 0), (200, 300), (0, 300), (0, 0))


def test_seam_line_inside_a_cutting_line_with_an_allowance_for_each_edge() -> None:
    said = Said("front", line="cutting", edges={1: EdgeSaid("hem", 30.0), 4: EdgeSaid("fold")})
    piece = completed(outline_of(BOX), said)
    sizes = [edge_length(edge) for edge in piece.edges]
    assert sizes == pytest.approx([190, 260, 190, 260])
    assert piece.fold_edge == "edge 4" and piece.edges[3].allowance == 0.0
    assert {
        round(p.x, 9) for p in (piece.edges[3].segments[0].start, piece.edges[0].segments[0].start)
    } == {0.0}
    back = shapely.Polygon([(p.x, p.y) for p in cutting_line(piece, 0.01)])
    assert back.area == pytest.approx(200 * 300, rel=1e-6)


def test_curved_cutting_line_agrees_with_the_buffer_of_shapely() -> None:
    arch = Cubic(Point(200, 0), Point(260, 200), Point(180, 300), Point(40, 320))
    outline = outline_of(
        Stroke((Line(Point(0, 0), Point(200, 0)), arch, Line(Point(40, 320), Point(0, 0))))
    )
    piece = completed(outline, Said("sleeve", line="cutting", allowance=12.0))
    ring = [(p.x, p.y) for s in outline.segments for p in flattened(s, 0.002)]
    wanted = shapely.Polygon(ring).buffer(-12.0, join_style="mitre", quad_segs=64)
    ours = seam_polygon(piece, 0.005)
    assert shapely.hausdorff_distance(ours.exterior, wanted.exterior) < 0.05
    assert any(isinstance(s, Cubic) for edge in piece.edges for s in edge.segments)


def test_an_outline_without_corners_is_one_edge() -> None:
    piece = completed(outline_of(Stroke(tuple(circle(0, 0, 100)))), Said("patch", line="cutting"))
    assert len(piece.edges) == 1
    assert edge_length(piece.edges[0]) == pytest.approx(2 * math.pi * 90, rel=1e-3)


def test_slits_and_v_cuts_become_notches() -> None:
    notched = line(
        (0, 0), (80, 0), (82.5, 5), (85, 0), (200, 0),
        (200, 100), (195, 100), (195, 100.4), (200, 100.4),
        (200, 300), (0, 300), (0, 0),
    )  # fmt: skip
    outline = outline_of(notched)
    edges, cuts = edges_of(outline)
    assert [sum(length(s) for s in edge) for edge in edges] == pytest.approx([200, 300, 200, 300])
    assert [round(cut.depth) for cut in cuts] == [5, 5]
    piece = completed(outline, Said("front", notches=((3, 50.0, "double"),)))
    found = [(n.edge, round(n.along, 1), n.kind) for n in notches_of(piece)]
    assert found == [
        ("edge 3", 50.0, "double"),
        ("edge 1", 82.5, "single"),
        ("edge 2", 100.2, "single"),
    ]


def test_grain_turns_the_piece_upright() -> None:
    piece = completed(outline_of(BOX), Said("front", grain=math.radians(90)))
    grain = grain_of(piece)
    assert isinstance(grain, Grain)
    assert (grain.end - grain.start).unit.x == pytest.approx(0.0, abs=1e-9)
    assert (grain.end - grain.start).unit.y == pytest.approx(1.0)
    low_x, low_y, high_x, high_y = seam_polygon(piece, 0.1).bounds
    assert (high_x - low_x, high_y - low_y) == pytest.approx((300, 200))
    assert completed(outline_of(BOX), Said("patch", grain=None)).turns_freely


def test_what_cannot_be_is_refused_in_one_line() -> None:
    bent = Stroke(
        (*BOX.segments[:3], Cubic(Point(0, 300), Point(9, 200), Point(9, 100), Point(0, 0)))
    )
    for outline, said, told in (
        (outline_of(BOX), Said("x", edges={7: EdgeSaid("hem")}), "no edge 7"),
        (outline_of(BOX), Said("x", line="cutting", allowance=150.0), "vanish|meet"),
        (outline_of(bent), Said("x", edges={4: EdgeSaid("fold")}), "bends by"),
        (outline_of(BOX), Said("x", edges={4: EdgeSaid("fold"), 2: EdgeSaid("fold")}), "2 edges"),
    ):
        with pytest.raises(DraftingError, match=told) as caught:
            completed(outline, said)
        assert "\n" not in str(caught.value)
