"""Strokes out of an SVG file at true scale, by svgelements.

The file's frame has y down; here y is up. Width and height with a unit (mm, cm, in, pt, pc) and
the viewBox state the scale. Where they do not, a unit is a pixel, 96 to the inch (CSS Values and
Units 3, section 6.2), and the linework says that it was not stated.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import shapely
import svgelements

from drafting.drawing import Data
from drafting.errors import DraftingError
from drafting.exchange.arcs import add_ellipse
from drafting.exchange.clipping import clip_area, clipped
from drafting.exchange.limits import check_points, check_size, one_line
from drafting.exchange.linework import Chain, Lettering, Linework, Stroke
from drafting.exchange.svg_plain import CLIP, LENGTH, PARTS_AN_INCH, plain_svg
from drafting.exchange.xml_guard import guarded
from drafting.plane import Point

__all__ = ["DOTS_AN_INCH", "svg_linework"]

DOTS_AN_INCH = 96.0
UNKNOWN = 100.0
"""Pixels a side is taken for, which only percentages without any page depend on."""
_LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
_TRUE_UNITS = {"mm": "millimetres", "cm": "centimetres", "in": "inches", "pt": "points",
               "pc": "picas", "q": "quarters of a millimetre"}  # fmt: skip


@dataclass(slots=True)
class _Found:
    scale: float
    origin_px: tuple[float, float] = (0.0, 0.0)
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Lettering] = field(default_factory=list)
    points: int = 0
    unseen: int = 0
    clips: list[list[Any]] = field(default_factory=list)


def svg_linework(content: bytes, dots_an_inch: float = DOTS_AN_INCH) -> Linework:
    """The strokes of an SVG file.

    Parameters
    ----------
    dots_an_inch
        What a pixel is where the file's size is in pixels or not stated; some drawing programs
        write 72 or 90.

    Curves stay cubic curves, quadratic ones are raised exactly, arcs follow within
    0.005 mm. Copies, symbols, inner pages and clips are followed. Elements that are hidden or have
    neither stroke nor fill are left out; masks, markers, text outlines and linked images are not
    followed. A layer is the nearest group with a label or an id.

    Raises
    ------
    DraftingError
        One line: the file is too large, no SVG, hostile, or holds no lines.
    """
    check_size(content)
    if content[:2] == b"\x1f\x8b":
        raise DraftingError("the file is compressed (svgz); save it as plain SVG")
    if not 10.0 <= dots_an_inch <= 10_000.0:
        raise DraftingError(f"{dots_an_inch:g} dots an inch is not from 10 to 10,000")
    root = guarded(content, "svg")
    for side in ("width", "height"):  # some programs write the size as a style
        styled = re.search(rf"(?:^|;)\s*{side}\s*:\s*([^;]+)", root.get("style", ""))
        if styled is not None and not root.get(side):
            root[side] = styled[1].strip()
    told, unit, stated = _unit(root, dots_an_inch)
    width, height = _sides(root, dots_an_inch)
    try:
        plain = plain_svg(content, width, height)
        page = svgelements.SVG.parse(
            io.BytesIO(plain.content), reify=True, ppi=dots_an_inch, width=width, height=height
        )
        found = _Found(25.4 / dots_an_inch, _origin(page))
        found.clips = [_clip_paths(clip) for clip in plain.clips]
        _walk(page, "", found)
        told += dict.fromkeys(plain.told)
    except DraftingError:
        raise
    except Exception as error:  # the parser raises whatever its own code trips over
        raise DraftingError(f"not readable as SVG: {one_line(error)}") from error
    if found.unseen:
        told.append(f"{found.unseen} shapes that cannot be seen were left out")
    return Linework(tuple(found.strokes), tuple(found.words), (), unit, stated, tuple(told))


def _unit(root: dict[str, str], dots: float) -> tuple[list[str], str, bool]:
    """What the file says about its size: what to tell, its unit, and whether that is stated."""
    units = []
    for name in ("width", "height"):
        text = root.get(name, "")
        match = LENGTH.fullmatch(text)
        if text and match is None:
            raise DraftingError(
                f"{name}: found {text!r:.40}, wanted a length in mm, cm, in, pt, pc or px"
            )
        if match is not None and float(match[1]) <= 0.0:
            raise DraftingError(f"{name}: found {text!r:.40}, wanted a length above 0")
        units.append((match[2] or "").lower() if match is not None else "")
    known = [_TRUE_UNITS[unit] for unit in units if unit in _TRUE_UNITS]
    if known:
        return [], known[0], True
    told = f"the file does not say how large it is; a pixel was taken as 1/{dots:g} inch"
    return [told], f"pixels, {dots:g} an inch", False


def _sides(root: dict[str, str], dots: float) -> tuple[float, float]:
    """The page in pixels.

    With one side given the other follows from the viewBox; with none a unit is a pixel.
    """
    width, height = (_pixels(root.get(name, ""), dots) for name in ("width", "height"))
    text = root.get("viewBox", "")
    if not text:
        return width or UNKNOWN, height or UNKNOWN
    try:
        _, _, wide, high = (float(part) for part in text.replace(",", " ").split())
    except ValueError:
        raise DraftingError(f"viewBox: found {text!r:.60}, wanted four numbers") from None
    if not (0.0 < wide < math.inf and 0.0 < high < math.inf):
        raise DraftingError(f"viewBox: found {text!r:.60}, wanted a width and a height above 0")
    if width is None and height is None:
        return wide, high
    if width is None and height is not None:
        return height * wide / high, height
    assert width is not None
    return width, width * high / wide if height is None else height


def _pixels(text: str, dots: float) -> float | None:
    match = LENGTH.fullmatch(text)
    if match is None or match[2] == "%":
        return None
    unit = (match[2] or "px").lower()
    return float(match[1]) * (1.0 if unit == "px" else dots / PARTS_AN_INCH[unit])


def _origin(page: Any) -> tuple[float, float]:
    """Where the file's own origin lies on the page, pixels: its view box may be elsewhere."""
    known = (each.values.get("viewport_transform") for each in page.elements())
    place = svgelements.Point(0, 0) * svgelements.Matrix(next(filter(None, known), ""))
    return (float(place.x), float(place.y))


