"""The judged error is the error that was put in."""

from __future__ import annotations

import math

import numpy as np
import pytest

from drafting.plane import Motion, Point
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, Placement
from projector.errors import ProjectorError
from projector.lit_lines import samples_along
from projector.true_scale import check_grid, expected_cutting, expected_notches, joined, measured
from tests.projector.test_job_file import pocket

SQUARE = np.array([[0.0, 0.0], [400.0, 0.0], [400.0, 300.0], [0.0, 300.0]])


def unmoved(points: np.ndarray) -> np.ndarray:
    return points


def lit(lines: tuple[np.ndarray, ...], scale: float, shift: float) -> np.ndarray:
    """A picture at one pixel a millimetre of horizontal and vertical lines, scaled and shifted."""
    ys, xs = np.mgrid[0:340, 0:440].astype(float)
    light = np.full(ys.shape, 0.1)
    for line in lines:
        axis = 0 if line[0, 0] == line[1, 0] else 1
        level = line[0, axis] * scale + shift
        away = (xs if axis == 0 else ys) - level
        light = np.maximum(light, 0.1 + 0.8 * np.exp(-((away / 1.0) ** 2) / 2))
    return light


@pytest.mark.parametrize(("scale", "shift"), [(1.0, 0.0), (1.005, 0.0), (1.0, 0.6)])
def test_a_wrong_scale_and_a_shift_are_measured(scale: float, shift: float) -> None:
    lines = check_grid(SQUARE, 100.0, 10.0)
    # Crossings of the grid are kept clear of: lines every 50 mm off the crossings.
    parts = []
    for line in lines:
        sample = samples_along(line, 10.0)
        off = np.abs((sample.points + 50.0) % 100.0 - 50.0).max(axis=1) > 15.0
        parts.append(type(sample)(sample.points[off], sample.normals[off]))
    error, found = measured(lit(lines, scale, shift), unmoved, joined(parts), "the grid")
    levels = np.concatenate(
        [np.full(len(p.points), line[0, 0 if line[0, 0] == line[1, 0] else 1])
         for p, line in zip(parts, lines, strict=True)]
    )  # fmt: skip
    truth = np.abs(levels * (scale - 1.0) + shift)
    assert error.p95 == pytest.approx(float(np.percentile(truth, 95)), abs=0.05)
    assert error.max == pytest.approx(float(truth.max()), abs=0.1)
    assert error.seen == error.looked == len(found.across)


def test_the_grid_stays_inside_a_slanted_area() -> None:
    area = np.array([[0.0, 0.0], [400.0, 40.0], [380.0, 300.0], [30.0, 260.0]])
    lines = check_grid(area, 50.0, 20.0)
    assert len(lines) > 8
    for line in lines:
        for point in line:
            for a, b in zip(area, np.roll(area, -1, axis=0), strict=True):
                side = (b - a) / np.hypot(*(b - a))
                assert side[0] * (point - a)[1] - side[1] * (point - a)[0] > 5.0


def test_a_dark_picture_is_not_given_a_figure() -> None:
    with pytest.raises(ProjectorError, match="only 0 show"):
        measured(np.zeros((340, 440)), unmoved, samples_along(SQUARE, 10.0), "the seams")


def test_expected_places_follow_the_motion() -> None:
    piece = pocket()
    motion = Motion(math.pi / 2, 600.0, 10.0)
    layout = Layout(Cloth(), (piece,), (Placement("pocket M", 1, motion),))
    line = (Point(0.0, 0.0), Point(300.0, 0.0), Point(300.0, 500.0), Point(0.0, 500.0))
    table = Motion(0.0, 7.0, 9.0)
    sample = expected_cutting(layout, table, {"pocket M": (*line, line[0])})
    assert sample.points[:, 0].min() == pytest.approx(107.0)
    assert sample.points[:, 0].max() == pytest.approx(607.0)
    assert sample.points[:, 1].min() == pytest.approx(19.0)
    notch = {"pocket M": ((Point(300.0, 100.0), Point(310.0, 100.0)),)}
    place = expected_notches(layout, table, notch)
    # (305, 100) turned left is (-100, 305); across a notch that runs along x is along y.
    assert place.points == pytest.approx(np.array([[507.0, 324.0]]))
    assert np.abs(place.normals) == pytest.approx(np.array([[1.0, 0.0]]))
