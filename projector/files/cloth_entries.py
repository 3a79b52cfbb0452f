"""Cloths and lays as entries of a job file."""

from __future__ import annotations

import math
from typing import Any

from drafting.plane import Motion
from drafting.units import exact_length, signed_length
from projector.cloth.cloth import Cloth, Match
from projector.cloth.layout import Placement
from projector.errors import ProjectorError
from projector.files.sheet import Entry, items_of
from projector.job import Lay

__all__ = ["cloth_plain", "lay_plain", "read_cloth", "read_lay"]

_LENGTHS = (
    "width", "length", "repeat_along", "repeat_across", "phase_along", "phase_across", "selvage",
    "buffer",
)  # fmt: skip
_FLAGS = ("folded", "one_way")
_SLIDES = {"slid": 1e6, "slid_across": 1e4, "twist_deg": 180.0}
_PARTS = ("shrinkage_along", "shrinkage_across")


def cloth_plain(cloth: Cloth) -> dict[str, Any]:
    """The cloth as plain data, lengths with their unit, leaving out what is as usual."""
    usual = Cloth()
    plain: dict[str, Any] = {"name": cloth.name, "width": exact_length(cloth.width, "cm")}
    for name in (*_LENGTHS[1:], *_FLAGS, *_PARTS):
        value = getattr(cloth, name)
        if value != getattr(usual, name) or name == "folded":
            plain[name] = exact_length(value, "cm") if name in _LENGTHS else value
    if cloth.tilt:
        plain["tilt_deg"] = round(math.degrees(cloth.tilt), 9)
    if cloth.outline is not None:
        plain["outline"] = [list(point) for point in cloth.outline]
    if cloth.flaws:
        plain["flaws"] = [[list(point) for point in flaw] for flaw in cloth.flaws]
    if cloth.colour != usual.colour:
        plain["colour"] = cloth.colour
    if cloth.pieces:
        plain["pieces"] = list(cloth.pieces)
    if cloth.matches:
        plain["matches"] = [_match_plain(match) for match in cloth.matches]
    return plain


def _match_plain(match: Match) -> dict[str, Any]:
    plain: dict[str, Any] = {"piece": match.piece, "at": match.at}
    return plain | {axis: False for axis in ("along", "across") if not getattr(match, axis)}


def _match(entry: Entry) -> Match | None:
    fields = entry.fields(("piece", "at", "along", "across"), needed=("piece", "at"))
    piece = fields["piece"].text() if "piece" in fields else None
    at = fields["at"].text() if "at" in fields else None
    ways = [fields[axis].yes_no() if axis in fields else True for axis in ("along", "across")]
    if not piece or not at or None in ways:
        return None
    try:
        return Match(piece, at, bool(ways[0]), bool(ways[1]))
    except ProjectorError as error:
        entry.refuse(str(error))
        return None


def read_cloth(entry: Entry) -> Cloth | None:
    """The cloth an entry holds; None, with the problems noted, when it holds none."""
    known = (
        "name", "colour", *_LENGTHS, *_FLAGS, *_PARTS, "tilt_deg", "outline", "flaws",
        "matches", "pieces",
    )  # fmt: skip
    fields = entry.fields(known, needed=("width",))
    before = len(entry.problems.lines)
    values: dict[str, Any] = {}
    for name, value in fields.items():
        if name in _LENGTHS:
            values[name] = value.parsed(signed_length)
        elif name in _FLAGS:
            values[name] = value.yes_no()
        elif name in _PARTS:
            values[name] = value.number(0.0, 0.3)
        elif name == "tilt_deg":
            degrees = value.number(0.0, 10.0)
            values["tilt"] = math.radians(degrees or 0.0)
        elif name in ("name", "colour"):
            values[name] = value.text()
        elif name == "pieces":
            values[name] = tuple(item.text() for item in value.items())
        elif name == "outline":
            values[name] = _polygon(value)
        elif name == "matches":
            values[name] = tuple(match for match in map(_match, value.items()) if match)
        else:
            values[name] = tuple(_polygon(flaw) for flaw in value.items())
    if len(entry.problems.lines) > before or "width" not in fields:
        return None
    try:
        return Cloth(**values)
    except ProjectorError as error:
        entry.refuse(str(error))
        return None


