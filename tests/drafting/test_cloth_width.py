"""What fits the cloth: the solved advice against scanning every lift and every sleeve."""

from functools import cache

import numpy as np
import pytest

from drafting.allowance import cutting_line
from drafting.cloth_width import cloth_findings, highest_lift, longest_sleeve, reach_of
from drafting.draft import draft
from drafting.style import Style
from tests.drafting.known_pieces import MEDIUM


@cache
def reach(style: Style) -> float:
    pieces = draft(MEDIUM, style).pieces
    return max(p.x for piece in pieces for p in cutting_line(piece, 0.1))


def test_what_fits_and_what_does_not() -> None:
    made = draft(MEDIUM, Style(lift=1.0))
    widest = max(reach_of(piece) for piece in made.pieces)
    assert {f.severity for f in cloth_findings(made, widest + 1.0)} == {"fine"}
    tight = cloth_findings(made, widest - 2.0)
    assert {f.severity for f in tight} == {"warning"}
    assert "shorten the sleeve to" in tight[0].advice


@pytest.mark.parametrize("usable", [745.0, 760.0, 775.0])
def test_the_highest_lift_is_that_of_a_scan(usable: float) -> None:
    block = draft(MEDIUM, Style()).block
    lifts = np.arange(0.0, 1.0001, 0.02)
    fitting = [lift for lift in lifts if reach(Style(lift=float(lift))) <= usable]
    found = highest_lift(MEDIUM, block, Style(), usable)
    if not fitting:
        assert found is None
        return
    assert found is not None and abs(found - max(fitting)) < 0.025
    assert reach(Style(lift=found)) <= usable


@pytest.mark.parametrize("usable", [450.0, 600.0, 738.0])
def test_the_longest_sleeve_fills_the_cloth_and_no_more(usable: float) -> None:
    block = draft(MEDIUM, Style()).block
    sleeve = longest_sleeve(MEDIUM, block, Style(), usable)
    assert sleeve is not None
    assert reach(Style(sleeve=sleeve)) <= usable < reach(Style(sleeve=sleeve + 2.0))


def test_a_cloth_narrower_than_the_body_fits_nothing() -> None:
    block = draft(MEDIUM, Style()).block
    assert longest_sleeve(MEDIUM, block, Style(), 200.0) is None
    assert highest_lift(MEDIUM, block, Style(), 200.0) is None


def test_a_joined_sleeve_is_searched_with_its_join() -> None:
    style = Style(join=350.0, lift=1.0)
    made = draft(MEDIUM, style)
    widest = max(reach_of(piece) for piece in made.pieces[:2])
    assert widest < reach(Style(lift=1.0))
    assert highest_lift(MEDIUM, made.block, style, widest + 0.5) == 1.0
    found = cloth_findings(made, widest - 15.0)
    assert found[0].severity == "warning" and "nearer the neck" in found[0].advice
