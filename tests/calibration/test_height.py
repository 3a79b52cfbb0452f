"""Raised cloth: rays in space against the corrected map."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.estimate import joint
from calibration.height import ProjectorHeight, cost_of_ignoring, height_of_two_maps, raised
from calibration.rig import Table
from calibration.rig_scenes import random_rig
from calibration.table_map import TableMap, Term
from calibration.uncertainty import length_error
from tests.calibration.sights import printed_points, screen_grid, sights
from tests.calibration.truth import held, metres_off, off

SCREEN = (1920, 1080)
SHEETS = [("sheet", printed_points(15, 10, 25.0), (780.0, 470.0, 0.1))]
PLAIN = TableMap(np.array([[0.82, 0.01, 3.0], [0.0, -0.83, 900.0], [1e-5, 0.0, 1.0]]), SCREEN)


@pytest.mark.parametrize("seed", [610, 611])
def test_cloth_of_5_mm_is_lit_at_true_scale(seed: int) -> None:
    """The lens's height is taped 40 mm wrong, and still a metre is right to 0.3 mm."""
    rig = random_rig(seed, 3)
    found = joint(sights(rig, screen_grid(SCREEN, 16, 9), SHEETS, 0.03, seed), SCREEN).table_map
    on_cloth = replace(rig, table=Table(raised=5.0))
    height = ProjectorHeight(float(rig.projector.view.position[2]) + 40.0, 40.0)
    corrected = raised(found, 5.0, height)
    assert np.percentile(np.abs(metres_off(corrected, on_cloth)[0]), 95) < 0.3
    assert np.percentile(off(corrected, on_cloth), 95) < 0.3
    assert held(corrected, on_cloth).mean() > 0.9
    ignored = np.median(np.abs(metres_off(found, on_cloth)[0]))
    assert ignored == pytest.approx(cost_of_ignoring(height, 5.0), abs=0.3)


def test_the_error_of_height_and_thickness_is_that_of_a_scale() -> None:
    """5 mm at 1900 +- 40 mm and +- 0.3 mm: h dC / C^2 and dh / C, in closed form."""
    sure = replace(PLAIN, terms=(Term("corners", np.zeros((18, 18))),), floor=0.0)
    cloth = raised(sure, 5.0, ProjectorHeight(1900.0, 40.0), 0.3)
    a, b = np.array([[300.0, 450.0]]), np.array([[1300.0, 450.0]])
    expected = 1.96 * 1000 * np.hypot(5 * 40 / 1900**2, 0.3 / 1900)
    assert length_error(cloth, a, b)[0] == pytest.approx(expected, rel=1e-2)
    assert {term.name for term in cloth.terms} == {
        "corners", "cloth thickness", "projector height",
    }  # fmt: skip
    assert cloth.thickness == 5.0


def test_two_maps_tell_the_height_and_the_foot() -> None:
    known = replace(PLAIN, terms=(Term("corners", np.diag([0.01] * 8 + [0.0] * 10)),), floor=0.0)
    upper = raised(known, 100.0, ProjectorHeight(1900.0, 0.0, (700.0, -50.0)))
    found = height_of_two_maps(known, upper, 100.0)
    assert found.height == pytest.approx(1900.0, rel=1e-6)
    assert found.foot == pytest.approx((700.0, -50.0), abs=1e-3)
    assert 0.0 < found.sd < 20.0


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(CalibrationError, match="wanted 100 to 20000"):
        ProjectorHeight(19.0)
    with pytest.raises(CalibrationError, match="less than a fifth"):
        raised(PLAIN, 500.0, ProjectorHeight(1900.0))
    known = replace(PLAIN, terms=(Term("corners", np.eye(18)),))
    with pytest.raises(CalibrationError, match="too little to tell"):
        height_of_two_maps(known, raised(known, 0.1, ProjectorHeight(1900.0)), 0.1)
