"""Calibrating by hand (crosshairs onto known marks) and by tape (lengths between lit marks)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from calibration.errors import CalibrationError
from calibration.homography import fitted, mapped
from calibration.places import grid_points
from calibration.tape import TEN_LENGTHS, lit_marks
from drafting.errors import DraftingError
from drafting.units import parsed_length
from projector.decimal_point import with_point
from projector.desk.areas import Area, Frame, columns, cut_left, cut_top, rows
from projector.desk.controls import Button, Entry, Figure, Item, Look, Used, Words
from projector.desk.route_steps import chosen_screen, displays_items, found_items, step_items
from projector.desk.table_figures import ScreenContent
from projector.desk.table_part import TablePart
from projector.desk.view import Known, Outcome, View, Wish, told

__all__ = [
    "following", "known_marks", "mark_items", "mark_used", "pair_now", "screen_places", "shifted",
]  # fmt: skip

STEPS = {
    "hand": ("What is known", "Put the crosshairs", "The map"),
    "tape": ("Light the marks", "Measure", "The map"),
}
ORDER = (0, 2, 8, 6, 4, 1, 5, 7, 3)
"""Corners first, then the middle: four corners tell where the rest must be, nearly."""
STRIDES = (10.0, 1.0, 0.1)
CORNERS = (0, 2, 6, 8)


def known_marks(part: TablePart) -> np.ndarray:
    """The nine marks of the mat, (9, 2), mm, row by row from the far left; y away from her."""
    width, depth = part.mat
    x, y = np.array([0.0, 0.5, 1.0]) * width, np.array([1.0, 0.5, 0.0]) * depth
    return grid_points(x, y)


def screen_places(part: TablePart, screen_size: tuple[int, int]) -> tuple[tuple[float, float], ...]:
    """Where crosshairs or marks stand on the screen, pixels."""
    if part.route == "tape":
        places = lit_marks(screen_size)
    elif part.places:
        return part.places
    else:
        places = lit_marks(screen_size, 0.15)
    return tuple((float(x), float(y)) for x, y in places)


def pair_now(part: TablePart) -> tuple[int, int]:
    """The marks between which is to be measured now."""
    return TEN_LENGTHS[min(part.chosen, len(TEN_LENGTHS) - 1)]


def mark_items(
    part: TablePart, view: View, known: Known, left: Area, right: Area, frame: Frame
) -> list[Item]:
    """The step of the route, with the screen or the map on the right."""
    size = chosen_screen(part, known.displays)
    steps = STEPS[part.route]
    able = part.step == 0 or part.route == "hand" or len(part.lengths) >= 5
    items, area = step_items(part, steps, able, left, frame)
    if part.step == 0:
        return [*items, *_begin(part, known, area, frame), _screen(part, size, known, right)]
    if part.step == 1:
        more = _crosshairs if part.route == "hand" else _lengths
        return [*items, *more(part, known, area, frame), _screen(part, size, known, right)]
    begin, area = cut_top(area, frame.px(46), frame.px(10))
    text = "Find the map again" if known.table.found else "Find the map"
    items.append(Button("marks:find", begin, text, "plain" if known.table.found else "main"))
    items += found_items(known, view, area, right, frame)
    if known.table.found is None:
        items.append(_screen(part, size, known, right))
    return items


def _screen(part: TablePart, size: tuple[int, int], known: Known, area: Area) -> Figure:
    places = screen_places(part, size)
    if part.route == "hand":
        return Figure("screen", area, ScreenContent(size, places, (part.chosen,)))
    typed = dict(part.lengths)
    lines = tuple(
        (first, second, f"{typed[first, second]:.1f}" if (first, second) in typed else "")
        for first, second in TEN_LENGTHS
    )
    return Figure("screen", area, ScreenContent(size, places, pair_now(part), lines))


def _begin(part: TablePart, known: Known, area: Area, frame: Frame) -> list[Item]:
    items, area = displays_items(part, known, area, frame)
    if part.route == "hand":
        for key, name, size in (
            ("mat:width", "Width", part.mat[0]), ("mat:depth", "Depth", part.mat[1]),
        ):  # fmt: skip
            line, area = cut_top(area, frame.px(40), frame.px(6))
            label, rest = cut_left(line, frame.px(84), frame.px(4))
            entry, _ = cut_left(rest, frame.px(130))
            items += [Words(label, name, size=0.95),
                      Entry(key, entry, f"{size / 10:g} cm", "Of the known marks")]  # fmt: skip
        text = (
            "Lay a cutting mat into the light, or chalk a rectangle with a long rule and a square; "
            "as large as the light allows. Its corners, the middles of its sides and its centre "
            "are the nine marks. Type its width and depth."
        )
    else:
        text = (
            "Nine numbered crosses are lit. You will measure ten lengths between them with a steel "
            "tape, pulled straight, to half a millimetre."
        )
    line, area = cut_top(area, frame.px(46), frame.px(8))
    items.append(_light_button(known, line))
    return [*items, Words(area, text, size=0.95, wrapped=True)]


def _light_button(known: Known, area: Area) -> Button:
    text = "Darken them" if known.table.lit else "Light them on the table"
    return Button("marks:light", area, text, "chosen" if known.table.lit else "main")


def _crosshairs(part: TablePart, known: Known, area: Area, frame: Frame) -> list[Item]:
    items: list[Item] = []
    line, area = cut_top(area, frame.px(42), frame.px(8))
    items.append(_light_button(known, line))
    line, area = cut_top(area, frame.px(40), frame.px(6))
    back, rest = cut_left(line, frame.px(44), frame.px(6))
    on, words = cut_left(rest, frame.px(44), frame.px(10))
    mark = known_marks(part)[part.chosen]
    text = f"Mark {part.chosen + 1}: {mark[0] / 10:g} cm across, {mark[1] / 10:g} cm up"
    items += [Button("mark:back", back, "‹"), Button("mark:on", on, "›"), Words(words, text)]
    line, area = cut_top(area, frame.px(40), frame.px(6))
    label, rest = cut_left(line, frame.px(84), frame.px(4))
    items.append(Words(label, "Step", size=0.95))
    for stride, slot in zip(STRIDES, columns(rest, 3, frame.px(4)), strict=True):
        look: Look = "chosen" if stride == part.stride else "plain"
        items.append(Button(f"stride:{stride:g}", slot, f"{stride:g} px", look))
    slots = rows(area, frame.px(42), frame.px(5))
    if len(slots) < 4:
        return items
    for name, slot, text in (
        ("up", columns(slots[0], 3, frame.px(5))[1], "Up"),
        ("left", columns(slots[1], 3, frame.px(5))[0], "Left"),
        ("right", columns(slots[1], 3, frame.px(5))[2], "Right"),
        ("down", columns(slots[1], 3, frame.px(5))[1], "Down"),
    ):
        items.append(Button(f"nudge:{name}", slot, text))
    items += [
        Button("marks:guess", slots[2], "Put the rest by the corners",
               help="Once the four corners are on their marks, the others are nearly so"),
        Words(slots[3], "The arrow keys move it, too; N goes on to the next.", "soft", 0.86,
              wrapped=True),
    ]  # fmt: skip
    return items


def _lengths(part: TablePart, known: Known, area: Area, frame: Frame) -> list[Item]:
    items: list[Item] = []
    line, area = cut_top(area, frame.px(42), frame.px(8))
    items.append(_light_button(known, line))
    typed = dict(part.lengths)
    halves = columns(area, 2, frame.px(12))
    slots = [slot for half in halves for slot in rows(half, frame.px(40), frame.px(6))[:5]]
    for number, slot in enumerate(slots[: len(TEN_LENGTHS)]):
        first, second = TEN_LENGTHS[number]
        choose, entry = cut_left(slot, frame.px(74), frame.px(4))
        look: Look = "chosen" if number == part.chosen else "plain"
        size = typed.get((first, second))
        items += [
            Button(f"pair:{number}", choose, f"{first + 1} to {second + 1}", look,
                   help="Brighten these two on the table"),
            Entry(f"taped:{number}", entry, "" if size is None else f"{size:.1f} mm",
                  "What the tape shows; cm, mm or in", f"taped:{number + 1}"),
        ]  # fmt: skip
    text = "In mm, or with a unit: 140.6 cm, 55 3/8 in. Return goes on to the next."
    _, rest = cut_top(area, slots[len(slots) // 2 - 1].bottom - area.y, frame.px(8))
    items.append(Words(rest, text, "soft", 0.9, wrapped=True))
    return items


def shifted(part: TablePart, size: tuple[int, int], x: float, y: float) -> TablePart:
    """The chosen crosshair moved by so many pixels, kept on the screen."""
    places = list(screen_places(part, size))
    at_x, at_y = places[part.chosen]
    places[part.chosen] = (
        min(size[0] - 1.0, max(0.0, round(at_x + x, 3))),
        min(size[1] - 1.0, max(0.0, round(at_y + y, 3))),
    )
    return replace(part, places=tuple(places))


def following(part: TablePart, way: int) -> TablePart:
    """The next mark in the order in which they are best put."""
    at = ORDER.index(part.chosen) if part.chosen in ORDER else 0
    return replace(part, chosen=ORDER[(at + way) % len(ORDER)], stride=10.0)


def _guessed(part: TablePart, size: tuple[int, int]) -> TablePart:
    marks, places = known_marks(part), np.array(screen_places(part, size))
    corners = list(CORNERS)
    found = mapped(fitted(marks[corners], places[corners]), marks)
    rest = [tuple(map(float, place)) for place in np.round(found, 1)]
    for corner in corners:
        rest[corner] = tuple(map(float, places[corner]))
    return replace(part, places=tuple((x, y) for x, y in rest), chosen=4, stride=1.0)


_WAYS = {"up": (0.0, -1.0), "down": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}


def mark_used(used: Used, part: TablePart, view: View, known: Known) -> Outcome | None:
    """What a control of the two routes does."""
    what, rest = used.meant
    size = chosen_screen(part, known.displays)
    after: TablePart | None = None
    try:
        match what:
            case "mat":
                length = parsed_length(with_point(str(used.value)), "cm")
                if not 150.0 <= length <= 5000.0:
                    return Outcome(told(view, f"{length:g} mm; wanted 15 cm to 5 m", "stop"))
                width, depth = part.mat
                mat = (length, depth) if rest == "width" else (width, length)
                after = replace(part, mat=mat)
            case "mark":
                after = following(part, 1 if rest == "on" else -1)
            case "stride":
                after = replace(part, stride=float(rest))
            case "nudge":
                x, y = _WAYS[rest]
                after = shifted(part, size, x * part.stride, y * part.stride)
            case "pair":
                after = replace(part, chosen=int(rest))
            case "taped":
                after = _taped(part, int(rest), str(used.value))
            case "marks" if rest == "guess":
                after = _guessed(part, size)
            case "marks" if rest == "light":
                return Outcome(view, wishes=(Wish("table marks", part.display or 0),))
            case "marks" if rest == "find":
                return Outcome(view, wishes=(Wish(f"table {part.route}", size),))
    except (DraftingError, CalibrationError) as error:
        return Outcome(told(view, str(error), "stop"))
    return None if after is None else Outcome(told(view.with_part(after), ""))


def _taped(part: TablePart, number: int, text: str) -> TablePart:
    pair = TEN_LENGTHS[number]
    typed = dict(part.lengths)
    if text.strip():
        typed[pair] = parsed_length(with_point(text), "mm")
    else:
        typed.pop(pair, None)
    following_one = min(number + 1, len(TEN_LENGTHS) - 1)
    return replace(part, lengths=tuple(typed.items()), chosen=following_one)
