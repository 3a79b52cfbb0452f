"""A map on the disk: JSON, as `calibrate --json` prints it."""

from __future__ import annotations

import json
from pathlib import Path

from calibration.errors import CalibrationError
from calibration.record import KEYS, VERSION, from_plain
from calibration.table_map import TableMap
from projector.errors import ProjectorError
from projector.files.writing import read_text

__all__ = ["read_table"]


def read_table(path: Path) -> TableMap:
    """The map in a file. Raises `ProjectorError` with the file and what was wanted."""
    try:
        plain = json.loads(read_text(path, "map"))
    except json.JSONDecodeError as error:
        raise ProjectorError(
            f"{path}:{error.lineno}:{error.colno}: {error.msg}; wanted JSON from calibrate --json"
        ) from error
    if isinstance(plain, dict):
        kept = {key: plain[key] for key in KEYS if key in plain}
        plain = {"version": plain.get("version", VERSION), **kept}
    try:
        return from_plain(plain)
    except CalibrationError as error:
        raise ProjectorError(f"{path}: {error}") from error
