"""A drawing as SVG at true scale: width and height in mm, the viewBox in the same numbers.

SVG's y runs down, the drawing's up, so that every y changes its sign.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from drafting.curves import Cubic
from drafting.drawing import Box, Curve, Drawing, Layer, Mark, Pen, Words
from drafting.plane import Point

__all__ = ["svg_bytes"]

_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def svg_bytes(drawing: Drawing) -> bytes:
    """The drawing as an SVG file, UTF-8: one group a layer, curves as cubic curves.

    Names become ids (blanks as hyphens), `data` becomes data-... attributes.
    """
    box = drawing.box
    size = f"{_n(box.width)} {_n(box.height)}"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(box.width)}mm" '
        f'height="{_n(box.height)}mm" viewBox="{_n(box.left)} {_n(-box.top)} {size}" fill="none">'
    )
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        head,
        f"<title>{_text(drawing.title)}</title>",
    ]
    for number, layer in enumerate(drawing.layers, 1):
        lines += _layer(layer, number)
    return "\n".join([*lines, "</svg>", ""]).encode()


def _layer(layer: Layer, number: int) -> Iterable[str]:
    clip = ""
    if layer.clip is not None:
        yield f'<clipPath id="window-{number}"><path d="{_box(layer.clip)}"/></clipPath>'
        clip = f' clip-path="url(#window-{number})"'
    yield f"<g id={_identity(layer.name)}{clip}>"
    yield from (_mark(mark) for mark in layer.marks)
    yield "</g>"


def _mark(mark: Mark) -> str:
    if isinstance(mark, Words):
        return _words(mark)
    name = f" id={_identity(mark.name)}" if mark.name else ""
    data = "".join(f" data-{key}={quoteattr(_clean(value))}" for key, value in mark.data)
    path = _chain(mark) if isinstance(mark, Curve) else "M " + " L ".join(map(_at, mark.points))
    close = " Z" if mark.closed else ""
    fill = "" if mark.fill is None else f' fill="{mark.fill}"'
    return f'<path{name}{data}{_pen(mark.pen)}{fill} d="{path}{close}"/>'


def _pen(pen: Pen | None) -> str:
    if pen is None:
        return ""
    dash = f' stroke-dasharray="{" ".join(map(_n, pen.dash))}"' if pen.dash else ""
    return f' stroke="{pen.colour}" stroke-width="{_n(pen.width)}"{dash}'


def _chain(curve: Curve) -> str:
    parts = [f"M {_at(curve.segments[0].start)}"]
    for segment in curve.segments:
        if isinstance(segment, Cubic):
            controls = (segment.control_1, segment.control_2, segment.end)
            parts.append("C " + " ".join(map(_at, controls)))
        else:
            parts.append(f"L {_at(segment.end)}")
    return " ".join(parts)


def _words(words: Words) -> str:
    x, y = _n(words.point.x), _n(-words.point.y)
    turn = ""
    if words.angle:
        turn = f' transform="rotate({_n(-math.degrees(words.angle))} {x} {y})"'
    bold = ' font-weight="bold"' if words.bold else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{_n(words.size)}" font-family="sans-serif"{bold} '
        f'text-anchor="{words.anchor}" fill="{words.colour}"{turn}>{_text(words.text)}</text>'
    )


def _box(box: Box) -> str:
    left, top, right, bottom = _n(box.left), _n(-box.top), _n(box.right), _n(-box.bottom)
    return f"M {left},{top} H {right} V {bottom} H {left} Z"


def _clean(text: str) -> str:
    return _NOT_XML.sub("?", text)


def _text(text: str) -> str:
    return escape(_clean(text))


def _identity(name: str) -> str:
    return quoteattr(re.sub(r"\s+", "-", _clean(name).strip()) or "unnamed")


def _n(number: float) -> str:
    text = f"{number:.5f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _at(point: Point) -> str:
    return f"{_n(point.x)},{_n(-point.y)}"
