"""A piece, several pieces side by side, or the sizes of one piece nested, as a drawing.

Layers, lowest first: cutting line, seam line, notches, grain, inner lines, words. The names of
the strokes and their data carry what the plain line cannot, for formats that keep them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from drafting.allowance import cut_run, notch_strokes
from drafting.curves import Line
from drafting.drawing import (
    INK,
    Box,
    Curve,
    Data,
    Drawing,
    Layer,
    Mark,
    Pen,
    Polyline,
    Words,
    around,
    box_of_boxes,
    grown,
    moved_mark,
)
from drafting.edge import Edge, end_of, start_of
from drafting.errors import DraftingError
from drafting.label_place import clear_area, roomiest
from drafting.labels import LETTER, LINE, block_size, cut_count
from drafting.marks import Drill, Grain, InnerLine, Label, Notch, grain_heads
from drafting.piece import Piece, edge_named, grain_of, title_of
from drafting.plane import Motion, Point, midpoint

__all__ = [
    "FOLD_WORDS",
    "LAYERS",
    "RULES_LEFT_OUT",
    "edge_data",
    "nested_drawing",
    "notch_data",
    "piece_data",
    "piece_drawing",
    "piece_layers",
    "pieces_drawing",
]

RULES_LEFT_OUT = "rules of corners and shrinkage are not written; the cutting line shows them"
"""What is told of a file that cannot carry them."""

LAYERS = ("cutting line", "seam line", "notches", "grain", "inner lines", "words")
TOLERANCE = 0.02
MARGIN = 10.0
FOLD_WORDS = "place on the fold"

CUTTING = Pen(0.7)
SEAM = Pen(0.35, INK, (5.0, 2.0))
FOLD = Pen(0.5, "#8a4b08", (12.0, 3.0, 2.0, 3.0))
BENT = Pen(0.4, FOLD.colour)
BRACKET = 14.0
NOTCH = Pen(0.6)
GRAIN = Pen(0.5, "#4a6670")
INNER = Pen(0.35, "#4a6670", (2.0, 2.0))
SIZES = ("#1b2a33", "#b3461e", "#1f6f8b", "#6a3d8f", "#4b7a2b", "#a3762a", "#8c2f5f", "#3a4fa3")
DASHES: tuple[tuple[float, ...], ...] = ((), (8.0, 2.0), (4.0, 2.0), (8.0, 2.0, 1.5, 2.0))


def piece_drawing(piece: Piece) -> Drawing:
    """The piece with a margin of 10 mm round its cutting line, which is flattened to 0.02 mm."""
    return pieces_drawing((piece,))


def pieces_drawing(pieces: Sequence[Piece], gap: float = 30.0, title: str = "") -> Drawing:
    """Pieces in a row from left to right, `gap` mm apart; a single one keeps its own frame."""
    if not pieces:
        raise DraftingError("a drawing of no pieces cannot be made")
    marks: dict[str, list[Mark]] = {name: [] for name in LAYERS}
    boxes, reach = [], 0.0
    for piece in pieces:
        layers = piece_layers(piece)
        box = around(point for mark in layers[0].marks for point in _points(mark))
        shift = Motion() if len(pieces) == 1 else Motion(0.0, reach - box.left, -box.bottom)
        boxes.append(around((shift(box.low), shift(box.high))))
        reach += box.width + gap
        for layer in layers:
            marks[layer.name] += [moved_mark(mark, shift) for mark in layer.marks]
    whole = box_of_boxes(boxes)
    layers = tuple(Layer(name, tuple(kept)) for name, kept in marks.items() if kept)
    return Drawing(grown(whole, MARGIN), layers, title or ", ".join(map(title_of, pieces)))


def nested_drawing(pieces: Sequence[Piece]) -> Drawing:
    """One piece in several sizes on top of each other, in their common frame.

    A size has its own colour and dash, named in a key above the nest; its seam line is fine and
    pale, so that the cutting lines are read first.
    """
    if not pieces:
        raise DraftingError("a nest of no pieces cannot be drawn")
    layers: list[Layer] = []
    for number, piece in enumerate(pieces):
        pen = Pen(0.5, SIZES[number % len(SIZES)], DASHES[number % len(DASHES)])
        fine = Pen(0.2, _paler(pen.colour))
        name = piece.size or piece.name
        marks: list[Mark] = [_open_cutting_line(piece, pen)]
        marks += [
            Curve(e.segments, FOLD if e.role == "fold" else fine, name=f"{name} {e.name}")
            for e in piece.edges
        ]
        marks += _notches(piece, Pen(0.4, pen.colour))
        layers.append(Layer(name, tuple(marks)))
    box = around(p for layer in layers for p in _points(layer.marks[0]))
    keys: list[Mark] = []
    head = Point(box.left, box.top + 14.0 + 7.0 * len(layers))
    keys.append(
        Words(
            head,
            f"{pieces[0].name}, {len(pieces)} size{'' if len(pieces) == 1 else 's'}",
            LETTER,
            bold=True,
        )
    )
    for number, layer in enumerate(layers):
        y = box.top + 8.0 + 7.0 * (len(layers) - 1 - number)
        first = layer.marks[0]
        assert isinstance(first, Polyline) and first.pen is not None
        keys.append(Polyline((Point(box.left, y), Point(box.left + 30.0, y)), first.pen))
        keys.append(
            Words(Point(box.left + 34.0, y - 1.8), layer.name, 5.0, colour=first.pen.colour)
        )
    grain = grain_of(pieces[0])
    if grain is not None:
        keys += _arrow(grain)
    layers.append(Layer("words", tuple(keys)))
    page = grown(box, MARGIN)
    page = Box(page.left, page.bottom, page.right, page.top + 7.0 * len(pieces) + 14.0)
    return Drawing(page, tuple(layers), f"{pieces[0].name}, nested sizes")


def piece_layers(piece: Piece) -> tuple[Layer, ...]:
    """The layers of one piece in its own frame, every name of `LAYERS` present."""
    words: list[Mark] = []
    inner: list[Mark] = []
    for mark in piece.marks:
        if isinstance(mark, InnerLine):
            inner.append(
                Curve(mark.segments, INNER, name=f"line {mark.name}", data=(("line", mark.name),))
            )
        elif isinstance(mark, Drill):
            inner += _cross(mark)
    label = next((mark for mark in piece.marks if isinstance(mark, Label)), None)
    words += _words(label or _usual_label(piece))
    seams: list[Mark] = []
    for edge in piece.edges:
        seams.append(_edge(edge))
        if edge.role == "fold":
            words += _fold_words(edge)
    grain = grain_of(piece)
    parts: dict[str, Iterable[Mark]] = {
        "cutting line": _cut_and_fold(piece),
        "seam line": seams,
        "notches": _notches(piece, NOTCH),
        "grain": () if grain is None else _arrow(grain),
        "inner lines": inner,
        "words": words,
    }
    return tuple(Layer(name, tuple(parts[name])) for name in LAYERS)


def _points(mark: Mark) -> tuple[Point, ...]:
    return mark.points if isinstance(mark, Polyline) else ()


def _paler(colour: str) -> str:
    """Halfway to white and a little."""
    parts = (int(colour[place : place + 2], 16) for place in (1, 3, 5))
    return "#" + "".join(f"{round(255 - 0.45 * (255 - part)):02x}" for part in parts)


def piece_data(piece: Piece) -> Data:
    """What the cutting line carries for machines: name, count, cloth and what is not usual."""
    data: Data = (("piece", piece.name), ("count", str(piece.count)), ("cloth", piece.cloth))
    if piece.size:
        data = (*data, ("size", piece.size))
    if piece.paired:
        data = (*data, ("paired", "yes"))
    if piece.turns_freely:
        data = (*data, ("turns-freely", "yes"))
    return data


def edge_data(edge: Edge) -> Data:
    """What a seam line carries for machines."""
    return (("edge", edge.name), ("role", edge.role), ("allowance", f"{edge.allowance:.6g}"))


def notch_data(notch: Notch) -> Data:
    """What a notch carries for machines."""
    data: Data = (("edge", notch.edge), ("along", f"{notch.along:.4f}"), ("kind", notch.kind))
    return (*data, ("notch", notch.name)) if notch.name else data


def _cut_and_fold(piece: Piece) -> Iterable[Mark]:
    """The cutting line, open where the piece lies on the fold, and the fold up to its ends."""
    cut = _open_cutting_line(piece, CUTTING)
    if cut.closed or piece.fold_edge is None:
        return (cut,)
    fold = edge_named(piece, piece.fold_edge)
    ends = ((cut.points[-1], start_of(fold)), (end_of(fold), cut.points[0]))
    return (
        cut,
        *(Polyline(pair, FOLD, name="fold") for pair in ends if abs(pair[1] - pair[0]) > 1e-6),
    )


def _open_cutting_line(piece: Piece, pen: Pen) -> Polyline:
    """The cutting line without what lies on the fold, which is never cut."""
    points, closed = cut_run(piece, TOLERANCE)
    return Polyline(points, pen, closed=closed, name="cutting line", data=piece_data(piece))


def _edge(edge: Edge) -> Curve:
    pen = FOLD if edge.role == "fold" else SEAM
    return Curve(edge.segments, pen, name=f"edge {edge.name}", data=edge_data(edge))


def _notches(piece: Piece, pen: Pen) -> list[Mark]:
    return [
        Polyline((inner, outer), pen, name=f"notch {number}", data=notch_data(notch))
        for number, (notch, inner, outer) in enumerate(notch_strokes(piece), 1)
    ]


def _cross(drill: Drill) -> list[Mark]:
    x, y = Point(3.0, 0.0), Point(0.0, 3.0)
    name = f"drill {drill.name}".strip()
    data = (("drill", drill.name),)
    ends = [(drill.point - arm, drill.point + arm) for arm in (x, y)]
    return [Polyline(pair, NOTCH, name=name, data=data) for pair in ends]


def _arrow(grain: Grain) -> list[Mark]:
    """A double-headed arrow, as the trade draws the grain."""
    marks: list[Mark] = [
        Curve((Line(grain.start, grain.end),), GRAIN, name="grain", data=(("grain", "up"),))
    ]
    heads = (Polyline(head, GRAIN, name="grain head") for head in grain_heads(grain, 9.0, 4.0))
    return [*marks, *heads]


def _usual_label(piece: Piece) -> Label:
    lines = (title_of(piece), cut_count(piece), f"cloth: {piece.cloth}")
    centre, _ = roomiest(clear_area(piece, 5.0), *block_size(lines))
    return Label(centre, lines)


def _words(label: Label) -> list[Mark]:
    top = label.point.y + LINE * (len(label.lines) - 1) / 2 - 0.35 * LETTER
    return [
        Words(Point(label.point.x, top - i * LINE), line, LETTER, "middle")
        for i, line in enumerate(label.lines)
        if line
    ]


def _fold_words(edge: Edge) -> list[Mark]:
    """Which edge lies on the fold: a bent arrow that points at it from its inner side (left of
    travel), as the trade draws it, and words beside it."""
    start, end = start_of(edge), end_of(edge)
    along = (end - start).unit
    down = along.y < -1e-9 or (abs(along.y) <= 1e-9 and along.x < 0.0)
    angle = (-along if down else along).angle
    half = min(0.3 * abs(end - start), 150.0)
    middle = midpoint(start, end)
    tips = (middle - half * along, middle + half * along)
    inward = BRACKET * along.left
    bent = (tips[0], tips[0] + inward, tips[1] + inward, tips[1])
    arrow: list[Mark] = [Polyline(bent, BENT, name="fold arrow")]
    for tip in tips:
        sides = (tip + 5.0 * along.left + 2.0 * along, tip, tip + 5.0 * along.left - 2.0 * along)
        arrow.append(Polyline(sides, BENT, name="fold arrow head"))
    place = middle + (BRACKET + (7.5 if down else 3.0)) * along.left
    return [*arrow, Words(place, FOLD_WORDS, 5.0, "middle", angle, FOLD.colour)]
