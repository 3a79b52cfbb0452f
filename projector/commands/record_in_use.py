"""The calibration record that a command writes, and the one that is in use on this computer."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from calibration.record import Record
from projector.errors import ProjectorError
from projector.files.settings import read_settings, write_settings
from projector.files.table import write_record

__all__ = ["keep_record", "record_in_use", "record_used_last"]


def keep_record(path: Path, record: Record) -> str:
    """Write a record and have it used from now on; the line that tells so.

    Raises `ProjectorError` where the record cannot be written; that the choice cannot be
    remembered is only told.
    """
    write_record(path, record)
    try:
        write_settings(replace(read_settings(), table=str(path.resolve())))
    except ProjectorError as error:
        return f"record written to {path}; name it with --table, since it is not noted: {error}"
    return f"record written to {path}; light, sheet, ready and the desk take it from now on"


def record_in_use(named: Path | None) -> Path:
    """The record that was named, else the one used last. Raises `ProjectorError` without any."""
    if named is not None:
        return named
    used = record_used_last()
    if used is None:
        raise ProjectorError(
            "no calibration is in use; name its record with --table, or make one with calibrate, "
            "tape or crosshairs"
        )
    return used


def record_used_last() -> Path | None:
    """The record used last; None where there was none."""
    used = read_settings().table
    return Path(used) if used else None
