"""A map survives its record, through YAML too; a bad record says where."""

from __future__ import annotations

import numpy as np
import pytest
import yaml

from calibration.errors import CalibrationError
from calibration.record import from_plain, to_plain
from calibration.rig import random_rig
from calibration.table_map import TableMap

MAP = TableMap(random_rig(2).table_from_screen, (1920, 1080))


def test_every_digit_survives_yaml() -> None:
    again = from_plain(yaml.safe_load(yaml.safe_dump(to_plain(MAP))))
    assert np.array_equal(again.table_from_screen, MAP.table_from_screen)
    assert again.screen_size == MAP.screen_size


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("version", 9, "version: found 9"),
        ("screen_size", [1920.5, 1080], "screen_size"),
        ("screen_size", 3, "screen_size"),
        ("table_from_screen", [[1, 2], [3]], "table_from_screen"),
        ("table_from_screen", [[float("nan")] * 3] * 3, "finite"),
        ("colour", 1, "unknown colour"),
    ],
)
def test_a_bad_record_says_where(key: str, value: object, told: str) -> None:
    with pytest.raises(CalibrationError, match=told):
        from_plain(to_plain(MAP) | {key: value})


def test_a_missing_key_is_named() -> None:
    with pytest.raises(CalibrationError, match="missing version"):
        from_plain({key: value for key, value in to_plain(MAP).items() if key != "version"})
    with pytest.raises(CalibrationError, match="table of keys"):
        from_plain([1, 2])
