"""Lengths alone: closed forms, slips, and Monte-Carlo against the predicted error."""

from __future__ import annotations

import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.homography import mapped
from calibration.rig import true_table_points
from calibration.rig_scenes import random_rig
from calibration.table_map import table_points
from calibration.tape import TEN_LENGTHS, Length, lit_marks, solve
from tests.calibration.truth import aligned, held, off

SCREEN = (1920, 1080)
MARKS = lit_marks(SCREEN)
KEYSTONE = np.array([[0.82, 0.02, 3.0], [0.01, -0.85, 900.0], [2e-5, -3e-5, 1.0]])


def lengths_between(table: np.ndarray, pairs=TEN_LENGTHS) -> list[Length]:
    return [Length(a, b, float(np.hypot(*(table[a] - table[b])))) for a, b in pairs]


def taped(seed: int, error: float) -> tuple:
    rig = random_rig(seed)
    table = true_table_points(rig, MARKS)
    chance = np.random.default_rng((seed, 4))
    return rig, [
        Length(part.first, part.second, part.length + chance.normal(0, error))
        for part in lengths_between(table)
    ]


@pytest.mark.parametrize("pairs", [TEN_LENGTHS, TEN_LENGTHS[:6]])
def test_exact_lengths_give_the_exact_map(pairs: tuple) -> None:
    """A homography without lens is found but for a rigid motion, never mirrored."""
    found = solve(MARKS, lengths_between(mapped(KEYSTONE, MARKS), pairs), SCREEN, 0.5)
    left, turn = aligned(table_points(found.table_map, MARKS), mapped(KEYSTONE, MARKS))
    assert np.abs(left).max() < 1e-3
    assert np.linalg.det(turn) == pytest.approx(1.0)
    assert found.suspects == () and np.abs(found.residuals).max() < 1e-3


def test_a_slip_of_10_mm_is_named_and_left_out() -> None:
    named, errors = 0, []
    for seed in range(200, 220):
        rig, lengths = taped(seed, 0.5)
        slip = seed % 10
        wrong = Length(lengths[slip].first, lengths[slip].second, lengths[slip].length + 10.0)
        found = solve(MARKS, [*lengths[:slip], wrong, *lengths[slip + 1 :]], SCREEN, 0.5)
        named += found.suspects[:1] == (slip,)
        errors.append(np.percentile(off(found.table_map, rig), 95))
        assert abs(found.residuals[slip]) > 5.0 or len(found.suspects) > 1
    assert named >= 19
    assert np.median(errors) < 0.8


def test_errors_are_as_large_as_the_map_says() -> None:
    """Monte-Carlo over 30 tables, projector lens and all: 95 % ellipses hold about 95 %."""
    inside, alarms = [], 0
    for seed in range(300, 330):
        rig, lengths = taped(seed, 0.5)
        found = solve(MARKS, lengths, SCREEN, 0.5)
        inside.append(held(found.table_map, rig))
        alarms += bool(found.suspects)
    assert 0.90 < np.mean(inside) <= 0.995
    assert alarms <= 1


def test_the_next_length_is_the_one_that_helps_most() -> None:
    """Among all pairs, measuring the one named lessens the error most."""
    table = mapped(KEYSTONE, MARKS)
    six = lengths_between(table, TEN_LENGTHS[:6])
    found = solve(MARKS, six, SCREEN, 0.5)
    assert found.next_length is not None and 0.0 < found.next_gain < 1.0

    def error(pair: tuple[int, int]) -> float:
        more = solve(MARKS, [*six, *lengths_between(table, (pair,))], SCREEN, 0.5)
        return float(np.trace(more.table_map.covariance[:8, :8]))

    others = [(1, 7), (3, 5), (4, 0), (4, 1), (1, 8)]
    assert error(found.next_length) <= min(error(pair) for pair in others) * 1.05


def test_what_cannot_be_is_refused() -> None:
    lengths = lengths_between(mapped(KEYSTONE, MARKS))
    with pytest.raises(CalibrationError, match="found 4 lengths, wanted 5"):
        solve(MARKS, lengths[:4], SCREEN)
    with pytest.raises(CalibrationError, match="length 1: found marks 0 and 99"):
        solve(MARKS, [(0, 99, 10.0), *lengths[1:]], SCREEN)
    with pytest.raises(CalibrationError, match="length 2: found -5 mm"):
        solve(MARKS, [lengths[0], (1, 2, -5.0), *lengths[2:]], SCREEN)
    with pytest.raises(CalibrationError, match="contradict one another"):
        mixed = [
            Length(part.first, part.second, part.length * (1.0 + 0.3 * (index % 2)))
            for index, part in enumerate(lengths)
        ]
        solve(MARKS, mixed, SCREEN)
    with pytest.raises(CalibrationError, match="leave the map loose"):
        row = [Length(0, b, 100.0 * b) for b in range(1, 6)]
        solve(MARKS, row, SCREEN)
