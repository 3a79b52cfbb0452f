"""A map survives its record, through YAML too; a bad record says where."""

from __future__ import annotations

import numpy as np
import pytest
import yaml

from calibration.errors import CalibrationError
from calibration.projector_lens import ProjectorLens
from calibration.record import Record, from_plain, to_plain
from calibration.table_bow import TableBow
from calibration.table_map import TableMap, Term

MAP = TableMap(
    np.array([[0.82, 0.013, 3.1], [0.004, -0.81, 900.7], [1e-5, 3e-6, 1.0]]), (1920, 1080)
)


def test_every_digit_survives_yaml() -> None:
    again = from_plain(yaml.safe_load(yaml.safe_dump(to_plain(Record(MAP))))).table_map
    assert np.array_equal(again.table_from_screen, MAP.table_from_screen)
    assert again.screen_size == MAP.screen_size


def test_a_record_keeps_its_evidence() -> None:
    """Lens, bow, terms, thickness, residuals, route and date come back through YAML."""
    chance = np.random.default_rng(1)
    bow = TableBow((1.5, 0.1, -0.2), (800.0, 450.0), (0.1, 0.0, 0.1), (700.0, 0.0, 1900.0))
    term = Term("corners", np.diag(chance.uniform(0, 1, 24)))
    full = TableMap(
        MAP.table_from_screen, (1920, 1080), ProjectorLens(tuple(chance.normal(0, 0.01, 10))), bow,
        (term,), 0.1, 5.0,
    )  # fmt: skip
    record = Record(full, "camera", "2026-05-01 14:20", chance.normal(0, 1, (9, 2)), "px", ("a",))
    again = from_plain(yaml.safe_load(yaml.safe_dump(to_plain(record))))
    assert again.table_map.bow == bow and again.table_map.lens == full.lens
    assert np.array_equal(again.table_map.covariance, full.covariance)
    assert (again.table_map.thickness, again.table_map.floor) == (5.0, 0.1)
    assert again.residuals is not None and record.residuals is not None
    assert np.array_equal(again.residuals, record.residuals)
    assert (again.route, again.date, again.findings) == ("camera", "2026-05-01 14:20", ("a",))


def test_a_record_of_version_1_is_still_read() -> None:
    old = {
        "version": 1,
        "screen_size": [1920, 1080],
        "table_from_screen": MAP.table_from_screen.tolist(),
    }
    assert np.array_equal(from_plain(old).table_map.table_from_screen, MAP.table_from_screen)
    assert from_plain(old).table_map.terms == ()


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("version", 9, "version: found 9"),
        ("screen_size", [1920.5, 1080], "screen_size"),
        ("screen_size", 3, "screen_size"),
        ("table_from_screen", [[1, 2], [3]], "table_from_screen"),
        ("table_from_screen", [[float("nan")] * 3] * 3, "finite"),
        ("colour", 1, "colour not known"),
        ("terms", [{"name": "corners", "covariance": [[1.0]]}], "corners: found"),
        ("terms", 3, "terms: found 3, wanted a list"),
        ("lens", {"radial": [0.1]}, "lens: wanted 10 numbers"),
        ("lens", [0.1, 0.2], "lens: found"),
        ("floor", -1.0, "floor"),
        ("residuals", [1.0], "residuals: found"),
        ("unit", "furlong", "unit: found 'furlong'"),
        ("date", 12, "date: found 12, wanted text"),
    ],
)
def test_a_bad_record_says_where(key: str, value: object, told: str) -> None:
    with pytest.raises(CalibrationError, match=told):
        from_plain(to_plain(Record(MAP)) | {key: value})


def test_a_missing_key_is_named() -> None:
    with pytest.raises(CalibrationError, match="version missing"):
        from_plain({key: value for key, value in to_plain(Record(MAP)).items() if key != "version"})
    with pytest.raises(CalibrationError, match="table of keys"):
        from_plain([1, 2])
