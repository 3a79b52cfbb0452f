"""Pieces, and lays of pieces, as DXF with the layers of ASTM D6673 for sewn-product patterns.

One block a piece, placed by inserts; release 12 entities, which R13 readers take; 7-bit ASCII;
millimetres (`$INSUNITS` 4). Layer numbers are recalled from the standard (from memory):
1 boundary, 4 notch, 6 mirror line, 7 grain, 8 internal, 11 cut-out, 13 drill, 14 sew line,
15 text.
"""

from __future__ import annotations

import io
import logging
import math
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Any

import ezdxf
from ezdxf.document import Drawing as Document
from ezdxf.layouts import BlockLayout

from drafting.allowance import cutting_line, notch_lines
from drafting.chains import flattened_chain
from drafting.drawing import Curve, Data, Drawing, Words, around
from drafting.edge import end_of, flattened_edge, start_of
from drafting.errors import DraftingError
from drafting.exchange.carried_curves import TOLERANCE, curve_data
from drafting.exchange.piece_drawing import RULES_LEFT_OUT, edge_data, notch_data, piece_data
from drafting.marks import Drill, InnerLine, Label
from drafting.piece import Piece, edge_named, grain_of, title_of
from drafting.plane import Motion, Point, coordinates

__all__ = ["LAYERS", "TOLERANCE", "drawing_dxf", "left_out", "written", "written_lay"]

logging.getLogger("ezdxf").setLevel(logging.ERROR)

APPLICATION = "SHEARLIGHT"
"""The name under which what plain DXF cannot carry goes beside an entity, as extended data."""
GAP = 30.0
DOUBLE_NOTCH = 3.0
LAYERS = {
    "boundary": "1", "notch": "4", "mirror": "6", "grain": "7", "internal": "8", "cut-out": "11",
    "drill": "13", "sew line": "14", "text": "15",
}  # fmt: skip
_COLOURS = {
    "boundary": 7, "notch": 1, "mirror": 30, "grain": 5, "internal": 8, "cut-out": 6, "drill": 1,
    "sew line": 3, "text": 7,
}  # fmt: skip


def written(pieces: Piece | Sequence[Piece]) -> bytes:
    """A block a piece, the pieces in a row from left to right; a single one in its own frame."""
    chosen = (pieces,) if isinstance(pieces, Piece) else tuple(pieces)
    if not chosen:
        raise DraftingError("a DXF file of no pieces cannot be written")
    placed, reach = [], 0.0
    for piece in chosen:
        box = around(cutting_line(piece, TOLERANCE))
        still = len(chosen) == 1
        placed.append((piece, Motion() if still else Motion(0.0, reach - box.left, -box.bottom)))
        reach += box.width + GAP
    return written_lay(placed)


def written_lay(
    placed: Iterable[tuple[Piece, Motion]],
    lines: Iterable[Sequence[Point]] = (),
) -> bytes:
    """Pieces placed by motions, such as cloth_from_piece, and open lines such as selvages."""
    document = _document()
    for name, number in LAYERS.items():
        document.layers.add(number, color=_COLOURS[name])
    blocks: dict[Piece, str] = {}
    space = document.modelspace()
    points: list[Point] = []
    for piece, motion in placed:
        if piece not in blocks:
            blocks[piece] = _block_name(piece, set(blocks.values()))
            _fill(document.blocks.new(blocks[piece]), piece)
        space.add_blockref(
            blocks[piece],
            (motion.dx, motion.dy),
            {
                "layer": LAYERS["boundary"],
                "xscale": -1.0 if motion.mirrored else 1.0,
                "rotation": math.degrees(motion.angle),
            },
        )
        points += [motion(p) for p in cutting_line(piece, TOLERANCE)]
    for line in lines:
        _polyline(space, line, "internal")
        points += line
    return _bytes(document, points)


def drawing_dxf(drawing: Drawing) -> bytes:
    """Any drawing: a layer a layer, curves as lines within 0.02 mm, no fills, no clipping."""
    document = _document()
    space = document.modelspace()
    points: list[Point] = []
    for number, layer in enumerate(drawing.layers, 1):
        name = f"{number}_{_plain(layer.name)[:24]}"
        document.layers.add(name)
        for mark in layer.marks:
            if isinstance(mark, Words):
                _text(space, mark.text, mark.point, mark.size, name, mark.angle, mark.anchor)
                points.append(mark.point)
                continue
            if isinstance(mark, Curve):
                traced = flattened_chain(mark.segments, TOLERANCE)
            else:
                traced = mark.points
            space.add_polyline2d(coordinates(traced), close=mark.closed, dxfattribs={"layer": name})
            points += traced
    return _bytes(document, points)


def left_out(piece: Piece) -> tuple[str, ...]:
    """What of this piece the format cannot carry, one sentence each."""
    told = [
        f"curves are written as lines within {TOLERANCE} mm; this program alone reads the curves"
    ]
    if any(isinstance(mark, Label) for mark in piece.marks):
        told.append("labels of the worker's own are not written; name, size and cloth are")
    if piece.corners or any(piece.shrinkage):
        told.append(RULES_LEFT_OUT)
    words = (piece.name, piece.size, piece.cloth)
    if any(_ascii(word) != word for word in words):
        told.append("letters beyond ASCII are written by their plain letters in the texts")
    return tuple(told)


