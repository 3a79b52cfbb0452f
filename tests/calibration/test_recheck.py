"""A map that holds is left in peace; one that moved is noticed, by photograph and by tape."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.estimate import joint
from calibration.recheck import lit_square, of_lengths, of_maps
from calibration.rig import Rig, View, true_table_points
from calibration.rig_scenes import random_rig
from calibration.table_map import TableMap, screen_points
from tests.calibration.sights import printed_points, screen_grid, sights

SCREEN = (1920, 1080)
A4 = printed_points(10, 6, 25.0)
SIX = ((0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3))


def knocked(rig: Rig, drop: float = 0.0, tilt_deg: float = 0.0) -> Rig:
    view = rig.projector.view
    c, s = np.cos(np.deg2rad(tilt_deg)), np.sin(np.deg2rad(tilt_deg))
    turn = np.array([[1, 0, 0], [0, c, -s], [0, s, c]]) @ view.turn
    moved = View(view.position - [0.0, 0.0, drop], turn)
    return replace(rig, projector=replace(rig.projector, view=moved))


def calibrated(rig: Rig, seed: int, where: tuple[float, float, float]) -> TableMap:
    sheets = [("sheet", A4, where), ("other", A4, (where[0] - 500, where[1] - 150, 1.2))]
    return joint(sights(rig, screen_grid(SCREEN, 16, 9), sheets, 0.03, seed), SCREEN).table_map


@pytest.mark.parametrize("seed", [701, 702, 703])
def test_one_photograph_tells_whether_the_map_holds(seed: int) -> None:
    rig = random_rig(seed, 3)
    before = calibrated(rig, seed, (800.0, 450.0, 0.1))
    again = replace(rig, views=rig.views[:1])
    assert of_maps(before, calibrated(again, seed + 50, (900.0, 480.0, 0.6))).holds
    dropped = of_maps(before, calibrated(knocked(again, drop=10.0), seed + 50, (800.0, 450.0, 0.1)))
    assert not dropped.holds
    # Everything shrinks by 10 mm in about 1900.
    assert dropped.scale == pytest.approx(-10 / rig.projector.view.position[2], rel=0.15)
    assert not of_maps(
        before, calibrated(knocked(again, tilt_deg=0.5), seed + 50, (800.0, 450.0, 0.1))
    ).holds


@pytest.mark.parametrize("seed", [711, 712])
def test_one_taped_square_tells_whether_the_map_holds(seed: int) -> None:
    rig = random_rig(seed, 3)
    table_map = calibrated(rig, seed, (800.0, 450.0, 0.1))
    square = lit_square(table_map)
    chance = np.random.default_rng(seed)

    def tape(other: Rig) -> list[tuple[int, int, float]]:
        lit = true_table_points(other, screen_points(table_map, square))
        return [(a, b, float(np.hypot(*(lit[a] - lit[b])) + chance.normal(0, 0.5))) for a, b in SIX]

    assert of_lengths(table_map, square, tape(rig), 0.5).holds
    fallen = of_lengths(table_map, square, tape(knocked(rig, drop=12.0)), 0.5)
    assert not fallen.holds and "calibrate again" in fallen.told
    assert fallen.scale == pytest.approx(-12 / rig.projector.view.position[2], rel=0.2)


def test_false_alarms_are_rare() -> None:
    """Sixty honest tapings of one map: at one in a thousand each, more than two are a fault."""
    rig = random_rig(721, 3)
    table_map = calibrated(rig, 721, (800.0, 450.0, 0.1))
    square, chance = lit_square(table_map), np.random.default_rng(9)
    lit = true_table_points(rig, screen_points(table_map, square))
    alarms = 0
    for _ in range(60):
        lengths = [
            (a, b, float(np.hypot(*(lit[a] - lit[b])) + chance.normal(0, 0.5))) for a, b in SIX
        ]
        alarms += not of_lengths(table_map, square, lengths, 0.5).holds
    assert alarms <= 2


def test_what_cannot_be_compared_is_refused() -> None:
    table_map = TableMap(np.array([[0.8, 0, 0], [0, -0.8, 900], [0, 0, 1.0]]), SCREEN)
    small = TableMap(table_map.table_from_screen, (1280, 720))
    with pytest.raises(CalibrationError, match="set the resolution back"):
        of_maps(table_map, small)
    with pytest.raises(CalibrationError, match="tape a side"):
        of_lengths(table_map, lit_square(table_map), [])
    with pytest.raises(CalibrationError, match="wanted points 0 to 3"):
        of_lengths(table_map, lit_square(table_map), [(0, 9, 100.0)])
