"""TableMap as plain data, for a file, and back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from calibration.errors import CalibrationError
from calibration.table_map import TableMap

__all__ = ["VERSION", "from_plain", "to_plain"]

VERSION = 1
KEYS = ("version", "screen_size", "table_from_screen")


def to_plain(table_map: TableMap) -> dict[str, Any]:
    """The map as numbers, lists and names alone; every digit is kept."""
    return {
        "version": VERSION,
        "screen_size": [int(side) for side in table_map.screen_size],
        "table_from_screen": table_map.table_from_screen.tolist(),
    }


def from_plain(plain: object) -> TableMap:
    """The map of a record.

    Raises
    ------
    CalibrationError
        A missing or unknown key, another version, or a value that is no map; the key is named.
    """
    if not isinstance(plain, Mapping):
        raise CalibrationError(f"a record of a map is a table of keys, found {plain!r:.40}")
    missing = [key for key in KEYS if key not in plain]
    unknown = [str(key) for key in plain if key not in KEYS]
    if missing or unknown:
        raise CalibrationError(
            f"record of a map: missing {', '.join(missing) or 'nothing'}, unknown "
            f"{', '.join(unknown) or 'nothing'}; wanted {', '.join(KEYS)}"
        )
    if plain["version"] != VERSION:
        raise CalibrationError(
            f"version: found {plain['version']!r}, wanted {VERSION}; calibrate again"
        )
    size = plain["screen_size"]
    whole = isinstance(size, list | tuple) and len(size) == 2
    if not whole or not all(type(side) is int and side > 0 for side in size):
        raise CalibrationError(f"screen_size: found {size!r}, wanted two whole pixels above 0")
    try:
        matrix = np.array(plain["table_from_screen"], dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise CalibrationError("table_from_screen: wanted 3 rows of 3 numbers") from error
    return TableMap(matrix, (size[0], size[1]))
