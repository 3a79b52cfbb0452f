"""The whole page of the desk: the row of places, the place that is shown, the line at the foot."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from projector.desk import cloth_place, draft_place, job_place, table_place, trace_place
from projector.desk.areas import Area, Frame, cut_left, cut_right, cut_top, inset, rows
from projector.desk.controls import Button, Item, Look, Panel, Used, Words
from projector.desk.desk_keys import EVERYWHERE, PLACE_KEYS
from projector.desk.lettering import broken, line_height, written_width
from projector.desk.palette import LETTERS_PX
from projector.desk.view import PLACES, Known, Outcome, View, Wish
from projector.stage.commands import Redo, Undo
from projector.stage.session import Session

__all__ = ["page_items", "page_used"]

_ITEMS: dict[str, Callable[[View, Session, Known, Frame], tuple[Item, ...]]] = {
    "draft": draft_place.draft_items,
    "cloth": cloth_place.cloth_items,
    "table": table_place.table_items,
    "job": job_place.job_items,
    "trace": trace_place.trace_items,
}
_USED: dict[str, Callable[[Used, View, Session, Known], Outcome | None]] = {
    "draft": draft_place.draft_used,
    "cloth": cloth_place.cloth_used,
    "table": table_place.table_used,
    "job": job_place.job_used,
    "trace": trace_place.trace_used,
}
_HELP = {
    "draft": draft_place.HELP,
    "cloth": cloth_place.HELP,
    "table": table_place.HELP,
    "job": job_place.HELP,
    "trace": trace_place.HELP,
}
_NAMES = {"draft": "Draft", "cloth": "Cloth", "table": "Table", "job": "Job", "trace": "Trace"}
_KEPT = "Every change is kept as it is made; a job that was cut off by a crash opens as it was."


def page_items(view: View, session: Session, known: Known, frame: Frame) -> tuple[Item, ...]:
    """Everything that is shown, the controls in the order the Tab key goes."""
    items: list[Item] = [Panel(frame.places, "bar"), Panel(frame.foot, "bar")]
    items += _places(view, session, known, frame)
    if view.helping:
        items += _help(view, frame)
    else:
        items += _ITEMS[view.place](view, session, known, frame)
    items += _foot(view, session, known, frame)
    return tuple(items)


def _places(view: View, session: Session, known: Known, frame: Frame) -> list[Item]:
    bar = inset(frame.places, frame.px(12), frame.px(8))
    items: list[Item] = []
    rest = bar
    for number, place in enumerate(PLACES, 2):
        slot, rest = cut_left(rest, frame.px(108), frame.px(6))
        look: Look = "place chosen" if place == view.place else "place"
        items.append(Button(f"place:{place}", slot, _NAMES[place], look, help=f"F{number}"))
    slot, rest = cut_right(rest, frame.px(90), frame.px(6))
    items.append(Button("help", slot, "Help", "chosen" if view.helping else "plain", help="F1"))
    slot, rest = cut_right(rest, frame.px(168), frame.px(18))
    text = "Darken the stage" if known.lit else "Light the stage"
    # Pressed too early it tells what is wanted first; a dead button would tell nothing.
    help_text = "Ctrl+L. Opens the table's window on the projector"
    look = "chosen" if known.lit else "plain"
    items.append(Button("stage", slot, text, look, help=help_text))
    slot, rest = cut_right(rest, frame.px(84), frame.px(6))
    items.append(Button("redo", slot, "Redo", enabled=bool(session.future), help="Ctrl+Y"))
    slot, rest = cut_right(rest, frame.px(84), frame.px(6))
    items.append(Button("undo", slot, "Undo", enabled=bool(session.past), help="Ctrl+Z"))
    # Tab goes from the left to the right.
    return sorted(items, key=lambda item: item.area.x)


def _help(view: View, frame: Frame) -> list[Item]:
    """What the place is for, and every key beside it."""
    items: list[Item] = [Panel(frame.body)]
    area = inset(frame.body, frame.px(28), frame.px(16))
    keys, area = cut_right(area, frame.px(450), frame.px(28))
    area = Area(area.x, area.y, min(area.width, frame.px(860)), area.height)
    title, area = cut_top(area, frame.px(44))
    items.append(Words(title, _NAMES[view.place], "accent", 1.4, bold=True))
    for text in (*_HELP[view.place].split("\n"), _KEPT):
        letters = round(LETTERS_PX * frame.scale)
        height = line_height(letters) * len(broken(text, letters, area.width))
        part, area = cut_top(area, height, frame.px(12))
        items.append(Words(part, text, wrapped=True))
    slot, _ = cut_top(area, frame.px(44))
    items.append(Button("help:close", cut_left(slot, frame.px(140))[0], "Back to work", "main"))
    for title_text, told_of in ((f"In {_NAMES[view.place]}", PLACE_KEYS[view.place]),
                                ("Everywhere", EVERYWHERE)):  # fmt: skip
        if not told_of:
            continue
        title, keys = cut_top(keys, frame.px(28), frame.px(1))
        items.append(Words(title, title_text, "accent", bold=True))
        for key in told_of:
            line, keys = cut_top(keys, frame.px(23), 0)
            name, does = cut_left(line, frame.px(128), frame.px(6))
            items += [Words(name, key.name, size=0.88, bold=True), Words(does, key.does, size=0.88)]
        _, keys = cut_top(keys, frame.px(6))
    return items


def _foot(view: View, session: Session, known: Known, frame: Frame) -> list[Item]:
    line = inset(frame.foot, frame.px(14), 0)
    right, left = cut_right(line, frame.px(400), frame.px(12))
    state = ""
    if session.job is not None:
        where = "" if known.path is None else f" ({known.path.name})"
        state = f"{session.job.name}{where}: " + ("saved" if known.saved else "kept, not saved yet")
    return [
        *_told(view, left, frame),
        Words(right, state, "soft", 0.95, align="right", ends=True),
    ]


def _told(view: View, area: Area, frame: Frame) -> list[Item]:
    """The latest message: in one line, or in two of small letters."""
    letters = round(0.95 * LETTERS_PX * frame.scale)
    if written_width(view.message, letters) <= area.width:
        return [Words(area, view.message, view.tone, 0.95)]
    small = round(0.78 * LETTERS_PX * frame.scale)
    first, *rest = broken(view.message, small, area.width)
    if not rest:
        return [Words(area, first, view.tone, 0.78)]
    upper, lower = rows(inset(area, 0, frame.px(2)), area.height // 2 - frame.px(2), 0)[:2]
    return [Words(upper, first, view.tone, 0.78), Words(lower, " ".join(rest), view.tone, 0.78)]


def page_used(used: Used, view: View, session: Session, known: Known) -> Outcome:
    """What a control does."""
    what, rest = used.meant
    if what == "place":
        place = next(each for each in PLACES if each == rest)
        return Outcome(replace(view, place=place, helping=False, trial=None))
    if what == "help":
        return Outcome(replace(view, helping=not view.helping))
    if what == "findings" and rest == "on":
        return Outcome(replace(view, findings_page=view.findings_page + 1))
    if what == "findings":
        return Outcome(replace(view, all_findings=not view.all_findings, findings_page=0))
    if what == "undo":
        return Outcome(replace(view, changing="", trial=None), (Undo(),))
    if what == "redo":
        return Outcome(replace(view, changing="", trial=None), (Redo(),))
    if what == "stage":
        return Outcome(view, wishes=(Wish("darken" if known.lit else "light"),))
    found = _USED[view.place](used, view, session, known)
    return Outcome(view) if found is None else found
