"""A calibration as plain data, for a file, and back: the map, how sure it is, and its evidence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from calibration.errors import CalibrationError
from calibration.height import ProjectorHeight
from calibration.homography import Array
from calibration.projector_lens import LENS_NAMES, NO_LENS, ProjectorLens
from calibration.reach import checked
from calibration.table_bow import BOW_NAMES, TableBow
from calibration.table_map import FLOOR, TableMap, Term

__all__ = ["KEYS", "VERSION", "Record", "from_plain", "to_plain"]

VERSION = 4
"""1 had a map alone; 2 told its error; 3 may tell the projector's height; 4 tells the projector's
lens and its keystone correction by other numbers."""
NEEDED = ("version", "screen_size", "table_from_screen")
OF_THE_MAP = ("lens", "bow", "floor", "thickness", "projector", "terms")
OF_THE_EVIDENCE = ("route", "date", "unit", "residuals", "findings")
KEYS = NEEDED + OF_THE_MAP + OF_THE_EVIDENCE
"""Every key a record may have; the first three it must have."""
BESIDE = "figures"
"""What commands work out from the map and print beside a record; it is not read."""
UNITS = ("px", "mm")
MOST_NUMBERS = 200_000


@dataclass(frozen=True, slots=True, eq=False)
class Record:
    """A map with everything needed to judge it again.

    Parameters
    ----------
    table_map
        The map with its terms of error, screen size and thickness.
    route
        How it was found: "camera", "by hand", "tape", ...
    date
        As the shell gives it, e.g. "2026-05-01 14:20"; empty when unknown.
    residuals
        Found less fitted, (n, 2), or (n, 1) for lengths, in `unit`.
    unit
        "px" of the photographs or "mm" on the table.
    findings
        What the worker was told, one line each.
    projector
        How high its lens is over the calibrated surface, when that is known.
    """

    table_map: TableMap
    route: str = ""
    date: str = ""
    residuals: Array | None = None
    unit: str = "px"
    findings: tuple[str, ...] = ()
    projector: ProjectorHeight | None = None

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise CalibrationError(f"unit: found {self.unit!r}, wanted {' or '.join(UNITS)}")


def to_plain(record: Record) -> dict[str, Any]:
    """The record as numbers, lists and names alone; every digit is kept.

    What has nothing to say (no lens, no bow, no residuals) is left out.
    """
    table_map = record.table_map
    plain: dict[str, Any] = {
        "version": VERSION,
        "screen_size": [int(side) for side in table_map.screen_size],
        "table_from_screen": table_map.table_from_screen.tolist(),
        "floor": float(table_map.floor),
        "thickness": float(table_map.thickness),
    }
    if table_map.lens != NO_LENS:
        plain["lens"] = [float(value) for value in table_map.lens.values]
    if table_map.bow is not None:
        plain["bow"] = {
            name: [float(value) for value in getattr(table_map.bow, name)]
            for name in TableBow.__slots__
        }
    if record.projector is not None:
        foot = record.projector.foot
        plain["projector"] = {
            "height": float(record.projector.height),
            "sd": float(record.projector.sd),
            **({} if foot is None else {"foot": [float(value) for value in foot]}),
        }
    if table_map.terms:
        plain["terms"] = [
            {"name": term.name, "covariance": term.covariance.tolist()} for term in table_map.terms
        ]
    for name in ("route", "date"):
        if getattr(record, name):
            plain[name] = getattr(record, name)
    if record.findings:
        plain["findings"] = list(record.findings)
    if record.residuals is not None:
        plain["unit"], plain["residuals"] = record.unit, np.asarray(record.residuals).tolist()
    return plain


def from_plain(plain: object) -> Record:
    """The record of plain data, of version 1 (a map alone) to 4.

    Raises
    ------
    CalibrationError
        A missing or unknown key, another version, or a value that is no map; the key is named.
    """
    if not isinstance(plain, Mapping):
        raise CalibrationError(f"a record of a map is a table of keys, found {plain!r:.40}")
    missing = [key for key in NEEDED if key not in plain]
    unknown = [str(key) for key in plain if key not in (*KEYS, BESIDE)]
    if missing or unknown:
        told = [f"{' and '.join(keys)} {word}" for keys, word in
                ((missing, "missing"), (unknown, "not known")) if keys]  # fmt: skip
        raise CalibrationError(
            f"no record of a map: {', '.join(told)}; wanted one that calibrate, tape or "
            "crosshairs wrote"
        )
    version = plain["version"]
    if type(version) is not int or not 1 <= version <= VERSION:
        raise CalibrationError(
            f"version: found {version!r}, wanted 1 to {VERSION}; calibrate again"
        )
    if version < VERSION and not _is_of_this_lens(plain):
        raise CalibrationError(
            f"version: found {version} with a projector's lens as it was told once, wanted "
            f"{VERSION}; calibrate again"
        )
    size = plain["screen_size"]
    whole = isinstance(size, list | tuple) and len(size) == 2
    if not whole or not all(type(side) is int and side > 0 for side in size):
        raise CalibrationError(f"screen_size: found {size!r}, wanted two whole pixels above 0")
    table_map = checked(
        TableMap(
            _numbers(
                plain["table_from_screen"], "table_from_screen", "3 rows of 3 numbers", (3, 3)
            ),
            (size[0], size[1]),
            _lens(plain.get("lens")),
            _bow(plain.get("bow")),
            _terms(plain.get("terms", ())),
            _number(plain.get("floor", FLOOR), "floor"),
            _number(plain.get("thickness", 0.0), "thickness"),
        )
    )
    return Record(
        table_map,
        _text(plain.get("route", ""), "route"),
        _text(plain.get("date", ""), "date"),
        _residuals(plain.get("residuals")),
        _text(plain.get("unit", "px"), "unit"),
        tuple(_text(line, "findings") for line in _list(plain.get("findings", ()), "findings")),
        _projector(plain.get("projector")),
    )


def _is_of_this_lens(plain: Mapping[str, object]) -> bool:
    """Whether an older record counts the lens as now: its lens and its errors tell."""
    lens, terms = plain.get("lens"), plain.get("terms")
    if lens is not None and not (isinstance(lens, list | tuple) and len(lens) == len(LENS_NAMES)):
        return False
    if isinstance(terms, list | tuple) and terms and isinstance(terms[0], Mapping):
        rows = terms[0].get("covariance")
        bow = len(BOW_NAMES) if plain.get("bow") is not None else 0
        return isinstance(rows, list | tuple) and len(rows) == 8 + len(LENS_NAMES) + bow
    return True


def _projector(plain: object) -> ProjectorHeight | None:
    if plain is None:
        return None
    keys = ("height", "sd", "foot")
    found = isinstance(plain, Mapping) and "foot" in plain
    entries = _entries(plain, "projector", keys if found else keys[:2])
    foot = _row(entries["foot"], "projector foot", 2) if found else None
    return ProjectorHeight(
        _number(entries["height"], "projector height"),
        _number(entries["sd"], "projector sd"),
        None if foot is None else (foot[0], foot[1]),
    )


def _lens(plain: object) -> ProjectorLens:
    if plain is None:
        return NO_LENS
    return ProjectorLens(tuple(_row(plain, "lens", len(LENS_NAMES))))


def _bow(plain: object) -> TableBow | None:
    if plain is None:
        return None
    entries = _entries(plain, "bow", tuple(TableBow.__slots__))
    b, m, level, p = (
        _row(entries[name], f"bow {name}", count)
        for name, count in (("coefficients", 3), ("middle", 2), ("level", 3), ("projector", 3))
    )
    if p[2] <= 0.0:
        raise CalibrationError(f"bow projector: found a height of {p[2]:g}, wanted mm above 0")
    return TableBow(
        (b[0], b[1], b[2]), (m[0], m[1]), (level[0], level[1], level[2]), (p[0], p[1], p[2])
    )


def _terms(plain: object) -> tuple[Term, ...]:
    terms = []
    for entry in _list(plain, "terms"):
        entries = _entries(entry, "terms", ("name", "covariance"))
        name = _text(entries["name"], "terms name")
        matrix = _numbers(entries["covariance"], f"covariance of {name}", "rows of numbers")
        terms.append(Term(name, matrix))
    return tuple(terms)


def _residuals(plain: object) -> Array | None:
    if plain is None:
        return None
    values = _numbers(plain, "residuals", "rows of one or two numbers")
    if values.ndim != 2 or values.shape[1] not in (1, 2):
        raise CalibrationError(
            f"residuals: found {values.shape}, wanted rows of one or two numbers"
        )
    return values


def _numbers(plain: object, name: str, wanted: str, shape: tuple[int, ...] | None = None) -> Array:
    try:
        values = np.array(plain, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise CalibrationError(f"{name}: wanted {wanted}") from error
    if values.size > MOST_NUMBERS or (shape is not None and values.shape != shape):
        raise CalibrationError(f"{name}: found {values.shape}, wanted {wanted}")
    if not np.isfinite(values).all():
        raise CalibrationError(f"{name}: wanted finite numbers")
    return values


def _number(plain: object, name: str) -> float:
    return float(_numbers(plain, name, "one number", ()))


def _row(plain: object, name: str, count: int) -> list[float]:
    values: list[float] = _numbers(plain, name, f"{count} numbers", (count,)).tolist()
    return values


def _text(plain: object, name: str) -> str:
    if not isinstance(plain, str):
        raise CalibrationError(f"{name}: found {plain!r:.40}, wanted text")
    return plain


def _list(plain: object, name: str) -> Sequence[object]:
    if not isinstance(plain, list | tuple):
        raise CalibrationError(f"{name}: found {plain!r:.40}, wanted a list")
    return plain


def _entries(plain: object, name: str, keys: tuple[str, ...]) -> Mapping[str, object]:
    if not isinstance(plain, Mapping) or set(plain) != set(keys):
        raise CalibrationError(f"{name}: found {plain!r:.60}, wanted {', '.join(keys)}")
    return plain
