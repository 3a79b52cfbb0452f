"""Lays of a few pieces: copies, lengths, what does not fit, and the stream of a search."""

import itertools
import math

import pytest

from drafting.plane import Motion
from projector.cloth.autolayout import arrange, improving_lays
from projector.cloth.clearance import missing, overlaps, violations
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, Placement, piece_key
from projector.cloth.shapes import copies, placed_shape
from projector.cloth.yardage import bought_length, efficiency, used_length
from projector.errors import ProjectorError
from tests.drafting.test_unfolding import HALF
from tests.projector.blocks import block
from tests.projector.cloth_checker import faults

BACK, SMALL = HALF, block("facing", 180, 90, count=2, paired=True)


def test_pairs_are_mirrored_on_flat_cloth_and_laid_once_on_folded() -> None:
    assert copies(SMALL, Cloth(folded=True)) == 1
    laid = arrange(Layout(Cloth(folded=False), (SMALL,)), budget=1)
    assert sorted(p.cloth_from_piece.mirrored for p in laid.placements) == [False, True]


def test_a_legal_lay_is_never_made_worse() -> None:
    layout = Layout(Cloth(folded=False), (BACK, SMALL, block("cuff", 220, 120, count=4)))
    good = arrange(layout, 2, 4)
    assert used_length(arrange(good, 9, 1)) <= used_length(good) + 1e-9


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
        assert faults(lay) == [] and not missing(lay) and not violations(lay)
    lengths = [used_length(lay) for lay in lays]
    assert len(lengths) > 1 and all(b < a for a, b in itertools.pairwise(lengths))
    again = improving_lays(lays[-1], seed=3, budget=1)
    assert all(used_length(lay) < lengths[-1] for lay in again)
    assert arrange(layout, 3, 25) == lays[-1]