def _document() -> Document:
    document = ezdxf.new("R12")
    document.appids.add(APPLICATION)
    document.header["$MEASUREMENT"] = 1
    return document


def _fill(block: BlockLayout, piece: Piece) -> None:
    outline = cutting_line(piece, TOLERANCE)
    _beside(_polyline(block, outline, "boundary", close=True), piece_data(piece))
    for edge in piece.edges:
        drawn = _polyline(block, flattened_edge(edge, TOLERANCE), "sew line")
        _beside(drawn, (*edge_data(edge), *curve_data(edge.segments)))
    for notch, seam, cut in notch_lines(piece):
        aside = Point(0.0, 0.0)
        if notch.kind == "double" and seam != cut:
            aside = DOUBLE_NOTCH * (cut - seam).unit.left
        for shift in (aside, -aside) if notch.kind == "double" else (aside,):
            point = block.add_point(_pair(cut + shift), {"layer": LAYERS["notch"]})
            _beside(point, notch_data(notch))
            if seam != cut:
                _line(block, seam + shift, cut + shift, "notch")
    if piece.fold_edge is not None:
        fold = edge_named(piece, piece.fold_edge)
        _line(block, start_of(fold), end_of(fold), "mirror")
    grain = grain_of(piece)
    if grain is not None:
        _beside(_line(block, grain.start, grain.end, "grain"), (("grain", "up"),))
    for mark in piece.marks:
        if isinstance(mark, Drill):
            point = block.add_point(_pair(mark.point), {"layer": LAYERS["drill"]})
            _beside(point, (("drill", mark.name),))
        elif isinstance(mark, InnerLine):
            drawn = _polyline(block, flattened_chain(mark.segments, TOLERANCE), "internal")
            _beside(drawn, (("line", mark.name), *curve_data(mark.segments)))
    _annotate(block, piece, outline)


def _annotate(block: BlockLayout, piece: Piece, outline: Sequence[Point]) -> None:
    box = around(outline)
    pairs = piece.count // 2 if piece.paired else 0
    told = [f"Piece Name: {piece.name}"]
    told += [f"Size: {piece.size}"] if piece.size else []
    # Quantity as the standard has it: pieces as drawn, then mirrored ones.
    told.append(f"Quantity: {piece.count - pairs},{pairs}")
    told.append(f"Material: {piece.cloth}")
    for number, text in enumerate(told):
        place = Point((box.left + box.right) / 2, (box.bottom + box.top) / 2 - 12.0 * number)
        _text(block, text, place, 8.0, LAYERS["text"])


def _pair(point: Point) -> tuple[float, float]:
    return (point.x, point.y)


def _beside(entity: Any, data: Data) -> None:
    """Extended data: what no line can carry, "key=value" each; other programs pass it over."""
    entity.set_xdata(APPLICATION, [(1000, f"{key}={value}"[:250]) for key, value in data])


def _polyline(block: BlockLayout, points: Sequence[Point], layer: str, close: bool = False) -> Any:
    attributes = {"layer": LAYERS[layer]}
    return block.add_polyline2d(coordinates(points), close=close, dxfattribs=attributes)


def _line(block: BlockLayout, start: Point, end: Point, layer: str) -> Any:
    return block.add_line(_pair(start), _pair(end), {"layer": LAYERS[layer]})


def _text(
    block: BlockLayout,
    text: str,
    place: Point,
    size: float,
    layer: str,
    angle: float = 0.0,
    anchor: str = "start",
) -> None:
    where = {"layer": layer, "height": size, "rotation": math.degrees(angle)}
    entity = block.add_text(_ascii(text), dxfattribs=where)
    aligned = {"start": "LEFT", "middle": "CENTER", "end": "RIGHT"}[anchor]
    entity.set_placement(_pair(place), align=ezdxf.enums.TextEntityAlignment[aligned])


def _ascii(text: str) -> str:
    """The text in 7-bit letters on one line: accents dropped, what is left over as "?"."""
    plain = unicodedata.normalize("NFKD", text)
    plain = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return "".join(letter if " " <= letter <= "~" else "?" for letter in plain)


def _plain(text: str) -> str:
    """A name that release 12 allows: capitals, digits, hyphen and underscore."""
    letters = _ascii(text).upper()
    return "".join(x if x.isalnum() or x in "-_" else "_" for x in letters) or "UNNAMED"


def _block_name(piece: Piece, taken: set[str]) -> str:
    name = _plain(title_of(piece))[:27]  # 31 letters at most in release 12
    tries = [name, *(f"{name}_{k}" for k in range(2, 1000))]
    return next(each for each in tries if each not in taken)


def _bytes(document: Document, points: Sequence[Point]) -> bytes:
    box = around(points)
    document.header["$EXTMIN"] = (box.left, box.bottom, 0.0)
    document.header["$EXTMAX"] = (box.right, box.top, 0.0)
    target = io.StringIO()
    document.write(target)
    # Release 12 had no unit yet; readers skip header names they do not know.
    units = "  9\n$INSUNITS\n 70\n     4\n"
    head, mark, rest = target.getvalue().partition("HEADER\n")
    return (head + mark + units + rest).encode("ascii", errors="dxfreplace")
