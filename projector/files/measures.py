"""A measures file: one body and the style of what is made for her.

size: M
body: {bust: 92 cm, waist: 76 cm, hip: 100 cm, height: 165 cm}
style: {lift: 0.5, length: 20 cm}
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from drafting.body import RANGES as BODY_RANGES
from drafting.body import Body, implausible
from drafting.errors import DraftingError
from drafting.style import RANGES as STYLE_RANGES
from drafting.style import Style
from drafting.survey import estimated_body
from drafting.units import parsed_length
from projector.files.sheet import Entry, read_entries
from projector.files.writing import read_text

__all__ = ["Measures", "measures_from_text", "read_measures"]


@dataclass(frozen=True, slots=True)
class Measures:
    """What a measures file holds."""

    body: Body
    style: Style
    size: str = ""


def read_measures(path: Path) -> Measures:
    """Read a measures file. Raises `ProjectorError` with one line a problem."""
    return measures_from_text(read_text(path, "measures file"), str(path))


def measures_from_text(text: str, file: str = "measures") -> Measures:
    """The measures in a text; `file` is the name used in messages."""
    top = read_entries(text, file)
    fields = top.fields(("size", "body", "style"), needed=("body",))
    size = fields["size"].text() if "size" in fields else ""
    body: dict[str, float] = {}
    if "body" in fields:
        needed = ("bust", "waist", "hip", "height")
        for name, entry in fields["body"].fields(tuple(BODY_RANGES), needed).items():
            value = entry.parsed(parsed_length)
            fault = None if value is None else implausible(name, value)
            if fault:
                entry.refuse(fault)
            elif value is not None:
                body[name] = value
    style = _style(fields["style"]) if "style" in fields else {}
    top.problems.finish()
    return Measures(estimated_body(body), Style(**style), size or "")


def _style(entry: Entry) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for name, option in entry.fields((*STYLE_RANGES, "sleeve_kind")).items():
        value: Any
        if name == "sleeve_kind":
            value = option.choice(("dolman", "bat"))
        elif name == "lift":
            value = option.number(*STYLE_RANGES[name])
        else:
            value = option.parsed(parsed_length)
        if value is None:
            continue
        try:
            Style(**{name: value})
        except DraftingError as error:
            option.refuse(str(error).partition(": ")[2])
            continue
        values[name] = value
    return values
