"""The search against careful lays by hand, and what becomes of a lay it is given."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drafting.plane import Motion
from projector.cloth.autolayout import arrange, improving_lays
from projector.cloth.cloth import Cloth, Match
from projector.cloth.layout import Layout
from projector.cloth.leftover import largest_leftover
from projector.cloth.yardage import MET, lower_bound, used_length
from tests.projector.blocks import block
from tests.projector.cloth_checker import faults
from tests.projector.hand_lay import faced_choir, flat_by_hand, folded_by_hand


@pytest.mark.parametrize("by_hand", [folded_by_hand, flat_by_hand])
def test_the_search_ends_shorter_than_a_careful_lay_by_hand(by_hand) -> None:
    hand = by_hand()
    assert faults(hand) == []
    laid = arrange(Layout(hand.cloth, hand.pieces), seed=0, budget=16)
    assert faults(laid) == []
    assert used_length(laid) < used_length(hand) - 1.0
    if hand.cloth.folded:
        assert used_length(laid) <= lower_bound(laid).length + MET


@pytest.mark.parametrize("by_hand", [folded_by_hand, flat_by_hand])
def test_it_begins_with_the_lay_by_hand_and_shows_only_shorter_ones(by_hand) -> None:
    hand = by_hand()
    length, leftover = used_length(hand), largest_leftover(hand).area
    for lay in improving_lays(hand, seed=3, budget=2):
        assert faults(lay) == []
        assert used_length(lay) < length or largest_leftover(lay).area > leftover
        length, leftover = used_length(lay), largest_leftover(lay).area


def test_a_lay_by_hand_that_no_search_beats_is_given_back_as_it_is() -> None:
    """Tiles that fill the cloth without a gap: nothing is shorter, so nothing is moved."""
    tiles = block("tile", 250.0, 400.0, count=8)
    hand = arrange(Layout(Cloth(width=1000.0, folded=False, selvage=0.0), (tiles,)), budget=0)
    spots = [(400.0 * (k // 4 + 1), 250.0 * (k % 4)) for k in range(8)]
    placements = tuple(
        replace(placed, cloth_from_piece=Motion(hand.placements[0].cloth_from_piece.angle, *spot))
        for placed, spot in zip(hand.placements, spots, strict=True)
    )
    hand = replace(hand, placements=placements)
    assert faults(hand) == [] and used_length(hand) == pytest.approx(800.0, abs=1e-6)
    assert arrange(hand, seed=1, budget=3) == hand


RULES = {
    "flat with a nap": Cloth(width=1600.0, folded=False, one_way=True),
    "flat with checks": Cloth(
        width=1600.0, folded=False, repeat_along=48.0, repeat_across=36.0, phase_across=7.0,
        matches=tuple(Match(name, "body hem") for name in ("back", "front")),
    ),
    "flat with a flaw and a buffer": Cloth(
        width=1600.0, folded=False, buffer=5.0,
        flaws=(((300.0, 300.0), (400.0, 300.0), (350.0, 420.0)),),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", RULES)
def test_one_process_and_two_find_the_same_lay_under_every_rule(name: str) -> None:
    small = block("cuff", 120.0, 250.0, count=4, paired=True)
    pieces = (*(p for p in faced_choir() if p.size == "S"), small)
    layout = Layout(RULES[name], pieces)
    one = list(improving_lays(layout, seed=4, budget=2, processes=1))
    two = list(improving_lays(layout, seed=4, budget=2, processes=2))
    assert one[-1] == two[-1]
    assert faults(one[-1]) == []
    assert arrange(layout, seed=4, budget=2) == one[-1]