def _at(found: _Found, x: float, y: float) -> Point:
    left, top = found.origin_px
    return Point((x - left) * found.scale, (top - y) * found.scale)


def _clip_paths(content: bytes) -> list[Any]:
    """The shapes of a clip in the frame of what it clips."""
    page = svgelements.SVG.parse(io.BytesIO(content), reify=True)
    return [abs(svgelements.Path(each)) for each in page.elements() if _is_shape(each)]


def _is_shape(element: Any) -> bool:
    return isinstance(element, svgelements.Shape) and not isinstance(element, svgelements.Text)


def _area(paths: list[Any], matrix: Any, found: _Found) -> shapely.Geometry:
    """A clip on the page, mm."""
    chains = (chain.segments for path in paths for chain, _ in _chains(abs(path * matrix), found))
    area = clip_area(chains)
    return shapely.Polygon() if area is None else area


def _walk(group: Any, layer: str, found: _Found, clips: tuple[shapely.Geometry, ...] = ()) -> None:
    for element in group:
        if isinstance(element, svgelements.Group):
            own = element.values.get("attributes", {})
            name = own.get(_LABEL) or own.get("id") or layer
            inner = clips
            if CLIP in own:
                matrix = svgelements.Matrix(element.values.get("transform") or "")
                inner = (*clips, _area(found.clips[int(own[CLIP])], matrix, found))
            _walk(element, str(name), found, inner)
        elif isinstance(element, svgelements.Text):
            _add_words(element, layer, found)
        elif isinstance(element, svgelements.Shape):
            _add_shape(element, layer, found, clips)


def _add_words(element: Any, layer: str, found: _Found) -> None:
    place = svgelements.Point(element.x, element.y) * element.transform
    text = " ".join(str(element.text or "").split())
    if text:
        point = _at(found, place.x, place.y)
        found.words.append(Lettering(point, text, layer))


def _add_shape(
    element: Any, layer: str, found: _Found, clips: tuple[shapely.Geometry, ...]
) -> None:
    colour = next(
        (
            paint.hexrgb.lower()
            for paint in (element.stroke, element.fill)
            if paint is not None and paint.value is not None
        ),
        "",
    )
    if not colour or element.values.get("visibility") in ("hidden", "collapse"):
        found.unseen += 1
        return
    own = element.values.get("attributes", {})
    data: Data = tuple((k[5:], str(v)) for k, v in own.items() if k.startswith("data-"))
    for chain, closed in _chains(abs(svgelements.Path(element)), found):
        if chain.segments:
            segments = tuple(chain.segments)
            name = str(element.id or "")
            found.strokes += clipped(Stroke(segments, closed, layer, colour, name, data), clips)


def _chains(path: Any, found: _Found) -> Iterator[tuple[Chain, bool]]:
    """The chains of a path, one for each of its subpaths, and whether each is closed."""
    chain, closed = Chain(), False

    def at(point: Any) -> Point:
        return _at(found, point.x, point.y)

    for part in path:
        found.points += 1
        check_points(found.points)
        match part:
            case svgelements.Move():
                yield chain, closed
                chain, closed = Chain(), False
            case svgelements.Close():
                if part.start is not None and part.end is not None:
                    chain.line(at(part.start), at(part.end))
                closed = True
            case svgelements.Line():
                chain.line(at(part.start), at(part.end))
            case svgelements.CubicBezier():
                chain.cubic(at(part.start), at(part.control1), at(part.control2), at(part.end))
            case svgelements.QuadraticBezier():
                chain.quadratic(at(part.start), at(part.control), at(part.end))
            case svgelements.Arc():
                _add_arc(chain, part, at)
    yield chain, closed


def _add_arc(chain: Chain, arc: Any, at: Callable[[Any], Point]) -> None:
    """An arc by its two half axes, and its ends exactly where the file has them."""
    if arc.rx == 0.0 or arc.ry == 0.0:
        chain.line(at(arc.start), at(arc.end))
        return
    centre = at(arc.center)
    # The library's own angles count from the major axis towards a minor one a quarter turn on,
    # which in a mirrored arc is not where `pry` lies.
    turn = float(arc.get_rotation())
    cos, sin = math.cos(turn), math.sin(turn)
    x, y = float(arc.center.x), float(arc.center.y)
    major = at(svgelements.Point(x + arc.rx * cos, y + arc.rx * sin)) - centre
    minor = at(svgelements.Point(x - arc.ry * sin, y + arc.ry * cos)) - centre
    before = len(chain.segments)
    add_ellipse(chain, centre, major, minor, arc.get_start_t(), arc.sweep)
    if len(chain.segments) > before:
        chain.segments[before] = replace(chain.segments[before], start=at(arc.start))
        chain.segments[-1] = replace(chain.segments[-1], end=at(arc.end))