def _polygon(entry: Entry) -> tuple[tuple[float, float], ...]:
    points = []
    for item in entry.items():
        values = [number.number(-1e6, 1e6) for number in item.items()]
        if len(values) == 2 and values[0] is not None and values[1] is not None:
            points.append((values[0], values[1]))
        elif None not in values:
            item.refuse("a corner is two numbers, x and y, mm")
    if len(points) < 3:
        entry.refuse(f"{len(points)} corners do not enclose anything; 3 or more were wanted")
    return tuple(points)


def lay_plain(lay: Lay) -> dict[str, Any]:
    """The lay as plain data: each placement's shift in mm and turn in degrees.

    How far the cloth has been slid is told along and across the light in mm, its twist in degrees.
    """
    lies = lay.lies
    values = {
        "slid": -lies.dx, "slid_across": -lies.dy, "twist_deg": _written_turn(lies.angle),
    }  # fmt: skip
    slid = {name: value for name, value in values.items() if value}
    placements = [_placement_plain(p) for p in lay.placements]
    return {"cloth": lay.cloth, **slid, "placements": placements}


def _placement_plain(placement: Placement) -> dict[str, Any]:
    motion = placement.cloth_from_piece
    plain: dict[str, Any] = {
        "piece": placement.piece,
        "copy": placement.copy,
        "x": motion.dx,
        "y": motion.dy,
        "turn_deg": _written_turn(motion.angle),
    }
    for name, value in (
        ("mirrored", motion.mirrored),
        ("locked", placement.locked),
        ("cut", placement.cut),
    ):
        if value:
            plain[name] = True
    return plain


def _written_turn(angle: float) -> float:
    # The degrees that read back as exactly this angle, or the nearest there are.
    degrees = math.degrees(angle)
    near = (degrees, math.nextafter(degrees, math.inf), math.nextafter(degrees, -math.inf))
    return min(near, key=lambda value: abs(math.radians(value) - angle))


def read_lay(entry: Entry) -> Lay | None:
    """The lay an entry holds; None, with the problems noted, when it holds none."""
    known = ("cloth", *_SLIDES, "placements")
    fields = entry.fields(known, needed=("cloth",))
    slides = [
        fields[name].number(-limit, limit) if name in fields else 0.0
        for name, limit in _SLIDES.items()
    ]
    along, across, twist = slides
    cloth = fields["cloth"].text() if "cloth" in fields else None
    placements = [_placement(item) for item in items_of(fields, "placements")]
    if cloth is None or along is None or across is None or twist is None or None in placements:
        return None
    lies = Motion(math.radians(twist), -along, -across)
    return Lay(cloth, tuple(p for p in placements if p is not None), lies)


def _placement(entry: Entry) -> Placement | None:
    known = ("piece", "copy", "x", "y", "turn_deg", "mirrored", "locked", "cut")
    before = len(entry.problems.lines)
    fields = entry.fields(known, needed=("piece", "x", "y"))
    numbers = {
        name: fields[name].number(-1e6, 1e6) for name in ("x", "y", "turn_deg") if name in fields
    }
    flags = {
        name: fields[name].yes_no() for name in ("mirrored", "locked", "cut") if name in fields
    }
    piece = fields["piece"].text() if "piece" in fields else None
    copy = fields["copy"].whole(0, 100_000) if "copy" in fields else 0
    if len(entry.problems.lines) > before or piece is None or copy is None:
        return None
    motion = Motion(
        math.radians(numbers.get("turn_deg") or 0.0),
        numbers["x"] or 0.0,
        numbers["y"] or 0.0,
        bool(flags.get("mirrored")),
    )
    return Placement(piece, copy, motion, bool(flags.get("locked")), bool(flags.get("cut")))
