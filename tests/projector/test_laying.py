"""A search from the desk: one undo takes all of it back, and what is done by hand goes first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drafting.plane import Motion
from projector.cloth import search_process
from projector.cloth.autolayout import arrange, improving_lays
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout
from projector.cloth.search_process import News
from projector.cloth.shapes import placed_shape
from projector.cloth.yardage import used_length
from projector.desk.laying import Laying
from projector.stage.applying import apply
from projector.stage.commands import Redo, Undo
from projector.stage.session import Session
from tests.projector.blocks import block
from tests.projector.cloth_checker import faults

PIECES = tuple(block(f"part {i}", 110 + 53 * i, 400 - 31 * i, count=2) for i in range(9))


class Played:
    """A search that tells its lays one at a time, without a process of its own."""

    def __init__(self, layout: Layout, seconds: float) -> None:
        self.lays = list(improving_lays(layout, seed=3, budget=4))

    def poll(self) -> News:
        lay = self.lays.pop(0) if self.lays else None
        length = float("inf") if lay is None else used_length(lay)
        return News(lay, length, 0.0, lay is not None)

    def stop(self) -> None:
        self.lays = []


@pytest.fixture
def first(monkeypatch: pytest.MonkeyPatch) -> Layout:
    monkeypatch.setattr(search_process, "begin", Played)
    return arrange(Layout(Cloth(width=900, folded=False), PIECES), budget=0)


def shown_by(laying: Laying, session: Session) -> tuple[list[Session], str]:
    """The session after each lay that the search has shown, and what was told at its end."""
    shown, told = [session], ""
    while laying.progress is not None:
        found, told = laying.news(shown[-1].layout)
        for command in found:
            shown.append(apply(shown[-1], command))
    return shown, told


def test_one_undo_takes_a_whole_search_back(first: Layout) -> None:
    laying = Laying()
    laying.begin(first)
    shown, told = shown_by(laying, Session(first, Motion()))
    lengths = [used_length(each.layout) for each in shown]
    assert len(shown) > 2 and lengths == sorted(lengths, reverse=True)
    assert f"{lengths[-1] / 1000:.2f} m instead of {lengths[0] / 1000:.2f} m" in told
    assert all(faults(each.layout) == [] for each in shown)
    back = apply(shown[-1], Undo())
    assert back.layout == first == laying.before
    assert apply(back, Redo()).layout == shown[-1].layout
    assert laying.news(first) == ((), "")


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
    shown, _ = shown_by(laying, Session(begun, Motion()))
    last = {(p.piece, p.copy): p for p in shown[-1].layout.placements}
    assert len(shown) > 1 and any(placed.cut for placed in placements)
    for placed in placements:
        if placed.cut:
            assert last[placed.piece, placed.copy] == placed
