"""An SVG file made plain before its strokes are read: copies made, inner pages, lengths and clips
resolved, so that nothing is left but groups, shapes and words in numbers of their own units.

After SVG 2 (W3C): symbols and inner pages bring their view box (section 8), percentages are of
the nearest view box (8.9), and a clip lies in the frame of what it clips.
"""

from __future__ import annotations

import copy
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.etree import ElementTree

from drafting.errors import DraftingError

__all__ = ["CLIP", "LENGTH", "PARTS_AN_INCH", "PlainSvg", "plain_svg"]

DEEPEST = 40
CLIP = "shearlight-clip"
"""The attribute that says which of the clips a group is cut to."""
_SPACE = "{http://www.w3.org/2000/svg}"
_LINK = "{http://www.w3.org/1999/xlink}href"
LENGTH = re.compile(
    r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?)\s*(mm|cm|in|pt|pc|px|q|%)?\s*", re.I
)
PARTS_AN_INCH = {"mm": 25.4, "cm": 2.54, "in": 1.0, "pt": 72.0, "pc": 6.0, "px": 96.0, "q": 101.6}
_ACROSS, _DOWN = ("x", "width", "cx", "x1", "x2", "rx"), ("y", "height", "cy", "y1", "y2", "ry")
_UNSEEN = {"symbol", "marker", "pattern", "mask", "linearGradient", "radialGradient", "filter",
           "metadata", "namedview", "clipPath", "foreignObject", "script", "image",
           "animate", "title", "desc"}  # fmt: skip
_CLIP_OF = re.compile(r"clip-path\s*:\s*url\(\s*[\"']?#([^\"')]+)")
_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")

Element = ElementTree.Element


@dataclass(slots=True)
class PlainSvg:
    """The plain file, and the clips that its groups name by number, as files of their own."""

    content: bytes = b""
    clips: list[bytes] = field(default_factory=list)
    told: list[str] = field(default_factory=list)


@dataclass(slots=True)
class _Making:
    known: dict[str, Element]
    clip_classes: dict[str, str]
    out: PlainSvg
    numbers: dict[str, int] = field(default_factory=dict)


def plain_svg(content: bytes, width: float, height: float) -> PlainSvg:
    """The file made plain, its page `width` x `height` pixels.

    The file must have been guarded: copies are counted there. Raises `DraftingError` when copies
    hold themselves.
    """
    root = ElementTree.fromstring(content)
    for each in root.iter():  # a file without the name space is no SVG by rule, yet plain enough
        if isinstance(each.tag, str) and not each.tag.startswith("{"):
            each.tag = _SPACE + each.tag
    known = {each.get("id", ""): each for each in root.iter() if each.get("id")}
    making = _Making(known, dict(_clip_classes(root)), PlainSvg())
    shown = _tagged(root, "svg")
    box = _numbers(root.get("viewBox", ""))
    view = (box[2], box[3]) if box is not None else (width, height)
    shown.attrib |= {"width": repr(width), "height": repr(height)}
    shown.extend(list(_children(root, making, view, ())))
    making.out.content = ElementTree.tostring(shown)
    return making.out


def _name(element: Element) -> str:
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def _tagged(element: Element, name: str) -> Element:
    made = ElementTree.Element(_SPACE + name, dict(element.attrib))
    made.text, made.tail = element.text, element.tail
    return made


def _clip_classes(root: Element) -> Iterator[tuple[str, str]]:
    """Which classes a style sheet cuts to which clip."""
    for sheet in root.iter(_SPACE + "style"):
        for names, body in _RULE.findall(sheet.text or ""):
            clip = _CLIP_OF.search(body)
            if clip is not None:
                for name in names.split(","):
                    yield name.strip().lstrip("."), clip[1]


def _children(
    element: Element, making: _Making, view: tuple[float, float], above: tuple[str, ...]
) -> Iterator[Element]:
    for child in element:
        name = _name(child)
        if not name or name in _UNSEEN or not child.tag.startswith(_SPACE):
            continue
        if name == "style":
            yield copy.deepcopy(child)
        elif name == "defs":  # nothing in it is seen, but style sheets may stand there
            yield from (copy.deepcopy(each) for each in child.iter(_SPACE + "style"))
        else:
            yield _made(child, name, making, view, above)


def _made(
    element: Element, name: str, making: _Making, view: tuple[float, float], above: tuple[str, ...]
) -> Element:
    if name == "use":
        made = _copied(element, making, view, above)
    elif name == "svg":
        made = _page(element, element, making, view, above)
    elif name in ("g", "a", "switch"):
        made = _tagged(element, "g")
        made.extend(list(_children(element, making, view, above)))
    else:
        made = copy.deepcopy(element)
        _resolve(made, view)
    return _clipped(element, made, making, view, above)


