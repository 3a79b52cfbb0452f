"""Each rule of the cloth, alone and together, judged by a checker of the tests' own."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
import yaml

from drafting.curves import Cubic
from drafting.edge import point_along
from drafting.marks import Drill, Label
from drafting.piece import Piece, edge_named, notches_of
from drafting.plane import Motion, Point
from projector.cloth.autolayout import arrange
from projector.cloth.clearance import violations
from projector.cloth.cloth import Cloth, Match
from projector.cloth.layout import Layout, Placement
from projector.cloth.shapes import lay_shape
from projector.cloth.shrinkage import allowed_for
from projector.cloth.yardage import lower_bound, used_length
from projector.demonstration import demonstration_job
from projector.errors import ProjectorError
from projector.files.cloth_entries import cloth_plain, read_cloth
from projector.files.sheet import read_entries
from projector.job import pieces_of
from tests.projector.blocks import block
from tests.projector.cloth_checker import faults, off_stripe

CHOIR = tuple(piece for piece in pieces_of(demonstration_job()) if piece.size in ("S", "M"))
FACING = block("facing", 90.0, 260.0, count=2, paired=True)
POCKET = block("pocket", 150.0, 180.0, count=2)
PIECES = (*CHOIR, FACING, POCKET)


@pytest.mark.parametrize("folded", [True, False])
@pytest.mark.parametrize("one_way", [True, False])
def test_fold_nap_pairs_and_buffer(folded: bool, one_way: bool) -> None:
    cloth = Cloth(folded=folded, one_way=one_way, buffer=6.0, selvage=15.0)
    laid = arrange(Layout(cloth, PIECES), seed=2, budget=3)
    assert faults(laid) == []
    assert not violations(laid)
    assert used_length(laid) > lower_bound(laid).length - 0.1


def test_the_checker_itself_finds_what_is_wrong() -> None:
    laid = arrange(Layout(Cloth(), PIECES), budget=0)
    first = laid.placements[0]
    wrong = {
        "off the fold": Motion(first.cloth_from_piece.angle, 0.0, 2.0),
        "off the grain": Motion(0.1, 900.0, 300.0),
        "end of the cloth": Motion(first.cloth_from_piece.angle, -400.0, 0.0),
    }
    for said, motion in wrong.items():
        moved = replace(
            laid, placements=(replace(first, cloth_from_piece=motion), *laid.placements[1:])
        )
        assert any(said in fault for fault in faults(moved)), said
        assert violations(moved)


def waist(piece: Piece, name: str) -> Point:
    notch = next(n for n in notches_of(piece) if n.name == name)
    return point_along(edge_named(piece, notch.edge), notch.along)


def test_stripes_along_on_the_fold() -> None:
    matches = tuple(Match(name, "body hem", across=False) for name in ("back", "front"))
    cloth = Cloth(repeat_along=70.0, phase_along=15.0, matches=matches)
    laid = arrange(Layout(cloth, CHOIR), seed=1, budget=4)
    assert faults(laid) == [] and not violations(laid)
    pieces = {f"{p.name} {p.size}": p for p in CHOIR}
    for placement in laid.placements:
        point = waist(pieces[placement.piece], "body hem")
        assert off_stripe(point.x, point.y, cloth, placement)[0] < 0.01


def test_checks_in_both_directions_on_flat_cloth() -> None:
    drilled = tuple(
        replace(p, marks=(*p.marks, Drill(Point(40.0, 55.0), "check"))) for p in (FACING, POCKET)
    )
    matches = (
        *(Match(name, "body hem") for name in ("back", "front")),
        *(Match(p.name, "check") for p in drilled),
    )
    cloth = Cloth(
        folded=False, repeat_along=48.0, repeat_across=36.0, phase_along=5.0, phase_across=11.0,
        matches=matches, selvage=20.0,
    )  # fmt: skip
    laid = arrange(Layout(cloth, (*CHOIR, *drilled)), seed=3, budget=4)
    assert faults(laid) == [] and not violations(laid)
    pieces = {f"{p.name} {p.size}".strip(): p for p in (*CHOIR, *drilled)}
    for placement in laid.placements:
        piece = pieces[placement.piece]
        point = (
            Point(40.0, 55.0) if piece.name in ("facing", "pocket") else waist(piece, "body hem")
        )
        assert max(off_stripe(point.x, point.y, cloth, placement)) < 0.01


def test_matches_that_cannot_be_are_refused_in_one_line() -> None:
    across = Cloth(
        repeat_across=40.0, phase_across=9.0, matches=(Match("back", "body hem", along=False),)
    )
    for cloth, said in (
        (replace(across, repeat_along=30.0), "fold"),
        (replace(across, repeat_along=30.0, matches=(Match("back", "nowhere"),)), "nowhere"),
    ):
        with pytest.raises(ProjectorError, match=said) as told:
            arrange(Layout(cloth, CHOIR), budget=0)
        assert "\n" not in str(told.value)
    with pytest.raises(ProjectorError, match="no repeat"):
        Cloth(matches=(Match("back", "waist"),))


def test_a_remnant_with_flaws() -> None:
    outline = ((0, 0), (1500, 120), (1430, 1350), (700, 1180), (0, 1300))
    flaw = ((600.0, 500.0), (700.0, 480.0), (720.0, 640.0))
    cloth = Cloth(width=1500, folded=False, selvage=0.0, outline=outline, flaws=(flaw,))
    tops = tuple(block(f"panel {i}", 420.0, 560.0) for i in range(2))
    laid = arrange(Layout(cloth, (*tops, FACING, POCKET)), seed=1, budget=3)
    assert faults(laid) == [] and not violations(laid)


def test_locks_stay_and_count_as_used() -> None:
    locked = Placement("pocket", 0, Motion(math.pi / 2, 1400.0, 500.0), locked=True)
    laid = arrange(Layout(Cloth(), PIECES, (locked,)), seed=1, budget=2)
    assert locked in laid.placements and faults(laid) == []


def test_shrinkage_makes_pieces_larger_and_labels_say_so() -> None:
    cloth = Cloth(shrinkage_along=0.04, shrinkage_across=0.02)
    with pytest.raises(ProjectorError, match="enlarged"):
        arrange(Layout(cloth, CHOIR), budget=0)
    pieces = tuple(allowed_for(piece, cloth) for piece in PIECES)
    job = demonstration_job()
    # A cap sleeve has a notch at the very end of its side seam.
    caps = pieces_of(replace(job, style=replace(job.style, sleeve_to="cap", wrist_width=None)))
    grown = (*pieces, *(allowed_for(piece, cloth) for piece in caps))
    for before, after in zip((*PIECES, *caps), grown, strict=True):
        left, low, right, high = shapely.MultiPoint(
            [(s.start.x, s.start.y) for e in before.edges for s in e.segments]
        ).bounds
        wide = shapely.MultiPoint(
            [(s.start.x, s.start.y) for e in after.edges for s in e.segments]
        ).bounds
        assert (wide[2] - wide[0]) * 0.98 == pytest.approx(right - left, abs=1e-9)
        assert (wide[3] - wide[1]) * 0.96 == pytest.approx(high - low, abs=1e-9)
        label = next(mark for mark in after.marks if isinstance(mark, Label))
        assert any("4 % along" in line and "2 % across" in line for line in label.lines)
        for one, two in zip(notches_of(before), notches_of(after), strict=True):
            a = point_along(edge_named(before, one.edge), one.along)
            b = point_along(edge_named(after, two.edge), two.along)
            assert (b.x * 0.98, b.y * 0.96) == pytest.approx((a.x, a.y), abs=1e-3)
        assert allowed_for(after, cloth) is after
        assert allowed_for(after, Cloth()).shrinkage == (0.0, 0.0)
    laid = arrange(Layout(cloth, pieces), budget=2)
    assert faults(laid) == [] and not violations(laid)


def test_curves_themselves_lie_inside_what_is_laid() -> None:
    """Seam lines without allowance, by the polynomials that define them, a point each 0.5 mm."""
    t = np.linspace(0.0, 1.0, 2000)
    powers = np.stack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3])
    for piece in CHOIR:
        bare = replace(piece, edges=tuple(replace(e, allowance=0.0) for e in piece.edges))
        curves = [s for e in bare.edges for s in e.segments if isinstance(s, Cubic)]
        assert curves
        held = lay_shape(bare, Cloth())
        for curve in curves:
            corners = (curve.start, curve.control_1, curve.control_2, curve.end)
            points = shapely.points(powers.T @ np.array([(p.x, p.y) for p in corners]))
            assert shapely.distance(points, held).max() < 0.011
            inside = shapely.contains(held, points)
            assert shapely.distance(points[inside], held.exterior).max() < 0.2


def test_the_fold_row_meets_its_bound() -> None:
    """Halves whose fold edges decide the length lie in a row without a gap."""
    row = tuple(block(f"half {i}", 300.0 + 40 * i, 500.0, fold_edge="edge 3") for i in range(3))
    extra = block("cuff", 120.0, 200.0, count=4)
    laid = arrange(Layout(Cloth(), (*row, extra)), budget=12)
    assert lower_bound(laid).length == pytest.approx(1500.0, abs=0.1)
    assert used_length(laid) == pytest.approx(1500.0, abs=0.5)
    assert faults(laid) == []


def test_a_piece_that_turns_freely_may_lie_across_the_grain() -> None:
    tie = block("tie", 60.0, 1000.0, turns_freely=True)
    laid = arrange(Layout(Cloth(width=1100, folded=False), (tie,)), budget=2)
    assert used_length(laid) == pytest.approx(60.0, abs=0.05) and faults(laid) == []


def test_rules_survive_the_file() -> None:
    cloth = Cloth(repeat_along=50.0, buffer=4.0, matches=(Match("back", "waist", across=False),))
    text = yaml.safe_dump(cloth_plain(cloth))
    assert read_cloth(read_entries(text, "job.yaml")) == cloth
