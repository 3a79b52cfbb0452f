"""Files of marks: what the worker typed on the routes without a camera, as YAML.

Crosshairs moved onto known marks, or lengths taped between lit marks.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from drafting.units import parsed_length
from projector.errors import ProjectorError
from projector.files.reading import read_text
from projector.files.sheet import Entry, items_of, read_entries
from projector.screen_size import parsed_size

__all__ = ["Crosshairs", "Lengths", "lengths_text", "read_crosshairs", "read_lengths"]


@dataclass(frozen=True, slots=True)
class Crosshairs:
    """Marks of a known grid (mm) and the crosshairs (pixels) nudged onto them, in turn."""

    screen_size: tuple[int, int]
    marks: tuple[tuple[float, float], ...]
    crosshairs_px: tuple[tuple[float, float], ...]
    placing_error: float


@dataclass(frozen=True, slots=True)
class Lengths:
    """Lit marks by letter (pixels) and lengths between them: (first, second, mm)."""

    screen_size: tuple[int, int]
    letters: tuple[str, ...]
    marks_px: tuple[tuple[float, float], ...]
    lengths: tuple[tuple[int, int, float], ...]
    tape_error: float


def lengths_text(
    screen_size: tuple[int, int],
    marks_px: dict[str, tuple[float, float]],
    pairs: list[tuple[str, str]],
) -> str:
    """A file to fill in: the lit marks, and which lengths to measure."""
    plain: dict[str, Any] = {
        "screen": f"{screen_size[0]}x{screen_size[1]}",
        "tape_error": "0.5 mm",
        "marks": {letter: list(place) for letter, place in marks_px.items()},
    }
    rows = "\n".join(f'- [{first}, {second}, ""]' for first, second in pairs)
    return (
        "# Measure between the middles of the lit crosses and write each length with its unit.\n"
        + yaml.safe_dump(plain, sort_keys=False, default_flow_style=None)
        + f"lengths:\n{rows}\n"
    )


def read_lengths(path: Path) -> Lengths:
    """Raises `ProjectorError` with one line a problem."""
    top = read_entries(read_text(path, "file of lengths"), str(path))
    fields = top.fields(
        ("screen", "tape_error", "marks", "lengths"), needed=("screen", "marks", "lengths")
    )
    size = _size(fields.get("screen"))
    error = fields["tape_error"].parsed(parsed_length) if "tape_error" in fields else 0.5
    marks: dict[str, tuple[float, float]] = {}
    if "marks" in fields:
        for letter, entry in fields["marks"].pairs():
            place = _pair(entry)
            if place is not None:
                marks[letter] = place
    letters = tuple(marks)
    lengths = []
    for entry in items_of(fields, "lengths"):
        parts = entry.items()
        if len(parts) != 3:
            entry.refuse("wanted two letters and a length, such as [A, C, 1203 mm]")
            continue
        first, second = (part.choice(letters) for part in parts[:2])
        if not (parts[2].raw or "").strip():
            continue  # not measured yet
        length = parts[2].parsed(parsed_length)
        if first is not None and second is not None and length is not None:
            lengths.append((letters.index(first), letters.index(second), length))
    top.problems.finish()
    assert size is not None and error is not None
    return Lengths(size, letters, tuple(marks.values()), tuple(lengths), error)


def read_crosshairs(path: Path) -> Crosshairs:
    """Raises `ProjectorError` with one line a problem."""
    if not path.exists():
        raise ProjectorError(
            f"{path}: there is no such file of crosshairs; crosshairs --help shows what is in one, "
            "and the desk lights crosshairs and writes the record by itself"
        )
    top = read_entries(read_text(path, "file of crosshairs"), str(path))
    fields = top.fields(("screen", "placing_error", "crosshairs"), needed=("screen", "crosshairs"))
    size = _size(fields.get("screen"))
    error = fields["placing_error"].parsed(parsed_length) if "placing_error" in fields else 0.4
    marks, crosshairs = [], []
    for entry in items_of(fields, "crosshairs"):
        own = entry.fields(("mark", "px"), needed=("mark", "px"))
        if len(own) < 2:
            continue
        lengths = [part.parsed(parsed_length) for part in own["mark"].items()]
        place = _pair(own["px"])
        if len(lengths) != 2:
            own["mark"].refuse("wanted two lengths, across and away, such as [0 cm, 75 cm]")
        elif lengths[0] is not None and lengths[1] is not None and place is not None:
            marks.append((lengths[0], lengths[1]))
            crosshairs.append(place)
    top.problems.finish()
    assert size is not None and error is not None
    return Crosshairs(size, tuple(marks), tuple(crosshairs), error)


def _size(entry: Entry | None) -> tuple[int, int] | None:
    return None if entry is None else entry.parsed(parsed_size)


def _pair(entry: Entry) -> tuple[float, float] | None:
    values = [part.number(-100_000.0, 100_000.0) for part in entry.items()]
    if len(values) != 2:
        entry.refuse("wanted two numbers, pixels across and down")
        return None
    x, y = values
    return None if x is None or y is None else (x, y)
