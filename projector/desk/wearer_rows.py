"""The wearers on the draft's place: choosing one, adding, naming, counting, removing."""

from __future__ import annotations

from dataclasses import replace

from drafting.errors import DraftingError
from projector.desk.areas import Area, Frame, columns, cut_left, cut_right, rows
from projector.desk.controls import Button, Entry, Item, Used, Words
from projector.desk.lettering import written_width
from projector.desk.palette import LETTERS_PX
from projector.desk.view import Outcome, View, told
from projector.desk.wearers import added_wearer, removed_wearer, renamed_wearer, with_garments
from projector.errors import ProjectorError
from projector.job import Job, drafted_layout
from projector.stage.commands import Replace
from projector.stage.session import Session

__all__ = ["wearer_buttons", "who_changed", "who_rows"]


def wearer_buttons(job: Job, wearer: int, area: Area, frame: Frame) -> list[Item]:
    """Who it may be drafted for, the one that is shown marked."""
    label, rest = cut_left(area, frame.px(62), frame.px(4))
    items: list[Item] = [Words(label, "Wearer", "soft")]
    add, rest = cut_right(rest, frame.px(38), frame.px(4))
    items.append(Button("who:add", add, "+", help="Another wearer"))
    shown = _shown(job, rest, frame)
    first = max(0, min(wearer - 1, len(job.wearers) - shown))
    if len(job.wearers) > shown:
        back, rest = cut_left(rest, frame.px(34), frame.px(4))
        on, rest = cut_right(rest, frame.px(34), frame.px(4))
        items.append(Button("wearer:back", back, "‹", enabled=wearer > 0, help="The one before"))
        items.append(Button("wearer:on", on, "›", enabled=wearer + 1 < len(job.wearers),
                            help="The next one"))  # fmt: skip
    chosen = job.wearers[first : first + shown]
    slots = columns(rest, max(2 if shown < 3 else 3, len(chosen)), frame.px(4))
    for index, slot in enumerate(slots[: len(chosen)]):
        number = first + index
        name = job.wearers[number].name
        garments = job.wearers[number].garments
        items.append(
            Button(f"wearer:{number}", slot, name, "chosen" if number == wearer else "plain",
                   help=f"{name}: {garments} garment" + ("s" if garments != 1 else "")
                   + ("; press again for name and number" if number == wearer else ""))
        )  # fmt: skip
    return items


def _shown(job: Job, area: Area, frame: Frame) -> int:
    """How many wearers are shown side by side: four, or fewer where their names are long."""
    letters = round(LETTERS_PX * frame.scale)
    longest = max(written_width(wearer.name, letters, True) for wearer in job.wearers)
    for count in (4, 3):
        room = area.width - (0 if len(job.wearers) <= count else frame.px(76))
        if longest + frame.px(12) <= room / count - frame.px(4):
            return count
    return 2


def who_rows(job: Job, wearer: int, area: Area, frame: Frame) -> list[Item]:
    """Name and number of garments of one wearer."""
    person = job.wearers[wearer]
    name, garments, _, away = rows(area, frame.px(42), frame.px(8))[:4]
    label, entry = cut_left(name, frame.px(110), frame.px(4))
    written = Entry("who:name", entry, person.name, "Written on her pieces")
    items: list[Item] = [Words(label, "Name"), written]
    label, rest = cut_left(garments, frame.px(110), frame.px(4))
    fewer, count, more = columns(rest, 3, frame.px(6))
    items += [
        Words(label, "Garments"),
        Button("who:fewer", fewer, "–", enabled=person.garments > 1),
        Words(count, str(person.garments), bold=True, align="middle"),
        Button("who:more", more, "+"),
        Button("who:remove", away, f"Remove {person.name}", help="Undo brings her back"),
    ]
    return items


def who_changed(what: str, used: Used, view: View, session: Session, job: Job) -> Outcome:
    """Another wearer, one fewer, another name, more or fewer garments."""
    wearer = min(view.wearer, max(0, len(job.wearers) - 1))
    view = replace(view, changing="", trial=None)
    try:
        if what == "name":
            after, layout = renamed_wearer(job, session.layout, wearer, str(used.value))
            return Outcome(told(view, ""), (Replace(layout, after),))
        if what == "add":
            after = added_wearer(job)
            view = replace(view, wearer=len(job.wearers), group="who")
        elif what == "remove":
            after = removed_wearer(job, wearer)
            view = replace(view, wearer=max(0, wearer - 1), group="body")
        else:
            step = 1 if what == "more" else -1
            after = with_garments(job, wearer, job.wearers[wearer].garments + step)
        layout = drafted_layout(after, session.layout)
    except (DraftingError, ProjectorError) as error:
        return Outcome(told(view, str(error), "stop"))
    return Outcome(told(view, ""), (Replace(layout, after),))
