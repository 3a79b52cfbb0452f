"""Pieces of a DXF file whose layers are those of ASTM D6673, whoever wrote it.

Layer numbers are recalled from the standard (from memory): 1 boundary, 2 turn points, 3 curve
points, 4 notches, 6 mirror line, 7 grain, 8 internal lines, 11 internal cut-outs, 13 drill holes,
14 sew lines, 15 texts.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import shapely

from drafting.chains import flattened_chain
from drafting.curves import Line
from drafting.exchange.completing import DOUBLE, EdgeSaid, Said, completed, edges_of
from drafting.exchange.cornering import CutNotch
from drafting.exchange.linework import Lettering, Linework, Spot, Stroke
from drafting.exchange.outlines import Outline, outlines
from drafting.piece import Piece
from drafting.plane import Point, coordinates, midpoint

__all__ = ["LayeredPiece", "layered_pieces"]

BOUNDARY, TURN, NOTCH, MIRROR, GRAIN, INTERNAL, CUT_OUT, DRILL, SEW = (
    "1", "2", "4", "6", "7", "8", "11", "13", "14",
)  # fmt: skip
NEAR = 1.0
TOLERANCE = 0.5
_TEXT = re.compile(r"\s*([A-Za-z ]+?)\s*:\s*(.*?)\s*")
_QUANTITY = re.compile(r"(\d+)(?:\s*,\s*(\d+))?")


@dataclass(frozen=True, slots=True)
class LayeredPiece:
    """A piece and what was taken for granted, one sentence each."""

    piece: Piece
    told: tuple[str, ...] = ()


@dataclass(slots=True)
class _Block:
    strokes: list[Stroke] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)
    words: list[Lettering] = field(default_factory=list)


def layered_pieces(linework: Linework, said: Said) -> tuple[LayeredPiece, ...]:
    """A piece for every block with a closed boundary; none when the layers are others.

    `said` fills in what the file leaves open, and its allowance is taken where the file has no
    sew line (the boundary is then the line that `said` says). Raises `DraftingError` where a
    block does not make a piece.
    """
    blocks: dict[str, _Block] = {}
    for kind, items in (
        ("strokes", linework.strokes), ("spots", linework.spots), ("words", linework.words),
    ):  # fmt: skip
        for item in items:
            name = dict(item.data).get("block", "")
            getattr(blocks.setdefault(name, _Block()), kind).append(item)
    made = []
    for name, block in blocks.items():
        one = _piece(name, block, said, len(blocks) > 1)
        if one is not None:
            made.append(one)
    return tuple(made)


def _piece(name: str, block: _Block, said: Said, several: bool) -> LayeredPiece | None:
    by_layer: dict[str, list[Stroke]] = {}
    for stroke in block.strokes:
        by_layer.setdefault(stroke.layer, []).append(stroke)
    if BOUNDARY not in by_layer or not set(by_layer) <= {str(k) for k in range(1, 90)}:
        return None
    bounds = outlines(by_layer[BOUNDARY], TOLERANCE).outlines
    if not bounds:
        return None
    boundary = max(bounds, key=lambda each: each.area)
    sewn = outlines(by_layer.get(SEW, []), TOLERANCE).outlines
    told: list[str] = []
    texts = dict(_texts(block.words))
    line = said.line
    outline = boundary
    if sewn:
        outline, line = max(sewn, key=lambda each: each.area), "seam"
    elif GRAIN in by_layer or NOTCH in by_layer:
        told.append(f"no sew line: the boundary was taken for the {said.line} line")
    turns = [spot.point for spot in block.spots if spot.layer == TURN]
    outline = replace(
        outline, corners=_corners(outline, turns), inner=_inner(by_layer, block.spots)
    )
    edges = {**_edges(outline, boundary, by_layer.get(MIRROR, []), bool(sewn)), **said.edges}
    first, second = _quantity(texts.get("quantity", ""))
    count, paired = said.count, said.paired
    if first is not None:
        count, paired = first + second, second > 0 and first == second
    grain = by_layer.get(GRAIN)
    lean: float | None = said.grain
    if grain:
        along = grain[0].end - grain[0].start
        lean = math.remainder(math.atan2(along.x, along.y), 2 * math.pi)
        if abs(lean) > math.pi / 2 + 1e-9:  # the arrow may be drawn from top to bottom
            lean = math.remainder(lean + math.pi, 2 * math.pi)
    title = said.name if said.name and not several else texts.get("piece name", "") or name
    own = replace(
        said, name=title or said.name or "piece", size=said.size or texts.get("size", ""),
        count=count, paired=paired, cloth=texts.get("material") or said.cloth, line=line,
        edges=edges, grain=lean,
    )  # fmt: skip
    places = [spot.point for spot in block.spots if spot.layer == NOTCH]
    if not places:
        places = [stroke.end for stroke in by_layer.get(NOTCH, [])]
    return LayeredPiece(completed(outline, own, _notches(places)), tuple(told))


def _notches(places: Sequence[Point]) -> list[CutNotch]:
    """Two points close together are a double notch, also where they stand on either side of a
    corner."""
    left, made = list(places), []
    while left:
        one = left.pop(0)
        other = min(left, key=lambda each: abs(each - one), default=None)
        if other is not None and abs(other - one) < DOUBLE:
            left.remove(other)
            made.append(CutNotch(midpoint(one, other), 0.0, True))
        else:
            made.append(CutNotch(one, 0.0))
    return made


def _texts(words: Sequence[Lettering]) -> list[tuple[str, str]]:
    found = []
    for each in words:
        match = _TEXT.fullmatch(each.text)
        if match is not None:
            found.append((match[1].lower(), match[2]))
    return found


def _quantity(text: str) -> tuple[int | None, int]:
    match = _QUANTITY.fullmatch(text)
    if match is None or int(match[1]) + int(match[2] or 0) < 1:
        return None, 0
    return int(match[1]), int(match[2] or 0)


def _corners(outline: Outline, turns: Sequence[Point]) -> tuple[Point, ...]:
    """The turn points that lie on the outline; with fewer than two its own turns tell."""
    starts = [segment.start for segment in outline.segments]
    near = [point for point in turns if min(abs(point - start) for start in starts) < NEAR]
    return tuple(near) if len(near) >= 2 else ()


def _inner(by_layer: dict[str, list[Stroke]], spots: Sequence[Spot]) -> tuple[Stroke, ...]:
    """Inner lines and cut-outs with names, and drill holes as small squares round their points."""
    lines = [
        replace(stroke, name=stroke.name or f"{word} {number}")
        for word, layer in (("line", INTERNAL), ("cut-out", CUT_OUT))
        for number, stroke in enumerate(by_layer.get(layer, []), 1)
    ]
    for number, spot in enumerate((spot for spot in spots if spot.layer == DRILL), 1):
        at = spot.point
        corners = [at + Point(x, y) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))]
        sides = tuple(Line(a, b) for a, b in pairwise(corners))
        lines.append(Stroke(sides, True, DRILL, name=f"hole {number}"))
    return tuple(lines)


def _edges(
    outline: Outline, boundary: Outline, mirrors: Sequence[Stroke], sewn: bool
) -> dict[int, EdgeSaid]:
    """Which edge lies on the fold, and the allowance of every edge from sew line to boundary."""
    found: dict[int, EdgeSaid] = {}
    ring = shapely.LinearRing(coordinates(flattened_chain(boundary.segments, 0.02)))
    axes = [shapely.LineString([(s.start.x, s.start.y), (s.end.x, s.end.y)]) for s in mirrors]
    for number, edge in enumerate(edges_of(outline)[0], 1):
        dots = shapely.points(coordinates(flattened_chain(edge, 0.05)))
        line = shapely.LineString(dots)
        if any(shapely.distance(axis, dots).max() < NEAR and line.length > 1.0 for axis in axes):
            found[number] = EdgeSaid("fold")
        elif sewn:
            middles = shapely.line_interpolate_point(line, [0.35, 0.5, 0.65], normalized=True)
            gap = float(sorted(shapely.distance(ring, middles))[1])
            found[number] = EdgeSaid("seam" if gap > 0.05 else "cut", round(gap, 1))
    return found
