"""What the worker says about a piece on the command line, and how a file is shown to her."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any, cast

import typer

from drafting.chains import chain_length
from drafting.edge import ROLES, Role
from drafting.exchange.completing import EdgeSaid, Said, edges_of
from drafting.exchange.linework import Linework, layers_of, linework_box
from drafting.exchange.outlines import Found
from drafting.exchange.tiles import Tiles
from drafting.units import MILLIMETRES, parsed_length
from projector.errors import ProjectorError

__all__ = ["edge_length_of", "said_of", "show_linework", "tiles_of", "unit_of"]

_EDGE = re.compile(r"(\d+)\s*=\s*([a-z]+)(?:\s+([\d.]+\s*(?:mm|cm|in)))?(?:\s+(.+))?")
_NOTCH = re.compile(r"(\d+)\s*=\s*([\d./ ]+\s*(?:mm|cm|in))(\s+double)?")
MOST_SHOWN = 30


def edge_length_of(text: str) -> tuple[int, int, float]:
    """The outline, the edge, both from 1, and its length, mm, of a text like "1.4=41.5 cm"."""
    match = re.fullmatch(r"(\d+)\.(\d+)\s*=\s*(.+)", text.strip())
    if match is None:
        raise ProjectorError(
            f'--known-length: found {text!r}, wanted OUTLINE.EDGE=LENGTH, as "1.4=41.5 cm"'
        )
    return int(match[1]), int(match[2]), parsed_length(match[3])


def unit_of(text: str) -> float | None:
    """Millimetres in one unit, None when nothing is said."""
    if not text:
        return None
    if text not in MILLIMETRES:
        raise ProjectorError(f"--unit: found {text!r}, wanted {', '.join(MILLIMETRES)}")
    return MILLIMETRES[text]


def tiles_of(text: str) -> Tiles | None:
    """How the tiles lie, None when nothing is said."""
    if not text:
        return None
    try:
        columns, *sizes = text.split()
        return Tiles(int(columns), *(float(size) for size in sizes))
    except (ValueError, TypeError) as error:
        raise ProjectorError(
            f'--tiles: found {text!r}, wanted columns, overlap and margin in mm, as "3 10 12"'
        ) from error


def said_of(
    name: str,
    size: str,
    count: int,
    paired: bool,
    cloth: str,
    line: str,
    allowance: str,
    edges: Sequence[str],
    notches: Sequence[str],
    grain: str,
) -> Said:
    """Every word of the options as values. Raises `ProjectorError` naming the option."""
    if line not in ("seam", "cutting"):
        raise ProjectorError(f"--line: found {line!r}, wanted seam or cutting")
    said: dict[int, EdgeSaid] = {}
    for text in edges:
        match = _EDGE.fullmatch(text.strip())
        if match is None or match[2] not in ROLES:
            raise ProjectorError(
                f"--edge: found {text!r}, wanted NUMBER=ROLE [LENGTH] [NAME], as "
                f'"1=hem 3 cm bottom"; roles are {", ".join(ROLES)}'
            )
        own = parsed_length(match[3]) if match[3] else None
        said[int(match[1])] = EdgeSaid(cast(Role, match[2]), own, (match[4] or "").strip())
    cuts: list[Any] = []
    for text in notches:
        match = _NOTCH.fullmatch(text.strip())
        if match is None:
            raise ProjectorError(f'--notch: found {text!r}, wanted EDGE=LENGTH, as "2=120 mm"')
        kind = "double" if match[3] else "single"
        cuts.append((int(match[1]), parsed_length(match[2].strip()), kind))
    turned: float | None = None
    if grain != "free":
        try:
            turned = math.radians(float(grain))
        except ValueError:
            raise ProjectorError(f"--grain: found {grain!r}, wanted degrees or free") from None
    return Said(
        name, size, count, paired, cloth, cast(Any, line), parsed_length(allowance), said, turned,
        tuple(cuts),
    )  # fmt: skip


def show_linework(linework: Linework, found: Found, tolerance: float) -> None:
    """Units, layers, outlines with their edges, and faults with their places."""
    box = linework_box(linework)
    known = "" if linework.stated else " (not stated in the file)"
    typer.echo(f"unit: {linework.unit}{known}; {box.width:.1f} x {box.height:.1f} mm in all")
    for line in linework.told:
        typer.echo(f"note: {line}")
    typer.echo(
        f"places are in mm, x to the right and y up from the file's origin; ends within "
        f"{tolerance:g} mm are joined"
    )
    for (layer, colour), times in list(layers_of(linework).items())[:MOST_SHOWN]:
        typer.echo(f"layer {layer or '-'}, colour {colour or '-'}: {times} strokes")
    for number, outline in enumerate(found.outlines[:MOST_SHOWN], 1):
        edges, notches = edges_of(outline)
        place = f"inside {outline.depth} others, " if outline.depth else ""
        typer.echo(
            f"outline {number}: {place}{outline.area / 100:.1f} cm2, {len(edges)} edges, "
            f"{len(notches)} notches, {len(outline.inner)} lines inside"
        )
        for k, edge in enumerate(edges[:MOST_SHOWN], 1):
            size, start = chain_length(edge), edge[0].start
            typer.echo(f"   edge {k}: {size:.1f} mm from ({start.x:.1f}, {start.y:.1f})")
    if not found.outlines:
        typer.echo("no closed outline was found")
    for fault in found.faults[:MOST_SHOWN]:
        place = f"({fault.place.x:.1f}, {fault.place.y:.1f})"
        typer.echo(f"{fault.kind} at {place} mm: {fault.told}")
    hidden = len(found.faults) - MOST_SHOWN
    if hidden > 0:
        typer.echo(f"and {hidden} more such places")
