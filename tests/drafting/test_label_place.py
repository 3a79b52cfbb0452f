"""The place of a block of words against rectangles, whose roomiest place is known by symmetry."""

from __future__ import annotations

import math

import pytest
import shapely
import shapely.affinity

from drafting.label_place import roomiest, without


def test_the_block_stands_inside_a_rectangle_and_fits_by_its_tighter_side() -> None:
    place, scale = roomiest(shapely.box(10.0, 20.0, 110.0, 50.0), 40.0, 20.0)
    assert 39.0 <= place.x <= 81.0  # along the loose side it may stand anywhere
    assert place.y == pytest.approx(35.0, abs=1.0)
    assert scale == pytest.approx(1.5, abs=0.15)


@pytest.mark.parametrize("turn_deg", [0.0, 30.0, 90.0, 200.0])
def test_a_turned_block_fits_a_turned_rectangle_alike(turn_deg: float) -> None:
    area = shapely.affinity.rotate(shapely.box(-20.0, -10.0, 20.0, 10.0), turn_deg, (0.0, 0.0))
    place, scale = roomiest(area, 40.0, 20.0, math.radians(turn_deg))
    assert scale == pytest.approx(1.0, abs=0.12)
    assert math.hypot(place.x, place.y) < 2.5


def test_a_line_takes_its_strip_away_but_never_everything() -> None:
    area = shapely.box(0.0, 0.0, 100.0, 10.0)
    middle = shapely.LineString([(0.0, 5.0), (100.0, 5.0)])
    assert without(area, middle, 2.0).area == pytest.approx(600.0, abs=5.0)
    assert without(area, middle, 50.0).equals(area)
