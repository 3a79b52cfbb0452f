"""The job: open, recent, new, save, notes, and the choices that belong to this computer."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

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
from projector.desk.controls import Button, Entry, Item, Look, Notes, Panel, Used, Words
from projector.desk.lettering import written_width
from projector.desk.pages import page_buttons, stepped
from projector.desk.palette import LETTERS_PX
from projector.desk.paper_errands import PAPERS
from projector.desk.view import Known, Outcome, View, Wish, told
from projector.errors import ProjectorError
from projector.job import Job
from projector.stage.commands import Replace
from projector.stage.session import Session

__all__ = ["HELP", "job_items", "job_used", "with_name"]

HELP = (
    "A job is one file: who it is for, the style, the cloths, where the pieces lie, your notes.\n"
    "Open one from the list of recent jobs or from a folder; the job that was open is saved "
    "first. A file with a mistake in it is not opened: the line at the foot tells the place and "
    "the mend, and the file stays as it is.\n"
    "The job sheet and the pieces are written beside the file, for the printer and for other "
    "programs.\n"
    "Save writes the file. Even without it nothing is lost: every finished change lies in a "
    "journal beside the job."
)


@dataclass(frozen=True, slots=True)
class JobPart:
    """What the place remembers: the page of the folder that is listed, the name for a new job."""

    page: int = 0
    name: str = "new job"


def job_items(view: View, session: Session, known: Known, frame: Frame) -> tuple[Item, ...]:
    """Everything on the place."""
    left, right = columns(frame.body, 2, frame.px(12))
    items: list[Item] = [Panel(left), Panel(right)]
    items += _open_job(session.job, known, inset(left, frame.px(14), frame.px(10)), frame)
    items += _others(view, known, inset(right, frame.px(14), frame.px(10)), frame)
    return tuple(items)


def _open_job(job: Job | None, known: Known, area: Area, frame: Frame) -> list[Item]:
    items: list[Item] = []
    below, area = cut_bottom(area, frame.px(42), frame.px(10))
    items_below = _choices(known, below, frame)
    if job is None:
        items.append(Words(cut_top(area, frame.px(40))[0], "No job is open", "soft", 1.25))
        text = "Open one on the right, or begin a new one there."
        _, rest = cut_top(area, frame.px(46))
        return [*items, Words(rest, text, "soft", wrapped=True), *items_below]
    title, area = cut_top(area, frame.px(42), frame.px(4))
    label, entry = cut_left(title, frame.px(70), frame.px(4))
    items += [Words(label, "Job", "soft"), Entry("job:name", entry, job.name)]
    people = ", ".join(
        w.name + (f" × {w.garments}" if w.garments != 1 else "") for w in job.wearers
    )
    cloths = ", ".join(cloth.name for cloth in job.cloths)
    for name, text, ends in (
        ("File", str(known.path) if known.path else "none", True),
        ("For", people or "nobody yet", False),
        ("Cloths", cloths, False),
    ):
        line, area = cut_top(area, frame.px(30))
        label, rest = cut_left(line, frame.px(70), frame.px(4))
        items += [Words(label, name, "soft"), Words(rest, text, ends=ends)]
    buttons, area = cut_top(Area(area.x, area.y + frame.px(6), area.width, area.height),
                            frame.px(44), frame.px(10))  # fmt: skip
    first, second, third = columns(buttons, 3, frame.px(8))
    items += [
        Button("job:save", first, "Save", "plain" if known.saved else "main",
               not known.saved, "Ctrl+S"),
        Button("job:copy", second, "Save a copy", help="Beside the file, under a name not taken"),
        Button("job:units", third, "In inches" if job.units == "cm" else "In centimetres",
               help="How lengths are shown and kept"),
    ]  # fmt: skip
    papers, area = cut_top(area, frame.px(40), frame.px(8))
    able = known.path is not None and bool(job.wearers or job.pieces)
    for (what, (text, told_of)), slot in zip(
        PAPERS.items(), columns(papers, len(PAPERS), frame.px(8)), strict=True
    ):
        items.append(Button(f"write:{what}", slot, text, enabled=able, help=told_of))
    label, area = cut_top(area, frame.px(28), frame.px(2))
    items += [Words(label, "Notes", "soft"), Notes("job:notes", area, job.notes)]
    return [*items, *items_below]


def _choices(known: Known, area: Area, frame: Frame) -> list[Item]:
    label, rest = cut_left(area, frame.px(120), frame.px(4))
    light, dark, _ = columns(rest, 3, frame.px(6))
    theme = known.settings.theme
    return [
        Words(label, "Colours", "soft"),
        Button("theme:light", light, "Daylight", "chosen" if theme == "light" else "plain"),
        Button("theme:dark", dark, "Dark hall", "chosen" if theme == "dark" else "plain"),
    ]


def _others(view: View, known: Known, area: Area, frame: Frame) -> list[Item]:
    part = view.part(JobPart)
    items: list[Item] = []
    new, area = cut_bottom(area, frame.px(44), frame.px(8))
    title, area = cut_top(area, frame.px(32), frame.px(2))
    items.append(Words(title, "Recent jobs", bold=True))
    recent = known.settings.recent
    if not recent:
        line, area = cut_top(area, frame.px(34), frame.px(6))
        items.append(Words(line, "none yet", "soft"))
    for path in recent[:4]:
        slot, area = cut_top(area, frame.px(40), frame.px(4))
        place = Path(path)
        alike = sum(Path(other).stem == place.stem for other in recent[:4]) > 1
        name = f"{place.stem} in {place.parent.name}" if alike else place.stem
        items.append(Button(f"recent:{path}", slot, name, help=path, ends=True))
    title, area = cut_top(Area(area.x, area.y + frame.px(6), area.width, area.height),
                          frame.px(32), frame.px(2))  # fmt: skip
    folder = known.folder.name or str(known.folder)
    items.append(Words(title, f"From the folder {folder}", bold=True, ends=True))
    line, area = cut_top(area, frame.px(40), frame.px(6))
    up, entry = cut_left(line, frame.px(60), frame.px(6))
    items.append(Button("folder:..", up, "Up", help="The folder that holds this one"))
    items.append(Entry("path", entry, str(known.folder), "A folder, or the job file itself"))
    pager, area = cut_bottom(area, frame.px(38), frame.px(4))
    slots = rows(area, frame.px(40), frame.px(4))
    # Two columns where every name fits one.
    letters = round(LETTERS_PX * frame.scale)
    longest = max((written_width(f"{name} ›", letters) for name, _ in known.listing), default=0)
    side_by_side = 2 if longest < (area.width - frame.px(6)) / 2 - frame.px(16) else 1
    per_page = side_by_side * len(slots)
    count = max(1, -(-len(known.listing) // max(1, per_page)))
    page = min(part.page, count - 1)
    cells = [cell for slot in slots for cell in columns(slot, side_by_side, frame.px(6))]
    for (name, is_folder), cell in zip(known.listing[page * per_page :], cells, strict=False):
        key = f"folder:{name}" if is_folder else f"open:{known.folder / name}"
        text = f"{name} ›" if is_folder else name
        look: Look = "quiet" if is_folder else "plain"
        items.append(Button(key, cell, text, look, help=name, ends=True))
    if not known.listing and cells:
        items.append(Words(cells[0], "no jobs here", "soft"))
    items += page_buttons("listing", pager, page, count, frame)
    example, rest = cut_right(new, frame.px(150), frame.px(8))
    make, entry = cut_right(rest, frame.px(120), frame.px(6))
    items += [
        Entry("new:name", entry, part.name, "Name of a new job in the folder above"),
        Button("new", make, "New job", help="Begin a job in the folder above"),
        Button("example", example, "Choir example",
               help="A finished example job, copied to the folder above"),
    ]  # fmt: skip
    return items


def with_name(view: View, path: Path) -> View:
    """The view after a job was asked for that is not there: its name stands ready for a new one."""
    part = replace(view.part(JobPart), name=path.stem)
    text = f"{path.name}: there is no such job file; New job begins one of this name"
    return told(replace(view.with_part(part), place="job"), text, "warning")


def job_used(used: Used, view: View, session: Session, known: Known) -> Outcome | None:
    """What a control of the place does; None for a control that is not of this place."""
    what, rest = used.meant
    part = view.part(JobPart)
    job = session.job
    match what:
        case "write":
            return Outcome(view, wishes=(Wish("write", rest),))
        case "open" | "recent":
            return Outcome(view, wishes=(Wish("open", Path(rest)),))
        case "folder":
            return Outcome(view.with_part(replace(part, page=0)),
                           wishes=(Wish("folder", known.folder / rest),))  # fmt: skip
        case "path":
            return Outcome(view.with_part(replace(part, page=0)),
                           wishes=(Wish("path", Path(str(used.value)).expanduser()),))  # fmt: skip
        case "listing":
            return Outcome(view.with_part(replace(part, page=stepped(part.page, rest))))
        case "new" if rest == "name":
            return Outcome(view.with_part(replace(part, name=str(used.value))))
        case "new":
            return Outcome(view, wishes=(Wish("new", part.name),))
        case "example":
            return Outcome(view, wishes=(Wish("example"),))
        case "theme":
            settings = replace(known.settings, theme=rest)
            return Outcome(view, wishes=(Wish("settings", settings),))
        case "job" if job is not None:
            return _job_changed(rest, used, view, session, job)
    return None


def _job_changed(what: str, used: Used, view: View, session: Session, job: Job) -> Outcome:
    if what in ("save", "copy"):
        return Outcome(view, wishes=(Wish(what),))
    try:
        if what == "units":
            after = replace(job, units="in" if job.units == "cm" else "cm")
        elif what == "notes":
            after = replace(job, notes=str(used.value))
        else:
            after = replace(job, name=str(used.value).strip())
    except ProjectorError as error:
        return Outcome(told(view, str(error), "stop"))
    if after == job:
        return Outcome(view)
    return Outcome(replace(view, changing=used.key), (Replace(session.layout, after),))
