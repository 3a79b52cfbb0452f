"""The joint estimate against the rig's closed form, its derivatives, and what it refuses."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.estimate import joint
from calibration.evidence import PhotoSight, ReferenceSight
from calibration.projector_lens import ProjectorLens
from calibration.rig import Rig, Table
from calibration.rig_scenes import random_rig
from calibration.scene import arranged, blocks, moved, with_bow
from calibration.starting import started
from calibration.table_bow import TableBow
from calibration.uncertainty import length_error
from tests.calibration.sights import printed_points, screen_grid, sights
from tests.calibration.truth import off

A4 = printed_points(10, 6, 25.0)
ONE = [("sheet", A4, (780.0, 470.0, 0.1))]
TWO = [*ONE, ("other sheet", A4, (300.0, 300.0, 0.5))]
SCREEN = (1920, 1080)


def photographed(
    seed: int, count: int, sheets: list = ONE, noise: float = 0.03, bow: float = 0.0
) -> tuple[Rig, tuple[PhotoSight, ...]]:
    rig = random_rig(seed, count, bow=bow)
    return rig, sights(rig, screen_grid(SCREEN, 16, 9), sheets, noise, seed)


def test_derivatives_are_those_of_differences() -> None:
    _, photos = photographed(3, 2, TWO)
    scene = started(photos, SCREEN, arranged(photos), 3000.0, False)
    bow = TableBow((2.0, 1.0, -1.0), (0.0, 0.0), (0.1, 0.0, 0.1), (0.0, 50.0, 1900.0))
    numbers = np.random.default_rng(6).normal(0, 0.003, 10)
    numbers[2:4] = (0.1, 0.3)
    lens = ProjectorLens(tuple(numbers))
    scene = with_bow(scene, replace(scene.frame, bow=bow, lens=lens))
    values = scene.values.copy()
    values[1:4], values[6:8] = (0.03, -0.02, 0.01), (0.001, -0.002)
    values[scene.layout.table_map][8:18] = numbers
    values[scene.layout.printer(1)] = (0.002, 0.001, -0.0015)
    scene = replace(scene, values=values)
    here = blocks(scene, photos)
    for column in range(scene.layout.count):
        step = np.zeros(scene.layout.count)
        step[column] = 1e-6 if column in (0, 1, 2, 3, 6, 7) else 1e-4
        there, back = blocks(moved(scene, step), photos), blocks(moved(scene, -step), photos)
        for one, other, block in zip(there, back, here, strict=True):
            slope = -(one.residuals - other.residuals) / (2 * step[column])
            own = np.flatnonzero(block.columns == column)
            found = block.slopes[:, :, own[0]] if len(own) else np.zeros_like(slope)
            assert np.abs(found - slope).max() < 1e-4 * np.abs(slope).max() + 1e-5


@pytest.mark.parametrize(("seed", "count", "worst"), [(21, 1, 0.8), (22, 1, 0.8), (23, 3, 0.25)])
def test_the_map_meets_the_rig(seed: int, count: int, worst: float) -> None:
    rig, photos = photographed(seed, count)
    found = joint(photos, SCREEN)
    assert np.percentile(off(found.table_map, rig), 95) < worst
    assert found.rms_px < 0.045 and 0.3 < found.noise_ratio < 1.2
    # One view of one plane tells the focal length badly, and the map does not need it well.
    assert abs(np.exp(found.lens[0]) / rig.camera.focal_px - 1) < (0.06 if count == 1 else 0.01)


def test_without_noise_little_is_left() -> None:
    """What remains is the part of the projector's lens that the model does not hold."""
    rig, photos = photographed(24, 3, noise=1e-4)
    assert off(joint(photos, SCREEN).table_map, rig).max() < 0.05


def test_a_bow_is_kept_where_there_is_one_and_only_there() -> None:
    sheets = [("sheet", printed_points(15, 10, 25.0), (780.0, 470.0, 0.1))]
    rig, photos = photographed(31, 4, sheets, bow=1.5)
    found = joint(photos, SCREEN)
    assert found.table_map.bow is not None
    assert np.percentile(off(found.table_map, rig), 95) < 0.5
    assert np.percentile(off(joint(photos, SCREEN, bow=False).table_map, rig), 95) > np.percentile(
        off(found.table_map, rig), 95
    )
    _, flat = photographed(32, 4, sheets)
    assert joint(flat, SCREEN).table_map.bow is None


