"""A wearer's own block as entries of a job file: coordinates read off a card block.

Each point is [across from the centre, up from the waist], two lengths with their unit.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from drafting.bodice import Block, HalfBlock
from drafting.errors import DraftingError
from drafting.plane import Point
from drafting.traced_block import POINTS, POINTS_NEEDED, traced_half
from drafting.units import parsed_length
from projector.files.sheet import Entry

__all__ = ["block_plain", "read_block"]


def read_block(entry: Entry) -> Block | None:
    """The block an entry holds; None, with the problems noted, when it holds none."""
    found = entry.fields(("back", "front"), needed=("back", "front"))
    halves = {name: _read_half(name, half) for name, half in found.items()}
    back, front = halves.get("back"), halves.get("front")
    return Block(back, front) if back is not None and front is not None else None


def _read_half(name: str, entry: Entry) -> HalfBlock | None:
    before = len(entry.problems.lines)
    points: dict[str, Point] = {}
    dart = 0.0
    for key, value in entry.fields((*POINTS, "dart"), needed=POINTS_NEEDED).items():
        if key == "dart":
            dart = value.parsed(parsed_length) or 0.0
            continue
        sizes = [item.parsed(parsed_length) for item in value.items()]
        if len(sizes) == 2 and sizes[0] is not None and sizes[1] is not None:
            points[key] = Point(sizes[0], sizes[1])
        elif None not in sizes:
            value.refuse(
                f"{len(sizes)} numbers where two lengths were wanted, such as [7 cm, 43.5 cm]: "
                "out from the centre, up from the waist"
            )
    if len(entry.problems.lines) > before:
        return None
    try:
        return traced_half(name, points, dart)
    except DraftingError as error:
        entry.refuse(str(error).removeprefix(f"block.{name}."))
        return None


def block_plain(block: Block, length_text: Callable[[float], str]) -> dict[str, Any]:
    """The block as plain data, lengths written by `length_text`."""
    return {
        name: {
            **{
                point: [length_text(getattr(half, point).x), length_text(getattr(half, point).y)]
                for point in POINTS
            },
            **({"dart": length_text(half.dart)} if half.dart else {}),
        }
        for name, half in (("back", block.back), ("front", block.front))
    }
