"""The record of a calibration, dated as it is made."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

import numpy as np
import numpy.typing as npt

from calibration.record import Record
from calibration.table_map import TableMap
from drafting.finding import Finding

__all__ = ["DATE", "dated_record", "finding_lines"]

DATE = "%Y-%m-%d %H:%M %z"
"""How a record states when it was made."""


def finding_lines(findings: Iterable[Finding]) -> tuple[str, ...]:
    """Findings as a record keeps them, a line each."""
    return tuple(f"{f.severity}: {f.subject}: {f.measured}" for f in findings)


def dated_record(
    table_map: TableMap,
    route: str,
    residuals: npt.NDArray[np.float64],
    unit: str,
    lines: tuple[str, ...],
) -> Record:
    """A record of now; residuals and their unit, and lines of what was told, as `Record` has them.

    The date carries its time zone, so that it is the same moment wherever it is read.
    """
    now = datetime.now().astimezone().strftime(DATE)
    return Record(table_map, route, now, residuals, unit, lines)
