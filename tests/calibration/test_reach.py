"""Records that hold finite numbers and yet no map of a table."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.record import Record, from_plain, to_plain
from calibration.table_bow import TableBow
from calibration.table_map import TableMap, Term

MATRIX = np.array([[0.8, 0.0, 0.0], [0.0, -0.8, 900.0], [0.0, 0.0, 1.0]])


def plain(bow: bool) -> dict[str, Any]:
    bent = TableBow((1e-6, 1e-6, 0.0), (700.0, 400.0), (0.0, 0.0, 0.0), (700.0, 400.0, 2000.0))
    bare = TableMap(MATRIX, (1920, 1080), bow=bent if bow else None)
    term = Term("corners", 1e-4 * np.eye(len(bare.parameter_names)))
    return to_plain(Record(TableMap(MATRIX, (1920, 1080), bow=bare.bow, terms=(term,))))


def far(record: dict[str, Any]) -> None:
    record["table_from_screen"][0][2] = 1e9


def no_covariance(record: dict[str, Any]) -> None:
    record["terms"][0]["covariance"][0][1] = record["terms"][0]["covariance"][1][0] = 1.0


def uneven(record: dict[str, Any]) -> None:
    record["terms"][0]["covariance"][2][3] = 5e-5


def endless_bow(record: dict[str, Any]) -> None:
    record["bow"]["coefficients"][0] = 1e300


def flat_projector(record: dict[str, Any]) -> None:
    record["bow"]["projector"][2] = 1e-9


def huge_screen(record: dict[str, Any]) -> None:
    record["screen_size"] = [10**9, 1080]


@pytest.mark.parametrize(
    ("spoil", "bow"),
    [(far, False), (no_covariance, False), (uneven, False), (huge_screen, False),
     (endless_bow, True), (flat_projector, True)],
)  # fmt: skip
def test_what_no_table_can_be_is_refused(spoil: Callable[[Any], None], bow: bool) -> None:
    record = plain(bow)
    from_plain(copy.deepcopy(record))
    spoil(record)
    with pytest.raises(CalibrationError) as caught:
        from_plain(record)
    assert "\n" not in str(caught.value)