def test_wrong_corners_are_named_and_do_no_harm() -> None:
    rig, photos = photographed(41, 3, TWO)
    seen = photos[1].photo_px.copy()
    seen[[5, 60]] += [[4.0, -3.0], [0.0, 1.0]]
    spoilt = (photos[0], replace(photos[1], photo_px=seen), photos[2])
    found = joint(spoilt, SCREEN)
    part = next(p for p in found.missed if p.subject == "photograph 2" and p.board == "projected")
    assert list(np.flatnonzero(part.left_out)) == [5, 60]
    assert np.percentile(off(found.table_map, rig), 95) < 0.25


def test_a_print_scale_that_nobody_measured_enters_the_error() -> None:
    _, photos = photographed(51, 1)
    reference = photos[0].references[0]
    loose = replace(photos[0], references=(replace(reference, scale_sd=0.002),))
    a, b = np.array([[300.0, 400.0]]), np.array([[1300.0, 400.0]])
    sure = length_error(joint(photos, SCREEN).table_map, a, b)[0]
    unsure = length_error(joint([loose], SCREEN).table_map, a, b)[0]
    assert unsure == pytest.approx(np.hypot(sure, 1.96 * 2.0), rel=0.05)


def test_what_cannot_be_is_refused() -> None:
    _, photos = photographed(61, 1)
    with pytest.raises(CalibrationError, match="found 4 corners"):
        joint([replace(photos[0], screen_px=photos[0].screen_px[:4],
                       photo_px=photos[0].photo_px[:4])], SCREEN)  # fmt: skip
    with pytest.raises(CalibrationError, match="no photograph shows a sheet"):
        joint([replace(photos[0], references=())], SCREEN)
    with pytest.raises(CalibrationError, match="no photograph was given"):
        joint([], SCREEN)
    reduced = replace(photos[0], photo_size=(photos[0].photo_size[0] // 2, 900), subject="small")
    with pytest.raises(CalibrationError, match="small: another size than photograph"):
        joint([photos[0], reduced], SCREEN)
    zoomed = [replace(photos[0], focal_px=f, subject=f"at {f:.0f}") for f in (3000.0, 3600.0)]
    with pytest.raises(CalibrationError, match=r"at 3600: zoomed 1\.20 times as far as at 3000"):
        joint(zoomed, SCREEN)
    with pytest.raises(CalibrationError, match="scale 2"):
        ReferenceSight("sheet", A4, A4, scale=2.0)
    with pytest.raises(CalibrationError, match="found 3 points and 4 seen"):
        ReferenceSight("sheet", A4[:3], A4[:4])


def test_a_sheet_that_was_moved_in_between_is_noticed() -> None:
    rig, photos = photographed(71, 3)
    away = [("sheet", A4, (760.0, 480.0, 0.12))]
    other = sights(rig, screen_grid(SCREEN, 16, 9), away, 0.03, 71)
    with pytest.raises(CalibrationError, match=r"move nothing|misses the table"):
        joint((photos[0], photos[1], other[2]), SCREEN)


def test_a_sheet_on_a_pile_is_noticed() -> None:
    """The sheet lies 20 mm above the plane that the board is projected on."""
    rig, photos = photographed(72, 3)
    pile = replace(rig, table=Table(raised=20.0))
    above = sights(pile, screen_grid(SCREEN, 16, 9), ONE, 0.03, 72)
    mixed = [replace(p, references=q.references) for p, q in zip(photos, above, strict=True)]
    with pytest.raises(CalibrationError, match=r"lay (everything|it) flat"):
        joint(mixed, SCREEN)
    # Told its height, it does no harm.
    told = [
        replace(p, references=tuple(replace(r, height=20.0) for r in p.references)) for p in mixed
    ]
    assert np.percentile(off(joint(told, SCREEN).table_map, rig), 95) < 0.25
