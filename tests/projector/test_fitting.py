"""Which pieces do not fit: blocks whose places can be counted on the fingers."""

from __future__ import annotations

import pytest

from projector.cloth.cloth import Cloth
from projector.cloth.fitting import laid_flat, left_over, too_large
from projector.cloth.layout import Layout
from projector.errors import ProjectorError
from tests.projector.blocks import block

FLAT = Cloth(width=1000.0, folded=False, selvage=0.0)
METRE = Cloth(width=1000.0, folded=False, selvage=0.0, length=1000.0)


def test_what_is_too_large_is_told_with_both_figures() -> None:
    wide, long = block("wide", 1200.0, 300.0), block("long", 300.0, 1100.0)
    assert too_large(Layout(FLAT, (wide, long))) == (
        "wide is 120 cm across the cloth, 100 cm can be used",
    )
    (told,) = too_large(Layout(METRE, (long,)))
    assert told == "long is 110 cm along the grain, there are 100 cm"
    free = block("free", 1200.0, 300.0, turns_freely=True)
    assert too_large(Layout(FLAT, (free,))) == ()  # it lies along the cloth
    half = block("half", 480.0, 300.0, fold_edge="edge 3")
    folded = Layout(Cloth(width=950.0, selvage=0.0), (half,))
    assert len(too_large(folded)) == len(too_large(laid_flat(folded))) == 1
    # 3 mm beside the fold stay free under a piece that is cut through both layers.
    double = Cloth(width=1000.0, selvage=0.0)
    assert (
        too_large(Layout(double, (block("a", 497.0, 50.0), block("b", 498.0, 50.0))))[0][0] == "b"
    )


def test_no_more_is_left_over_than_need_be() -> None:
    panel, cuff = block("panel", 900.0, 600.0, count=2), block("cuff", 100.0, 200.0, count=2)
    assert left_over(Layout(METRE, (panel, cuff)), budget=1) == ("panel (1 of 2)",)
    assert left_over(Layout(METRE, (panel,)), budget=1) == ("panel (1 of 2)",)
    assert left_over(Layout(METRE, (cuff,)), budget=1) == ()
    large = block("large", 900.0, 1100.0)
    assert left_over(Layout(METRE, (large, cuff)), budget=1) == ("large",)
    with pytest.raises(ProjectorError, match=r"not one piece fits .*110 cm along"):
        left_over(Layout(METRE, (large,)), budget=1)
    pair = block("pair", 450.0, 400.0, count=6, paired=True)
    assert left_over(Layout(METRE, (pair,)), budget=1) == ("pair (2 of 6)",)
