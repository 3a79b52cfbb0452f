"""Lays checked by rules written out again here, apart from the engine."""

import itertools
import math

import pytest
import shapely

from drafting.curves import Line
from drafting.edge import Edge
from drafting.marks import Grain
from drafting.piece import Piece
from drafting.plane import Motion, Point
from projector.cloth.autolayout import arrange, improving_lays
from projector.cloth.clearance import missing, overlaps, violations
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, Placement, piece_key
from projector.cloth.shapes import copies, placed_shape
from projector.cloth.yardage import bought_length, efficiency, lower_bound, used_length
from projector.errors import ProjectorError
from tests.drafting.test_unfolding import HALF


def block(name: str, width: float, height: float, **more) -> Piece:
    corners = [Point(0, 0), Point(width, 0), Point(width, height), Point(0, height)]
    fold = more.get("fold_edge")
    edges = tuple(
        Edge(f"edge {i}", (Line(a, b),), 0.0, "fold" if fold == f"edge {i}" else "cut")
        for i, (a, b) in enumerate(zip(corners, corners[1:] + corners[:1], strict=True))
    )
    return Piece(name, edges, (Grain(Point(10, 10), Point(10, 50)),), **more)


def independent_check(layout: Layout) -> None:
    shapes = [placed_shape(layout, placement) for placement in layout.placements]
    for a, b in itertools.combinations(shapes, 2):
        assert a.intersection(b).area < 1.0
    width = layout.cloth.width / (2 if layout.cloth.folded else 1)
    for shape, placement in zip(shapes, layout.placements, strict=True):
        left, low, right, high = shape.bounds
        assert left > -0.01 and high <= width - layout.cloth.selvage + 0.01
        assert low > (-0.01 if layout.cloth.folded else layout.cloth.selvage - 0.01)
        assert right <= (layout.cloth.length or math.inf) + 0.01
        up = placement.cloth_from_piece.direction(Point(0, 1))  # the grain
        assert abs(up.y) < 1e-9
        if layout.cloth.one_way:
            assert up.x == pytest.approx(-1.0)


BACK, SMALL = HALF, block("facing", 180, 90, count=2, paired=True)


@pytest.mark.parametrize("folded", [True, False])
@pytest.mark.parametrize("one_way", [True, False])
def test_every_rule_holds(folded: bool, one_way: bool) -> None:
    front = Piece("front", BACK.edges, BACK.marks, fold_edge="centre")
    layout = Layout(Cloth(folded=folded, one_way=one_way), (BACK, front, SMALL))
    laid = arrange(layout, seed=1, budget=4)
    assert not missing(laid) and not violations(laid)
    independent_check(laid)
    assert used_length(laid) >= lower_bound(laid).length - 0.1
    if folded:
        halves = [p for p in laid.placements if p.piece in ("back", "front")]
        assert all(p.cloth_from_piece.dy == 0.0 for p in halves)


def test_fold_pieces_that_decide_the_length_meet_the_bound() -> None:
    one, two = (block(n, 300, 700, fold_edge="edge 3") for n in ("one", "two"))
    laid = arrange(Layout(Cloth(selvage=0), (one, two)), budget=3)
    assert lower_bound(laid).length == pytest.approx(1400)
    assert used_length(laid) == pytest.approx(1400, abs=0.5)


def test_pairs_are_mirrored_on_flat_cloth_and_laid_once_on_folded() -> None:
    assert copies(SMALL, Cloth(folded=True)) == 1
    laid = arrange(Layout(Cloth(folded=False), (SMALL,)), budget=1)
    assert sorted(p.cloth_from_piece.mirrored for p in laid.placements) == [False, True]


def test_same_seed_and_budget_same_lay() -> None:
    layout = Layout(Cloth(folded=False), (BACK, SMALL, block("cuff", 220, 120, count=4)))
    assert arrange(layout, 5, 3).placements == arrange(layout, 5, 3).placements


