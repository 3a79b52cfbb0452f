"""What is left of the cloth in one piece: measured another way, and made larger at no length."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from projector.cloth.autolayout import arrange
from projector.cloth.clearance import usable_area
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout
from projector.cloth.leftover import gathered, largest_leftover
from projector.cloth.yardage import lower_bound, used_length
from tests.projector.blocks import block
from tests.projector.cloth_checker import faults, outline_on_cloth
from tests.projector.test_cloth_rules import CHOIR

SMALL = (
    block("cuff", 120.0, 250.0, count=4, paired=True),
    block("pocket", 150.0, 180.0, count=6),
    block("yoke", 230.0, 460.0, count=2, paired=True),
)


def free_area(layout: Layout) -> shapely.Geometry:
    pieces = {f"{p.name} {p.size}".strip(): p for p in layout.pieces}
    laid = [outline_on_cloth(pieces[p.piece], layout.cloth, p) for p in layout.placements]
    return usable_area(layout.cloth, used_length(layout)) - shapely.union_all(laid)


def test_the_leftover_of_two_blocks_is_known() -> None:
    """A block of 300 by 700 beside one of 300 by 400, 640 wide: 300 by 300 and a little is left."""
    pieces = (block("long", 300.0, 700.0), block("short", 300.0, 400.0))
    cloth = Cloth(width=640.0, folded=False, selvage=0.0)
    laid = arrange(Layout(cloth, pieces), budget=1)
    assert used_length(laid) == pytest.approx(700.0, abs=0.05)
    left = largest_leftover(laid)
    assert left.along == pytest.approx(300.0, abs=30.0) and left.along <= 300.0
    assert 270.0 < left.across <= 340.0


@pytest.mark.parametrize("cloth", [Cloth(), Cloth(buffer=6.0)])
def test_no_box_thrown_at_random_is_much_larger_and_it_lies_free(cloth: Cloth) -> None:
    laid = arrange(Layout(cloth, (*CHOIR, *SMALL)), budget=0)
    left, free = largest_leftover(laid), free_area(laid)
    box = shapely.box(left.x, left.y, left.x + left.along, left.y + left.across)
    assert shapely.covers(shapely.buffer(free, 1e-6), box)
    shapely.prepare(free)
    random, most = np.random.default_rng(2), 0.0
    for _ in range(4000):
        x, y = np.sort(random.uniform(0, used_length(laid), 2)), np.sort(random.uniform(0, 738, 2))
        area = (x[1] - x[0]) * (y[1] - y[0])
        if area > most and shapely.covers(free, shapely.box(x[0], y[0], x[1], y[1])):
            most = area
    assert 0.0 < most < 1.1 * left.area


def test_pieces_are_gathered_where_the_fold_decides() -> None:
    layout = Layout(Cloth(), (*CHOIR, *SMALL))
    scattered = arrange(layout, budget=2, refined=False)
    bound = lower_bound(layout).length
    assert used_length(scattered) <= bound + 0.5
    together = gathered(scattered)
    assert together is not None and faults(together) == []
    assert used_length(together) == used_length(scattered)
    assert largest_leftover(together).area > 1.2 * largest_leftover(scattered).area
    kept = {p.piece: p for p in scattered.placements if p.piece.split()[0] in ("back", "front")}
    assert all(kept.get(p.piece, p) == p for p in together.placements)
    assert arrange(layout, budget=2) == together


def test_locked_pieces_stay_where_they_are() -> None:
    scattered = arrange(Layout(Cloth(), (*CHOIR, *SMALL)), budget=2, refined=False)
    locked = tuple(
        replace(p, locked=p.piece.startswith(("pocket", "cuff"))) for p in scattered.placements
    )
    together = gathered(replace(scattered, placements=locked))
    assert together is not None and faults(together) == []
    kept = {(p.piece, p.copy): p for p in together.placements if p.locked}
    assert kept == {(p.piece, p.copy): p for p in locked if p.locked}
    yokes = [{p for p in lay if p.piece == "yoke"} for lay in (locked, together.placements)]
    assert yokes[0] != yokes[1]
    assert largest_leftover(together).area > 1.2 * largest_leftover(scattered).area


def test_flat_cloth_and_a_lay_with_faults_are_left_alone() -> None:
    flat = arrange(Layout(Cloth(width=1600.0, folded=False), SMALL), budget=0)
    assert gathered(flat) is None
    assert gathered(Layout(Cloth(), SMALL)) is None
