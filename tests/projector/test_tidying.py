"""A dropped piece slides out of overlap and up to its neighbours; nothing else moves."""

import random
from dataclasses import replace

from drafting.plane import Motion
from projector.cloth.autolayout import arrange
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout
from projector.cloth.tidying import tidied
from tests.projector.cloth_checker import faults
from tests.projector.test_cloth_rules import PIECES


def dropped(layout: Layout, index: int, dx: float, dy: float) -> Layout:
    placement = layout.placements[index]
    old = placement.cloth_from_piece
    moved = replace(
        placement, cloth_from_piece=Motion(old.angle, old.dx + dx, old.dy + dy, old.mirrored)
    )
    placements = (*layout.placements[:index], moved, *layout.placements[index + 1 :])
    return replace(layout, placements=placements)


def test_dropped_pieces_find_their_place_again() -> None:
    chance = random.Random(4)
    for folded in (True, False):
        lay = arrange(Layout(Cloth(folded=folded, buffer=3.0), PIECES), budget=1)
        for index in range(len(lay.placements)):
            untidy = dropped(lay, index, chance.uniform(-25, 25), chance.uniform(-25, 25))
            tidy = tidied(untidy, index)
            assert faults(tidy) == []
            others = [p for k, p in enumerate(tidy.placements) if k != index]
            assert others == [p for k, p in enumerate(untidy.placements) if k != index]
            assert tidied(untidy, index) == tidy


def test_a_free_piece_is_pulled_up_only_when_asked() -> None:
    lay = arrange(Layout(Cloth(), PIECES), budget=0)
    index = next(k for k, p in enumerate(lay.placements) if p.piece == "pocket")
    away = dropped(lay, index, 3000.0, 100.0)
    assert tidied(away, index, snug=False) == away
    pulled = tidied(away, index)
    before, after = (each.placements[index].cloth_from_piece for each in (away, pulled))
    assert after.dx < before.dx and faults(pulled) == []


def test_a_locked_piece_stays() -> None:
    lay = arrange(Layout(Cloth(), PIECES), budget=0)
    locked = replace(lay.placements[0], locked=True)
    held = replace(lay, placements=(locked, *lay.placements[1:]))
    assert tidied(held, 0) is held