def _copied(
    use: Element, making: _Making, view: tuple[float, float], above: tuple[str, ...]
) -> Element:
    """What is referred to, in a group of its own moved to its place."""
    _resolve(use, view)
    link = (use.get("href") or use.get(_LINK) or "").lstrip("#")
    made = _tagged(use, "g")
    for gone in ("x", "y", "width", "height", "href", _LINK):
        made.attrib.pop(gone, None)
    place = f"translate({use.get('x', '0')},{use.get('y', '0')})"
    made.set("transform", f"{use.get('transform', '')} {place}".strip())
    target = making.known.get(link)
    if target is None:
        return made
    if link in above:
        raise DraftingError("a part of the file is a copy of itself, which has no end")
    inside = (*above, link)
    if len(inside) > DEEPEST:
        raise DraftingError(f"copies of copies go deeper than {DEEPEST} levels")
    name = _name(target)
    if name in ("symbol", "svg"):
        made.append(_page(target, use, making, view, inside))
    elif name not in _UNSEEN:
        made.append(_made(target, name, making, view, inside))
    return made


def _page(
    page: Element,
    sized: Element,
    making: _Making,
    view: tuple[float, float],
    above: tuple[str, ...],
) -> Element:
    """A symbol or an inner page as a group: its view box fitted into the size it is given."""
    own = dict(sized.attrib)
    place = Element(_SPACE + "g", {k: own[k] for k in ("x", "y", "width", "height") if k in own})
    if sized is not page:
        place.attrib.pop("x", None)
        place.attrib.pop("y", None)
        for side in ("width", "height"):
            place.attrib.setdefault(side, page.get(side, "100%"))
    _resolve(place, view)
    x, y = float(place.get("x", 0)), float(place.get("y", 0))
    wide, high = float(place.get("width", view[0])), float(place.get("height", view[1]))
    made = _tagged(page, "g")
    for gone in ("x", "y", "width", "height", "viewBox", "preserveAspectRatio", "clip-path"):
        made.attrib.pop(gone, None)
    box = _numbers(page.get("viewBox", ""))
    moved = f"translate({x:.12g},{y:.12g})"
    inner = (wide, high)
    if box is not None and min(box[2:]) > 0.0:
        inner = (box[2], box[3])
        moved += _fitting(box, wide, high, page.get("preserveAspectRatio", ""))
    made.set("transform", f"{page.get('transform', '')} {moved}".strip())
    made.extend(list(_children(page, making, inner, above)))
    return made


def _fitting(box: tuple[float, ...], wide: float, high: float, rule: str) -> str:
    across, down = wide / box[2], high / box[3]
    words = rule.split()
    align = next((word for word in words if word != "defer"), "xMidYMid")
    if align != "none":
        across = down = max(across, down) if "slice" in words else min(across, down)
        parts = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
        x = parts.get(align[1:4], 0.5) * (wide - across * box[2])
        y = parts.get(align[5:8], 0.5) * (high - down * box[3])
    else:
        x = y = 0.0
    return (
        f" translate({x:.12g},{y:.12g}) scale({across:.12g},{down:.12g}) "
        f"translate({-box[0]:.12g},{-box[1]:.12g})"
    )


def _resolve(element: Element, view: tuple[float, float]) -> None:
    """Lengths with units and percentages as plain numbers of user units."""
    middle = math.hypot(*view) / math.sqrt(2.0)
    for names, whole in ((_ACROSS, view[0]), (_DOWN, view[1]), (("r",), middle)):
        for name in names:
            match = LENGTH.fullmatch(element.get(name, ""))
            if match is None or not match[2]:
                continue
            unit = match[2].lower()
            value = float(match[1])
            value *= whole / 100.0 if unit == "%" else 96.0 / PARTS_AN_INCH[unit]
            element.set(name, f"{value:.12g}")


def _numbers(text: str) -> tuple[float, ...] | None:
    try:
        found = tuple(float(part) for part in text.replace(",", " ").split())
    except ValueError:
        return None
    return found if len(found) == 4 else None


def _clipped(
    element: Element,
    made: Element,
    making: _Making,
    view: tuple[float, float],
    above: tuple[str, ...],
) -> Element:
    """The element in a group that says what it is cut to, inside its own transform."""
    names = [making.clip_classes.get(each) for each in (element.get("class") or "").split()]
    own = re.search(r"#([^\"')]+)", element.get("clip-path", ""))
    styled = _CLIP_OF.search(element.get("style", ""))
    link = own[1] if own else styled[1] if styled else next(filter(None, names), None)
    clip = making.known.get(link) if link else None
    if clip is None or _name(clip) != "clipPath":
        return made
    if clip.get("clipPathUnits") == "objectBoundingBox":
        making.out.told.append("a clip in parts of what it clips was not followed")
        return made
    assert link is not None
    if link not in making.numbers:
        making.numbers[link] = len(making.out.clips)
        making.out.clips.append(b"")
        shape = ElementTree.Element(_SPACE + "svg")
        inner = ElementTree.SubElement(
            shape, _SPACE + "g", {"transform": clip.get("transform", ""), "fill": "black"}
        )
        if len(above) > DEEPEST:
            raise DraftingError(f"clips inside clips go deeper than {DEEPEST} levels")
        inner.extend(list(_children(clip, making, view, (*above, link))))
        making.out.clips[making.numbers[link]] = ElementTree.tostring(shape)
    frame = ElementTree.Element(_SPACE + "g", {"transform": made.get("transform", "")})
    made.attrib.pop("transform", None)
    cut = ElementTree.SubElement(frame, _SPACE + "g", {CLIP: str(making.numbers[link])})
    cut.append(made)
    return frame
