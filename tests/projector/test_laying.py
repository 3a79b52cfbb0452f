"""A search from the desk: one undo takes all of it back, and what is done by hand goes first."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

import pytest

from drafting.plane import Motion
from projector.cloth.autolayout import arrange
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout
from projector.cloth.shapes import placed_shape
from projector.cloth.yardage import used_length
from projector.desk.laying import Laying
from projector.stage.applying import apply
from projector.stage.commands import Redo, Undo
from projector.stage.session import Session
from tests.projector.cloth_checker import faults
from tests.projector.test_lay import block

PIECES = tuple(block(f"part {i}", 110 + 53 * i, 400 - 31 * i, count=2) for i in range(9))


@pytest.fixture(scope="module")
def first() -> Layout:
    return arrange(Layout(Cloth(width=900, folded=False), PIECES), budget=0)


def watched(
    laying: Laying, session: Session, enough: Callable[[list[Session]], bool]
) -> tuple[list[Session], str]:
    """The session after each lay that the search has shown, and what was told last."""
    shown, told, end = [session], "", time.monotonic() + 90
    while not enough(shown) and not told and time.monotonic() < end:
        found, told = laying.news(shown[-1].layout)
        for command in found:
            shown.append(apply(shown[-1], command))
        time.sleep(0.02)
    return shown, told


def test_one_undo_takes_a_whole_search_back(first: Layout) -> None:
    laying = Laying()
    laying.begin(first)
    shown, _ = watched(laying, Session(first, Motion()), lambda shown: len(shown) > 2)
    laying.stop()
    lengths = [used_length(each.layout) for each in shown]
    assert len(shown) > 2 and lengths == sorted(lengths, reverse=True)
    assert all(faults(each.layout) == [] for each in shown)
    back = apply(shown[-1], Undo())
    assert back.layout == first == laying.before
    assert apply(back, Redo()).layout == shown[-1].layout
    assert laying.progress is None and laying.news(first) == ((), "")


def test_a_change_by_hand_ends_the_search_and_stays(first: Layout) -> None:
    laying = Laying()
    laying.begin(first)
    moved = replace(first.placements[0], locked=True)
    by_hand = replace(first, placements=(moved, *first.placements[1:]))
    found, told = laying.news(by_hand)
    assert found == () and "by hand" in told and laying.progress is None


def test_cut_pieces_stay_where_they_are_and_cut(first: Layout) -> None:
    far = {p: placed_shape(first, p).bounds[2] for p in first.placements}
    placements = tuple(replace(p, cut=far[p] < 0.4 * max(far.values())) for p in first.placements)
    begun = replace(first, placements=placements)
    laying = Laying()
    laying.begin(begun)
    shown, _ = watched(laying, Session(begun, Motion()), lambda shown: len(shown) > 1)
    laying.stop()
    last = {(p.piece, p.copy): p for p in shown[-1].layout.placements}
    assert len(shown) > 1 and any(placed.cut for placed in placements)
    for placed in placements:
        if placed.cut:
            assert last[placed.piece, placed.copy] == placed
