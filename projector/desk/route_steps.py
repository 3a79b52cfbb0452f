"""Parts that every calibration route has: its step, the choice of the projector, what was found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from projector.desk.areas import Area, Frame, columns, cut_bottom, cut_left, cut_right, cut_top
from projector.desk.controls import Button, Figure, Item, Look, Progress, Words
from projector.desk.findings_list import findings_items
from projector.desk.table_figures import ErrorContent
from projector.desk.table_part import TablePart
from projector.desk.view import Known, View

__all__ = ["begun", "chosen_screen", "displays_items", "found_items", "step_items"]


def step_items(
    part: TablePart, steps: tuple[str, ...], able: bool, area: Area, frame: Frame
) -> tuple[list[Item], Area]:
    """The heading of a step with buttons to the ones beside it; what is left of the area."""
    step = min(part.step, len(steps) - 1)
    title, area = cut_top(area, frame.px(30), frame.px(4))
    buttons, area = cut_bottom(area, frame.px(44), frame.px(8))
    back, on = columns(buttons, 2, frame.px(8))
    items: list[Item] = [
        Words(title, f"{step + 1} of {len(steps)}: {steps[step]}", "accent", 1.05, bold=True),
        Button("step:back", back, "‹ Before", enabled=step > 0),
    ]
    if step + 1 < len(steps):
        items.append(Button("step:on", on, "Next ›", "main" if able else "plain", able))
    return items, area


def begun(
    part: TablePart, route: str, displays: Sequence[tuple[int, int]], chosen: int | None
) -> TablePart:
    """The first step of a route; the projector is the display chosen before, or the last one."""
    after = replace(part, route=route, step=0)
    if part.display is None:
        after = replace(after, display=len(displays) - 1 if chosen is None else chosen)
    return after


def chosen_screen(part: TablePart, displays: Sequence[tuple[int, int]]) -> tuple[int, int]:
    """The size of the projector's screen in pixels."""
    number = part.display if part.display is not None else len(displays) - 1
    return displays[number] if 0 <= number < len(displays) else (1920, 1080)


def displays_items(
    part: TablePart, known: Known, area: Area, frame: Frame
) -> tuple[list[Item], Area]:
    """Which display is the projector; what is left of the area."""
    label, area = cut_top(area, frame.px(26), frame.px(2))
    line, area = cut_top(area, frame.px(42), frame.px(4))
    items: list[Item] = [Words(label, "Which display is the projector?", size=0.95)]
    slots = columns(line, max(2, len(known.displays)), frame.px(6))
    for number, (size, slot) in enumerate(zip(known.displays, slots, strict=False)):
        look: Look = "chosen" if number == part.display else "plain"
        text = f"{number}: {size[0]} x {size[1]}"  # as `--display` counts
        items.append(Button(f"display:{number}", slot, text, look))
    if len(known.displays) < 2:
        note, area = cut_top(area, frame.px(44), frame.px(4))
        text = "Only one display is connected; what is lit will cover this window until Escape."
        items.append(Words(note, text, "warning", 0.86, wrapped=True))
    return items, area


def found_items(known: Known, view: View, left: Area, right: Area, frame: Frame) -> list[Item]:
    """What was found: findings and error map, to be used or thrown away."""
    items: list[Item] = []
    if known.table.progress is not None:
        text, part = known.table.progress
        line, left = cut_top(left, frame.px(44), frame.px(8))
        stop, bar = cut_left(line, frame.px(90), frame.px(8))
        items += [Button("work:stop", stop, "Stop"), Progress(bar, part, text)]
        return items
    found = known.table.found
    if found is None:
        return items
    lower, upper = cut_bottom(right, frame.px(46), frame.px(8))
    side, figure = cut_right(upper, min(frame.px(270), upper.width // 2), frame.px(10))
    keep, away = columns(cut_right(lower, frame.px(340))[0], 2, frame.px(8))
    items += [
        Figure("error", figure, ErrorContent(found.record.table_map)),
        *findings_items(found.findings, view, side, frame),
        Button("found:away", away, "Throw it away", help="The map in use stays"),
        Button("found:keep", keep, "Use this map", "main", help="Kept for every job"),
    ]
    return items
