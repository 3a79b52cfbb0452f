"""The record of a calibration on the disk: YAML; the JSON of `calibrate --json` is read, too."""

from __future__ import annotations

from pathlib import Path

import yaml

from calibration.errors import CalibrationError
from calibration.record import KEYS, VERSION, Record, from_plain, to_plain
from calibration.table_map import TableMap
from projector.errors import ProjectorError
from projector.files.reading import read_text
from projector.files.writing import write_text

__all__ = ["read_record", "read_table", "write_record"]

LARGEST_FILE = 8_000_000


def write_record(path: Path, record: Record) -> None:
    """Replace the record atomically."""
    write_text(path, yaml.safe_dump(to_plain(record), sort_keys=False, default_flow_style=None))


def read_record(path: Path) -> Record:
    """The record in a file. Raises `ProjectorError` with the file and what was wanted."""
    if not path.exists():
        raise ProjectorError(
            f"{path}: there is no such record; make one with calibrate, tape or crosshairs"
        )
    text = read_text(path, "record")
    if len(text) > LARGEST_FILE or "&" in text:  # a record has no anchors to unfold
        raise ProjectorError(f"{path}: not a record of calibrate; calibrate again")
    try:
        plain = yaml.safe_load(text)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark
        place = f":{mark.line + 1}:{mark.column + 1}" if mark else ""
        raise ProjectorError(
            f"{path}{place}: {error.problem}; wanted the record of a calibration"
        ) from error
    except (yaml.YAMLError, ArithmeticError, AttributeError, LookupError, TypeError, ValueError,
            RecursionError) as error:  # fmt: skip
        # The library makes dates, numbers and sets, and lets through what goes wrong in that.
        raise ProjectorError(f"{path}: wanted the record of a calibration") from error
    if isinstance(plain, dict):
        kept = {key: plain[key] for key in KEYS if key in plain}
        plain = {"version": plain.get("version", VERSION), **kept}
    try:
        return from_plain(plain)
    except CalibrationError as error:
        raise ProjectorError(f"{path}: {error}") from error


def read_table(path: Path) -> TableMap:
    """The map in a record."""
    return read_record(path).table_map
