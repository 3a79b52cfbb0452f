"""Strokes out of a DXF file at true scale, by ezdxf.

The scale comes from `$INSUNITS`; a file without it is taken by `$MEASUREMENT` or by a text
"Units: METRIC" or "Units: ENGLISH" (as ASTM D6673 has it, from memory), and the linework says
that it was not stated. What a block holds comes once for every insert of it, moved, turned,
scaled and mirrored.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import ezdxf
from ezdxf import colors as dxf_colours
from ezdxf import path as dxf_path
from ezdxf import recover
from ezdxf.document import Drawing as Document
from ezdxf.lldxf.encoding import decode_dxf_unicode
from ezdxf.lldxf.tagger import binary_tags_loader

from drafting.drawing import Data
from drafting.errors import DraftingError
from drafting.exchange.arcs import steps_of_arc
from drafting.exchange.carried_curves import with_carried_curves
from drafting.exchange.dxf import APPLICATION
from drafting.exchange.dxf_guard import BINARY_DXF, guarded_blocks, guarded_text
from drafting.exchange.limits import check_points, one_line
from drafting.exchange.linework import Chain, Lettering, Linework, Spot, Stroke
from drafting.exchange.splines import add_spline
from drafting.plane import Point

__all__ = ["UNITS", "dxf_linework"]

UNITS = {
    1: ("inches", 25.4), 2: ("feet", 304.8), 4: ("millimetres", 1.0), 5: ("centimetres", 10.0),
    6: ("metres", 1000.0), 8: ("microinches", 25.4e-6), 9: ("mils", 0.0254),
    10: ("yards", 914.4), 13: ("micrometres", 0.001), 14: ("decimetres", 100.0),
    21: ("US survey feet", 304.8006096012192), 22: ("US survey inches", 25.4000508001016),
}  # fmt: skip
"""`$INSUNITS` of the DXF reference, and mm in one of them."""

_DRAWN = {"LINE", "ARC", "CIRCLE", "ELLIPSE", "LWPOLYLINE", "POLYLINE", "SPLINE"}
_SILENT = {"ATTDEF", "VIEWPORT", "DIMENSION", "SEQEND"}
_UNITS_TEXT = re.compile(r"\s*units?\s*:\s*(metric|english)", re.IGNORECASE)


@dataclass(slots=True)
class _Found:
    unit: float
    document: Any
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Lettering] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)
    points: int = 0
    inserts: dict[str, int] = field(default_factory=dict)
    passed: dict[str, int] = field(default_factory=dict)


def dxf_linework(content: bytes, unit: float | None = None) -> Linework:
    """The strokes of a DXF file.

    Parameters
    ----------
    unit
        Millimetres in one unit of the file, when somebody says so; it overrules the file.

    Arcs, bulges and ellipses become cubic curves within 0.005 mm, splines without weights
    exactly, others within 0.005 mm. Layers that are switched off or frozen are left out.
    Dimensions, hatches, solids and three-dimensional bodies are not read; heights are dropped.

    Raises
    ------
    DraftingError
        One line: the file is too large, no DXF, hostile, or holds no lines.
    """
    guarded_text(content)
    document = _document(content)
    guarded_blocks(document)
    name, millimetres, stated, told = _unit(document, b"$INSUNITS" in content)
    if unit is not None:
        name, millimetres, stated, told = f"{unit:g} mm, as told", unit, True, []
    found = _Found(millimetres, document)
    try:
        for entity, data in _seen(document):
            _add(entity, data, "0", found)
    except DraftingError:
        raise
    except Exception as error:  # the parser raises whatever its own code trips over
        raise DraftingError(f"not readable as DXF: {one_line(error)}") from error
    for kind, times in sorted(found.passed.items()):
        told.append(f"{times} of {kind} were left out")
    return Linework(
        tuple(found.strokes), tuple(found.words), tuple(found.spots), name, stated, tuple(told)
    )


def _document(content: bytes) -> Any:
    try:
        if content.startswith(BINARY_DXF):
            return Document.load(binary_tags_loader(content, errors="surrogateescape"))
        content = content.removeprefix(b"\xef\xbb\xbf")
        info = ezdxf.filemanagement.dxf_stream_info(
            io.StringIO(content[:200_000].decode("latin-1"), newline=None)
        )
        encoding = info.encoding if b"\x00" not in content[:1000] else "utf-16"
        # Line ends of any system: most files of this kind come from Windows.
        text = content.decode(encoding, errors="surrogateescape")
        return ezdxf.read(io.StringIO(text, newline=None))
    except Exception:  # whatever trips the strict reader may still pass the patient one
        try:
            return recover.read(io.BytesIO(content))[0]
        except Exception as error:
            raise DraftingError(
                f"not readable as DXF ({one_line(error)}); was the file cut short?"
            ) from error


def _unit(document: Any, named: bool) -> tuple[str, float, bool, list[str]]:
    # The library puts a unit of its own into a header that has none.
    code = int(document.header.get("$INSUNITS", 0) or 0) if named else 0
    if code in UNITS:
        return (*UNITS[code], True, [])
    for entity in document.modelspace().query("TEXT"):
        match = _UNITS_TEXT.match(str(entity.dxf.text))
        if match is not None:
            metric = match[1].lower() == "metric"
            return (*UNITS[4 if metric else 1], True, [])
    metric = int(document.header.get("$MEASUREMENT", 1) or 0) == 1
    name, millimetres = UNITS[4 if metric else 1]
    return name, millimetres, False, [f"the file does not say its unit; {name} were assumed"]


def _seen(document: Any) -> Iterator[tuple[Any, Data]]:
    """What is drawn; blocks by themselves where nothing else is, as some programs write pieces."""
    drawn = list(document.modelspace())
    if any(entity.dxftype() in _DRAWN | {"INSERT"} for entity in drawn):
        yield from ((entity, ()) for entity in drawn)
        return
    for block in document.blocks:
        if not block.name.startswith("*"):
            yield from ((entity, (("block", str(block.name)),)) for entity in block)


def _add(entity: Any, data: Data, layer: str, found: _Found) -> None:
    kind = entity.dxftype()
    own_layer = str(entity.dxf.get("layer", "0"))
    layer = layer if own_layer == "0" and data else own_layer
    if layer in found.document.layers:
        table = found.document.layers.get(layer)
        if table.is_off() or table.is_frozen():
            found.passed[f"layer {layer}, switched off"] = (
                found.passed.get(f"layer {layer}, switched off", 0) + 1
            )
            return
    told = _told(entity)
    if kind == "INSERT":
        _add_insert(entity, data, layer, found)
    elif kind in _DRAWN:
        _add_stroke(entity, (*data, *told), layer, found)
    elif kind == "POINT":
        place = entity.dxf.location
        point = Point(found.unit * place.x, found.unit * place.y)
        found.spots.append(Spot(point, layer, (*data, *told)))
    elif kind in ("TEXT", "MTEXT", "ATTRIB"):
        place = entity.dxf.insert
        text = entity.plain_text() if kind == "MTEXT" else str(entity.dxf.text)
        if text.strip():
            point = Point(found.unit * place.x, found.unit * place.y)
            found.words.append(Lettering(point, text.strip(), layer, (*data, *told)))
    elif kind not in _SILENT:
        found.passed[kind] = found.passed.get(kind, 0) + 1


def _add_insert(insert: Any, data: Data, layer: str, found: _Found) -> None:
    copies = insert.multi_insert() if insert.mcount > 1 else (insert,)
    for copy in copies:
        name = str(copy.dxf.name)
        if data:
            inner = data
        else:
            found.inserts[name] = times = found.inserts.get(name, 0) + 1
            inner = (("block", name if times == 1 else f"{name} {times}"),)
        for entity in copy.virtual_entities():
            _add(entity, inner, layer, found)
        for attribute in copy.attribs:
            _add(attribute, inner, layer, found)


def _add_stroke(entity: Any, data: Data, layer: str, found: _Found) -> None:
    chain, kind = Chain(), entity.dxftype()
    if kind == "POLYLINE" and not (entity.is_2d_polyline or entity.is_3d_polyline):
        found.passed["mesh"] = found.passed.get("mesh", 0) + 1
        return
    if kind == "SPLINE":
        add_spline(chain, entity.construction_tool(), found.unit)
    else:
        _add_path(chain, dxf_path.make_path(entity, segments=_steps(entity, found.unit)), found)
    found.points += len(chain.segments)
    check_points(found.points)
    if chain.segments:
        first, last = chain.segments[0].start, chain.segments[-1].end
        closed = abs(last - first) < 1e-6
        if closed and last != first:
            chain.segments[-1] = replace(chain.segments[-1], end=first)
        colour = _colour(entity, layer, found.document)
        stroke = Stroke(tuple(chain.segments), closed, layer, colour, "", data)
        found.strokes.append(with_carried_curves(stroke))


def _steps(entity: Any, unit: float) -> int:
    """How many cubic curves an arc of the entity takes; enough for the widest of its bulges."""
    match entity.dxftype():
        case "ARC" | "CIRCLE":
            return steps_of_arc(unit * abs(entity.dxf.radius), 6.3)
        case "ELLIPSE":
            return steps_of_arc(unit * entity.dxf.major_axis.magnitude, 6.3)
        case "LWPOLYLINE":
            corners = [(x, y, b) for x, y, b in entity.get_points("xyb")]
        case "POLYLINE":
            corners = [
                (v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0))
                for v in entity.vertices
            ]
        case _:
            return 1
    steps = 1
    for (x, y, bulge), (p, q, _) in zip(corners, (*corners[1:], *corners[:1]), strict=True):
        if bulge:
            chord = unit * ((p - x) ** 2 + (q - y) ** 2) ** 0.5
            radius = chord * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
            steps = max(steps, steps_of_arc(radius, 4.0 * math.atan(abs(bulge))))
    return 3 * steps  # make_path divides by three for bulges


def _add_path(chain: Chain, path: Any, found: _Found) -> None:
    def at(place: Any) -> Point:
        return Point(found.unit * place.x, found.unit * place.y)

    here = at(path.start)
    for command in path.commands():
        end = at(command.end)
        if command.type == dxf_path.Command.CURVE4_TO:
            chain.cubic(here, at(command.ctrl1), at(command.ctrl2), end)
        elif command.type == dxf_path.Command.CURVE3_TO:
            chain.quadratic(here, at(command.ctrl), end)
        else:
            chain.line(here, end)
        here = chain.segments[-1].end if chain.segments else end


def _colour(entity: Any, layer: str, document: Any) -> str:
    rgb = entity.rgb
    if rgb is None:
        index = entity.dxf.get("color", 256)
        if index in (0, 256) and layer in document.layers:
            table = document.layers.get(layer)
            rgb, index = table.rgb, abs(table.dxf.get("color", 7))
        if rgb is None:
            index = index if 1 <= index <= 255 else 7
            # Colour 7 is drawn black on white paper and white on a black screen.
            rgb = (0, 0, 0) if index == 7 else dxf_colours.aci2rgb(index)
    return "#{:02x}{:02x}{:02x}".format(*rgb)


def _told(entity: Any) -> Data:
    """The pairs that were written beside an entity as extended data, "key=value" each."""
    if not entity.has_xdata(APPLICATION):
        return ()
    texts = [
        decode_dxf_unicode(str(tag.value))
        for tag in entity.get_xdata(APPLICATION)
        if tag.code == 1000
    ]
    pairs = (text.partition("=") for text in texts)
    return tuple((key, value) for key, mark, value in pairs if mark)
