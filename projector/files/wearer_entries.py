"""Wearers and the style as entries of a job file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import Any, Literal

from drafting.body import RANGES as BODY_RANGES
from drafting.body import implausible, measured
from drafting.errors import DraftingError
from drafting.measures import NEEDED
from drafting.sizes import standard_body, standard_sizes
from drafting.style import CHOICES, PARTS, Style
from drafting.style import RANGES as STYLE_RANGES
from drafting.survey import completed, estimated_body
from drafting.units import exact_length, parsed_length, signed_length
from projector.files.block_entries import block_plain, read_block
from projector.files.sheet import Entry
from projector.job import MOST_COPIES, Wearer

__all__ = ["Units", "read_style", "read_wearer", "style_plain", "units_of", "wearers_plain"]

Units = Literal["cm", "in"]


def units_of(wearers: tuple[Entry, ...]) -> Units:
    """Inches when the first measurement of the file is in inches, centimetres otherwise."""
    for wearer in wearers:
        for key, entry in Entry(wearer.node, "", type(wearer.problems)("")).pairs():
            if key == "body":
                for _, value in entry.pairs():
                    return "in" if (value.raw or "").rstrip().endswith(("in", '"')) else "cm"
    return "cm"


def read_wearer(entry: Entry) -> Wearer | None:
    """The wearer an entry holds; None, with the problems noted, when it holds none."""
    found = entry.fields(("name", "garments", "size", "body", "block"), needed=("name",))
    before = len(entry.problems.lines)
    standard = found["size"].parsed(_bust_and_height) if "size" in found else None
    if "body" not in found and "size" not in found:
        entry.refuse("body is missing; give her measurements, or a standard size such as 92/168")
    name = found["name"].text() if "name" in found else None
    garments = found["garments"].whole(1, MOST_COPIES) if "garments" in found else 1
    values: dict[str, float] = dict(standard) if standard is not None else {}
    needed = () if "size" in found else NEEDED
    if "body" in found:
        for key, value in found["body"].fields(tuple(BODY_RANGES), needed).items():
            size = value.parsed(parsed_length)
            fault = None if size is None else implausible(key, size)
            if fault:
                value.refuse(fault)
            elif size is not None:
                values[key] = size
    block = read_block(found["block"]) if "block" in found else None
    if len(entry.problems.lines) > before or name is None or garments is None:
        return None
    try:
        body = estimated_body(values) if standard is None else completed(values)
        return Wearer(name, body, garments, block)
    except ValueError as error:
        entry.refuse(str(error))
        return None


def wearers_plain(wearers: Sequence[Wearer], units: Units) -> list[dict[str, Any]]:
    """Wearers as plain data, each in the units she was measured in.

    The first who has measures is written in the job's `units`, which `units_of` reads from her.
    """
    written: list[dict[str, Any]] = []
    for wearer in wearers:
        first = not any("body" in plain for plain in written)
        written.append(_wearer_plain(wearer, units, first))
    return written


def _wearer_plain(wearer: Wearer, units: Units, first: bool) -> dict[str, Any]:
    """What was measured; estimates are made afresh."""
    plain: dict[str, Any] = {"name": wearer.name}
    if wearer.garments != 1:
        plain["garments"] = wearer.garments
    known = measured(wearer.body)
    if any(name not in known for name in NEEDED):
        size = f"{wearer.body.bust / 10:g}/{wearer.body.height / 10:g}"
        if size in standard_sizes():
            plain["size"] = size
            known = {n: value for n, value in known.items() if n not in ("bust", "height")}
        else:  # waist and hip cannot be left out of a file without a standard size
            known |= {name: getattr(wearer.body, name) for name in NEEDED}
    units = units if first else _measured_in(tuple(known.values()), units)
    if known:
        plain["body"] = {name: exact_length(value, units) for name, value in known.items()}
    if wearer.block is not None:
        plain["block"] = block_plain(wearer.block, lambda size: exact_length(size, units))
    return plain


def _bust_and_height(name: str) -> dict[str, float]:
    body = standard_body(name)
    return {"bust": body.bust, "height": body.height}


def _measured_in(sizes: tuple[float, ...], units: Units) -> Units:
    """The unit of the tape these lengths were read from: whole sixteenths of an inch or whole
    millimetres, whichever more of them are; `units` where that does not tell."""
    steps = {"in": 25.4 / 16, "cm": 1.0}
    whole = {
        unit: sum(abs(size / step - round(size / step)) < 1e-6 for size in sizes)
        for unit, step in steps.items()
    }
    if whole["in"] == whole["cm"]:
        return units
    return "in" if whole["in"] > whole["cm"] else "cm"


def read_style(entry: Entry) -> Style:
    """The style an entry holds; options with a problem keep their default."""
    values: dict[str, Any] = {}
    for name, option in entry.fields((*STYLE_RANGES, *CHOICES)).items():
        value: Any
        if name in CHOICES:
            value = option.choice(CHOICES[name])
        elif name in PARTS:
            value = option.number(*STYLE_RANGES[name])
        else:
            value = option.parsed(signed_length)
        if value is None:
            continue
        try:
            Style(**{name: value})
        except DraftingError as error:
            option.refuse(str(error).partition(": ")[2])
            continue
        values[name] = value
    try:
        return Style(**values)
    except DraftingError as error:
        entry.refuse(str(error))
        return Style()


def style_plain(style: Style) -> dict[str, Any]:
    """The options that are not as usual, lengths with their unit."""
    plain: dict[str, Any] = {}
    for field in fields(Style):
        value = getattr(style, field.name)
        if value == field.default or value is None:
            continue
        lengthy = field.name in STYLE_RANGES and field.name not in PARTS
        plain[field.name] = exact_length(value, "cm") if lengthy else value
    return plain
