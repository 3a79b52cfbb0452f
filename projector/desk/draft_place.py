"""The draft: measurements and options beside the plan and the pieces they make, with findings."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from drafting.bodice import Block
from drafting.body import Body
from drafting.cloth_width import cloth_findings
from drafting.draft import Draft, draft
from drafting.errors import DraftingError
from drafting.finding import Finding, told_in
from drafting.style import Style
from drafting.units import written_length
from projector.desk.areas import (
    Area,
    Frame,
    columns,
    cut_bottom,
    cut_left,
    cut_right,
    cut_top,
    inset,
    rows,
)
from projector.desk.controls import Button, Entry, Figure, Item, Look, Panel, Slider, Used, Words
from projector.desk.draft_figure import DraftContent, piece_reach
from projector.desk.draft_rows import GROUPS, Row, changed_by_row, reset_row, rows_of
from projector.desk.empty_place import empty_items
from projector.desk.findings_list import findings_items
from projector.desk.lettering import columns_for
from projector.desk.pages import page_buttons, stepped
from projector.desk.palette import LETTERS_PX
from projector.desk.view import Known, Outcome, View, told
from projector.desk.wearer_rows import wearer_buttons, who_changed, who_rows
from projector.errors import ProjectorError
from projector.job import Job, drafted_layout
from projector.job_checks import usable_half
from projector.stage.commands import Replace
from projector.stage.session import Session

__all__ = ["HELP", "draft_items", "draft_used"]

HELP = (
    "Every control changes the draft at once. Slide, or type a length such as 92 cm or 36 1/4 in "
    "and press Enter.\n"
    "A measurement with ± was not taken but estimated from bust and height; type it in once it is "
    "taken, and press × to go back to the estimate.\n"
    "Numbers on the pieces belong to the findings on the right: red must be mended before "
    "cutting, amber wants a decision, blue informs."
)


@lru_cache(maxsize=64)
def _drafted(body: Body, style: Style, size: str, block: Block | None) -> Draft:
    return draft(body, style, size, block)


def draft_items(view: View, session: Session, known: Known, frame: Frame) -> tuple[Item, ...]:
    """Everything on the place."""
    job = view.trial or session.job
    if job is None:
        return empty_items(frame)
    if not job.wearers:
        upper, lower = cut_top(frame.body, frame.body.height // 2)
        button = Area(lower.x + (lower.width - frame.px(220)) // 2, lower.y, frame.px(220),
                      frame.px(46))  # fmt: skip
        words = "This job has no wearers yet to draft for."
        return (Words(upper, words, "soft", 1.2, align="middle"),
                Button("who:add", button, "Add a wearer", "main"))  # fmt: skip
    wearer = min(view.wearer, len(job.wearers) - 1)
    left, rest = cut_left(frame.body, frame.px(424), frame.px(12))
    right, middle = cut_right(rest, frame.px(270), frame.px(12))
    return (
        *_controls(view, job, wearer, left, frame),
        *_picture(view, session, job, wearer, middle, right, frame),
    )


def _controls(view: View, job: Job, wearer: int, area: Area, frame: Frame) -> list[Item]:
    items: list[Item] = [Panel(area)]
    inner = inset(area, frame.px(10), frame.px(8))
    people, inner = cut_top(inner, frame.px(38), frame.px(6))
    items += wearer_buttons(job, wearer, people, frame)
    tabs, inner = cut_top(inner, frame.px(38), frame.px(8))
    groups = [name for name in GROUPS if name != "more" or rows_of(job, wearer, name)]
    words = [name.capitalize() for name in groups]
    letters = round(LETTERS_PX * frame.scale)
    for name, tab in zip(groups, columns_for(tabs, words, letters, frame.px(4)), strict=True):
        look: Look = "chosen" if name == view.group else "plain"
        items.append(Button(f"group:{name}", tab, name.capitalize(), look))
    if view.group == "who":
        return items + who_rows(job, wearer, inner, frame)
    all_rows = rows_of(job, wearer, view.group)
    slots = rows(inner, frame.px(38), frame.px(5))
    page = 0
    if len(all_rows) > len(slots):
        pager, inner = cut_bottom(inner, frame.px(38), frame.px(6))
        slots = rows(inner, frame.px(38), frame.px(5))
        count = -(-len(all_rows) // max(1, len(slots)))
        page = min(view.page, count - 1)
        items += page_buttons("page", pager, page, count, frame)
    for row, slot in zip(all_rows[page * len(slots) :], slots, strict=False):
        items += _row(row, slot, frame, job.units)
    return items


def _row(row: Row, area: Area, frame: Frame, unit: str) -> list[Item]:
    label, rest = cut_left(area, frame.px(138), frame.px(4))
    items: list[Item] = [Words(label, row.label, size=0.92)]
    if row.kind == "choice":
        return items + _choices(row, rest, frame)
    if row.kind == "switch":
        slot, _ = cut_left(rest, frame.px(88))
        items.append(Button(f"switch:{row.key}", slot, row.text,
                            "chosen" if row.value else "plain", help=row.help))  # fmt: skip
        return items
    inches = unit == "in"  # sixteenths take more room
    entry, rest = cut_left(rest, frame.px(114 if inches else 88), frame.px(4))
    mark, rest = cut_left(rest, frame.px(62 if inches else 50), frame.px(4))
    items.append(Entry(f"value:{row.key}", entry, row.text, row.help))
    if row.spread is not None:
        size = written_length(row.spread, unit).removesuffix(f" {unit}")
        items.append(Words(mark, f"± {size}", "warning", 0.88, align="middle"))
    elif row.reset:
        button, _ = cut_left(mark, frame.px(38))
        items.append(Button(f"reset:{row.key}", button, "×", "quiet", help=row.reset))
    items.append(
        Slider(f"slide:{row.key}", inset(rest, 0, frame.px(5)), float(row.value), row.low,
               row.high, row.step)
    )  # fmt: skip
    return items


def _choices(row: Row, area: Area, frame: Frame) -> list[Item]:
    """A button a word; where the words are many, one word between two buttons."""
    if len(row.choices) <= 2:
        slots = columns(area, len(row.choices), frame.px(4))
        return [
            Button(f"choose:{row.key}:{word}", slot, word,
                   "chosen" if word == row.value else "plain", help=row.help)
            for word, slot in zip(row.choices, slots, strict=True)
        ]  # fmt: skip
    at = row.choices.index(str(row.value))
    back, rest = cut_left(area, frame.px(44), frame.px(4))
    on, middle = cut_right(rest, frame.px(44), frame.px(4))
    before, after = row.choices[at - 1], row.choices[(at + 1) % len(row.choices)]
    return [
        Button(f"choose:{row.key}:{before}", back, "‹", help=f"{before}. {row.help}"),
        Words(middle, str(row.value), bold=True, align="middle"),
        Button(f"choose:{row.key}:{after}", on, "›", help=f"{after}. {row.help}"),
    ]


def _picture(
    view: View,
    session: Session,
    job: Job,
    wearer: int,
    area: Area,
    side: Area,
    frame: Frame,
) -> list[Item]:
    person = job.wearers[wearer]
    fault, stale = "", False
    try:
        made = _drafted(person.body, job.style, person.name, person.block)
    except DraftingError as error:
        fault, stale = str(error), True
        good = session.job if session.job is not None else job
        before = good.wearers[min(wearer, len(good.wearers) - 1)]
        try:
            made = _drafted(before.body, good.style, before.name, before.block)
        except DraftingError:
            return [
                Panel(area),
                Words(inset(area, frame.px(24)), str(error), "stop", wrapped=True),
                *findings_items((), view, side, frame, fault),
            ]
    findings = (*made.findings, *_widths(job, made, view.trial is not None))
    worth = [finding for finding in findings if finding.severity != "fine"]
    numbered = tuple(enumerate(worth, 1))
    items: list[Item] = [Panel(area)]
    tabs, figure = cut_top(inset(area, frame.px(8)), frame.px(36), frame.px(4))
    _, choices = cut_left(tabs, max(0, tabs.width - frame.px(270)))
    for name, slot in zip(
        ("both", "plan", "pieces"), columns(choices, 3, frame.px(4)), strict=True
    ):
        look: Look = "chosen" if name == view.shown else "plain"
        items.append(Button(f"shown:{name}", slot, name.capitalize(), look))
    title = f"{person.name}" + (" (the last draft that could be made)" if stale else "")
    items.append(Words(cut_left(tabs, tabs.width - frame.px(280))[0], title, bold=True))
    items.append(
        Figure(
            "draft", figure, DraftContent(made, view.shown, numbered, stale, view.trial is not None)
        )
    )
    told = [told_in(finding, job.units) for finding in findings]
    items += findings_items(told, view, side, frame, fault)
    return items


def _widths(job: Job, made: Draft, held: bool) -> tuple[Finding, ...]:
    """Whether each piece that is cut on the fold fits its cloth.

    What to do about it takes a search, and is left out while a slider is held.
    """
    cloths = {cloth.name: cloth for cloth in job.cloths}
    halves = [piece for piece in made.pieces if piece.fold_edge is not None]
    usable = min(
        (usable_half(cloths.get(piece.cloth, job.cloths[0])) for piece in halves), default=1e6
    )
    if not held:
        return _settled_widths(made, usable)
    findings = []
    for piece in halves:
        reach = piece_reach(piece)
        findings.append(
            Finding(
                "fine" if reach <= usable else "warning",
                f"{piece.name} and the width of the cloth",
                f"{reach:.0f} mm from centre to edge",
                f"at most {usable:.0f} mm",
            )
        )
    return tuple(findings)


@lru_cache(maxsize=64)
def _settled_widths(made: Draft, usable: float) -> tuple[Finding, ...]:
    return cloth_findings(made, usable)


def draft_used(used: Used, view: View, session: Session, known: Known) -> Outcome | None:
    """What a control of the place does; None for a control that is not of this place."""
    what, rest = used.meant
    job = session.job
    if what not in ("group", "page", "wearer", "shown", "value", "slide", "reset",
                    "choose", "switch", "who"):  # fmt: skip
        return None
    if what == "group":
        return Outcome(replace(view, group=rest, page=0))
    if what == "page":
        return Outcome(replace(view, page=stepped(view.page, rest)))
    if what == "shown":
        return Outcome(replace(view, shown=rest))
    if job is None:
        return Outcome(view)
    if what == "who":
        return who_changed(rest, used, view, session, job)
    if what == "wearer":
        if rest == str(min(view.wearer, len(job.wearers) - 1)):
            group = "body" if view.group == "who" else "who"
            return Outcome(replace(view, group=group, page=0))
        steps = {"back": view.wearer - 1, "on": view.wearer + 1}
        number = steps[rest] if rest in steps else int(rest)
        return Outcome(replace(view, wearer=max(0, min(number, len(job.wearers) - 1))))
    return _changed(what, rest, used, view, session, job)


def _changed(what: str, rest: str, used: Used, view: View, session: Session, job: Job) -> Outcome:
    wearer = min(view.wearer, max(0, len(job.wearers) - 1))
    key, _, choice = rest.partition(":")
    try:
        if what == "reset":
            after = reset_row(job, wearer, key)
        else:
            after = changed_by_row(job, wearer, key, choice if what == "choose" else used.value)
        if used.held:
            return Outcome(replace(view, trial=after, message=""))
        view = replace(view, trial=None)
        if after == job:
            return Outcome(view)
        layout = drafted_layout(after, session.layout)
    except (DraftingError, ProjectorError) as error:
        return Outcome(told(replace(view, trial=None), str(error), "stop"))
    # Steps of one slider by the keys are taken back together.
    fresh = not (what == "slide" and view.changing == used.key)
    view = replace(told(view, ""), changing=used.key)
    return Outcome(view, (Replace(layout, after, fresh),))
