"""Whether an XML file may be read at all: no entities, no endless nesting, no endless copies."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from xml.parsers import expat

from drafting.errors import DraftingError
from drafting.exchange.limits import MOST_POINTS

__all__ = ["guarded"]

DEEPEST = 200
LONGEST_ENTITY, MOST_ENTITIES, MOST_CALLS = 200, 50, 2_000
MOST_ELEMENTS = 100_000
LONGEST_DATA = 40 * MOST_POINTS
_NOT_A_NUMBER = re.compile(r"(?<![a-z])(nan|inf(inity)?)(?![a-z])", re.IGNORECASE)
_MEASURES = {"d", "points", "transform", "x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "rx",
             "ry", "width", "height", "viewBox"}  # fmt: skip
_SIZES = {"width", "height", "r", "rx", "ry"}


@dataclass(slots=True)
class _Element:
    """How much lies in an element: its own parts, and what it copies from elsewhere."""

    weight: int = 1
    copies: list[str] = field(default_factory=list)


@dataclass(slots=True)
class _Count:
    depth: int = 0
    entities: int = 0
    elements: int = 0
    data: int = 0
    root: str = ""
    attributes: dict[str, str] = field(default_factory=dict)
    named: dict[str, _Element] = field(default_factory=dict)
    open: list[_Element | None] = field(default_factory=list)
    whole: _Element = field(default_factory=_Element)


def guarded(content: bytes, wanted_root: str) -> dict[str, str]:
    """The outermost element's attributes, when the file is safe to read.

    Entities of the file's own are refused unless they are short texts that call no others, so
    that a small file cannot unfold into a large one; what is copied by reference is counted
    before it is copied. Nothing is fetched. Raises `DraftingError`, one line with the place.
    """
    count = _Count()
    parser = expat.ParserCreate()
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)

    def refuse(message: str) -> DraftingError:
        return DraftingError(
            f"line {parser.CurrentLineNumber}, column {parser.CurrentColumnNumber + 1}: {message}"
        )

    def entity(name: str, parameter: int, value: str | None, *_: object) -> None:
        """Short names for long addresses, as drawing programs write them, are harmless."""
        count.entities += 1
        short = value is not None and len(value) <= LONGEST_ENTITY and not set("&%<") & set(value)
        if parameter or not short or count.entities > MOST_ENTITIES:
            raise refuse(
                f"the file defines an entity of its own ({name!r:.40}); save it as plain SVG"
            )
        if content.count(b"&") > MOST_CALLS:
            raise refuse(f"its entities are called more than {MOST_CALLS} times")

    def begin(tag: str, attributes: dict[str, str]) -> None:
        _begin(count, tag.rpartition(":")[2], attributes, refuse, wanted_root)

    def finish(_: str) -> None:
        count.depth -= 1
        count.open.pop()

    parser.EntityDeclHandler = entity
    parser.StartElementHandler = begin
    parser.EndElementHandler = finish
    try:
        parser.Parse(content, True)
    except expat.ExpatError as error:
        raise DraftingError(
            f"line {error.lineno}, column {error.offset + 1}: not readable as XML: "
            f"{expat.ErrorString(error.code)}; was the file cut short?"
        ) from error
    except (LookupError, ValueError) as error:
        if isinstance(error, DraftingError):
            raise
        raise DraftingError(f"not readable as XML: {error}") from error
    if _unfolded(count.whole, count.named, {}, frozenset()) > MOST_ELEMENTS:
        raise DraftingError(
            f"its parts, copied as often as the file asks, are more than {MOST_ELEMENTS}"
        )
    return count.attributes


def _begin(
    count: _Count,
    tag: str,
    attributes: dict[str, str],
    refuse: Callable[[str], DraftingError],
    wanted_root: str,
) -> None:
    if not count.root:
        count.root, count.attributes = tag, attributes
        if tag != wanted_root:
            raise refuse(f"found <{tag:.40}>, wanted <{wanted_root}>")
    count.depth += 1
    count.elements += 1
    if count.depth > DEEPEST:
        raise refuse(f"nested deeper than {DEEPEST} levels")
    if count.elements > MOST_ELEMENTS:
        raise refuse(f"more than {MOST_ELEMENTS} elements; keep only the pieces wanted")
    for name, value in attributes.items():
        if name in _MEASURES:
            count.data += len(value)
            strange = _NOT_A_NUMBER.search(value)
            if strange is not None:
                raise refuse(f"{name}: found {strange.group()!r} where a number was wanted")
            if name in _SIZES and value.lstrip().startswith("-") and value.strip("-0. "):
                raise refuse(f"{name}: found {value!r:.40}, wanted a size that is not negative")
    if count.data > LONGEST_DATA:
        raise refuse(f"more than about {MOST_POINTS} points; keep only the pieces wanted")
    own = _Element()
    for holder in (count.whole, *count.open):
        if holder is not None:
            holder.weight += 1
    if tag == "use":
        target = next((v for k, v in attributes.items() if k.rpartition(":")[2] == "href"), "")
        for holder in (count.whole, own, *count.open):
            if holder is not None:
                holder.copies.append(target.lstrip("#"))
    name = attributes.get("id", "")
    if name:
        count.named.setdefault(name, own)
    count.open.append(own if name else None)


def _unfolded(
    element: _Element, named: dict[str, _Element], known: dict[int, int], above: frozenset[int]
) -> int:
    """How many elements there are once everything referred to is copied."""
    if id(element) in known:
        return known[id(element)]
    if len(above) > DEEPEST:
        raise DraftingError(f"copies of copies go deeper than {DEEPEST} levels")
    if id(element) in above:
        raise DraftingError("a part of the file is a copy of itself, which has no end")
    total = element.weight
    for target in element.copies:
        if target in named:
            total += _unfolded(named[target], named, known, above | {id(element)})
        if total > MOST_ELEMENTS:
            break
    known[id(element)] = total
    return total