def test_a_legal_lay_is_never_made_worse_and_locks_stay() -> None:
    layout = Layout(Cloth(folded=False), (BACK, SMALL, block("cuff", 220, 120, count=4)))
    good = arrange(layout, 2, 4)
    assert used_length(arrange(good, 9, 1)) <= used_length(good) + 1e-9
    locked = Placement("back", 0, Motion(math.pi / 2, 900.0, 700.0), locked=True)
    kept = arrange(Layout(layout.cloth, layout.pieces, (locked,)), 1, 2)
    assert locked in kept.placements
    independent_check(kept)


def test_a_flaw_is_kept_clear() -> None:
    flaw = ((100.0, 100.0), (260.0, 100.0), (260.0, 240.0), (100.0, 240.0))
    cloth = Cloth(folded=False, flaws=(flaw,))
    laid = arrange(Layout(cloth, (BACK, SMALL)), budget=2)
    hole = shapely.Polygon(flaw)
    assert all(placed_shape(laid, p).intersection(hole).area < 1.0 for p in laid.placements)


def test_a_flaw_right_across_the_cloth_is_leapt_over() -> None:
    """Blocks of 500 mm with 300 mm of cloth before the first flaw and 900 mm up to the next."""
    flaws = tuple(((x, 0.0), (x + 50.0, 0.0), (x + 50.0, 800.0), (x, 800.0)) for x in (300, 1250))
    cloth = Cloth(width=800.0, folded=False, flaws=flaws)
    laid = arrange(Layout(cloth, (block("wide", 700.0, 500.0, count=2),)), budget=0)
    lefts = sorted(placed_shape(laid, placement).bounds[0] for placement in laid.placements)
    assert violations(laid) == () and used_length(laid) == pytest.approx(1800.0, abs=25.0)
    assert lefts[0] == pytest.approx(350.0, abs=25.0)


def test_what_does_not_fit_says_so() -> None:
    with pytest.raises(ProjectorError, match="do not fit"):
        arrange(Layout(Cloth(width=900, length=300), (BACK,)), budget=2)


def test_overlap_and_a_lay_off_the_grain_are_found() -> None:
    a = Placement("facing", 0, Motion(math.pi / 2, 200.0, 100.0))
    b = Placement("facing", 1, Motion(math.pi / 2 + 0.1, 230.0, 120.0, True))
    layout = Layout(Cloth(folded=False), (SMALL,), (a, b))
    assert overlaps(layout) == ((a, b),)
    assert any("off the grain" in line for line in violations(layout))


def test_yardage_is_area_arithmetic() -> None:
    laid = arrange(Layout(Cloth(width=400, selvage=0, folded=False), (block("sheet", 400, 500),)))
    assert used_length(laid) == pytest.approx(500, abs=0.1)
    assert efficiency(laid) == pytest.approx(1.0, abs=1e-3)
    assert bought_length(1201.0) == 1300.0
    assert bought_length(1200.0) == 1200.0
    assert piece_key(laid.pieces[0]) == "sheet"


def test_every_streamed_lay_is_legal_complete_and_shorter_than_the_last() -> None:
    sizes = ((310, 220), (240, 90), (170, 340), (420, 130), (90, 200))
    pieces = tuple(block(f"part {i}", w, h, count=2) for i, (w, h) in enumerate(sizes))
    layout = Layout(Cloth(width=900, folded=False), pieces)
    lays = list(improving_lays(layout, seed=3, budget=25))
    for lay in lays:
        assert not missing(lay) and not violations(lay)
        independent_check(lay)
    lengths = [used_length(lay) for lay in lays]
    assert len(lengths) > 1 and all(b < a for a, b in itertools.pairwise(lengths))
    again = improving_lays(lays[-1], seed=3, budget=1)
    assert all(used_length(lay) < lengths[-1] for lay in again)
    assert arrange(layout, 3, 25) == lays[-1]
