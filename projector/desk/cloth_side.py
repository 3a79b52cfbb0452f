"""Beside the lay: what is wrong with it, what the cloth is, its flaws, and what each does."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from drafting.errors import DraftingError
from drafting.units import parsed_length, written_length
from projector.cloth.clearance import missing, violations
from projector.cloth.cloth import COLOURS
from projector.cloth.layout import Layout, piece_of
from projector.cloth.leftover import leftover_words
from projector.cloth.yardage import MET, used_length
from projector.desk.areas import Area, Frame, cut_bottom, cut_left, cut_right, cut_top
from projector.desk.areas import rows as rows_in
from projector.desk.cloth_rows import ANGLES, LENGTHS, PARTS, SWITCHES, cloth_text, with_cloth_value
from projector.desk.cloths import (
    added_cloth,
    removed_cloth,
    renamed_cloth,
    with_flaw,
    with_piece_on,
    without_flaw,
)
from projector.desk.controls import Button, Entry, Item, Look, Tone, Used, Words
from projector.desk.lettering import broken, columns_for, line_height
from projector.desk.pages import stepped
from projector.desk.palette import LETTERS_PX
from projector.desk.stripe_rows import StripePart, stripe_items, stripes_changed
from projector.desk.view import Known, Outcome, View, told
from projector.errors import ProjectorError
from projector.job import Job, cloth_lies, drafted_layout, with_layout
from projector.stage import commands as do
from projector.stage.session import Session

__all__ = ["ClothPart", "cloth_changed", "side_items"]


@dataclass(frozen=True, slots=True)
class ClothPart:
    """What the place remembers: how large the cloth is shown, and what is beside it.

    `middle` is the place on the cloth in the middle of the picture, mm, None for that of what is
    shown; `marking` while the next drag over the cloth marks a flaw, `marked` its corners so far.
    """

    zoom: float = 1.0
    middle: tuple[float, float] | None = None
    whole: bool = False
    beside: str = "lay"
    marking: bool = False
    marked: tuple[float, float, float, float] | None = None
    stripes: StripePart = field(default_factory=StripePart)


_TABS = {"lay": "Lay", "cloth": "Cloth", "flaws": "Flaws", "stripes": "Stripes"}


def side_items(view: View, session: Session, known: Known, area: Area, frame: Frame) -> list[Item]:
    """The tab that is chosen."""
    job = session.job
    assert job is not None
    part = view.part(ClothPart)
    tabs, area = cut_top(area, frame.px(38), frame.px(8))
    items: list[Item] = []
    letters = round(LETTERS_PX * frame.scale)
    slots = columns_for(tabs, tuple(_TABS.values()), letters, frame.px(4))
    for (name, text), slot in zip(_TABS.items(), slots, strict=True):
        look: Look = "chosen" if part.beside == name else "plain"
        items.append(Button(f"beside:{name}", slot, text, look))
    if part.beside == "cloth":
        return items + _cloth_rows(session, job, area, frame)
    if part.beside == "flaws":
        return items + _flaws(part, session, job, area, frame)
    if part.beside == "stripes":
        return items + stripe_items(part.stripes, session.layout, job.units, area, frame)
    return items + _lay(session, job, known, area, frame)


def _lay(session: Session, job: Job, known: Known, area: Area, frame: Frame) -> list[Item]:
    layout, bound = session.layout, known.bound
    items: list[Item] = []
    if session.selection is not None and len(job.cloths) > 1:
        chooser, area = cut_bottom(area, frame.px(70), frame.px(8))
        items += _cut_from(session, job, chooser, frame)
    faults: list[tuple[str, Tone]] = [(fault, "stop") for fault in violations(layout)]
    gone = missing(layout)
    faults += [
        (f"{piece}{f' ({copy + 1})' if copy else ''} is not laid yet", "warning")
        for piece, copy in gone
    ]
    if not faults and layout.placements:
        faults = [("Everything lies on the cloth, on the grain, clear of the rest.", "fine")]
        if bound is not None:
            text = f"No lay can be shorter than {bound.length / 1000:.2f} m: {bound.reason}."
            if used_length(layout) <= bound.length + MET:
                text = f"This is the shortest possible: {bound.reason}."
            faults.append((text, "soft"))
        left = leftover_words(known.leftover, layout.cloth) if known.leftover else ""
        faults += [(f"{left.capitalize()}.", "soft")] if left else []
    letters = round(0.92 * LETTERS_PX * frame.scale)
    for number, (text, tone) in enumerate(faults):
        height = line_height(letters) * len(broken(text, letters, area.width))
        if area.height < height + 2 * line_height(letters) and number + 1 < len(faults):
            items.append(Words(area, f"and {len(faults) - number} more", "soft", wrapped=True))
            break
        slot, area = cut_top(area, height, frame.px(6))
        items.append(Words(slot, text, tone, 0.92, wrapped=True))
    return items


def _cut_from(session: Session, job: Job, area: Area, frame: Frame) -> list[Item]:
    """From which cloth the chosen piece is cut, one word between two buttons."""
    assert session.selection is not None
    if session.selection >= len(session.layout.placements):
        return []
    piece = piece_of(session.layout, session.layout.placements[session.selection])
    names = [cloth.name for cloth in job.cloths]
    at = names.index(session.layout.cloth.name)
    label, line = cut_top(area, frame.px(26), frame.px(4))
    back, rest = cut_left(line, frame.px(40), frame.px(4))
    on, word = cut_right(rest, frame.px(40), frame.px(4))
    before, after = names[at - 1], names[(at + 1) % len(names)]
    return [
        Words(label, f"{piece.name} is cut, in every size, from", "soft", 0.92),
        Button("from:back", back, "‹", help=before),
        Words(word, names[at], bold=True, align="middle"),
        Button("from:on", on, "›", help=after),
    ]


def _cloth_rows(session: Session, job: Job, area: Area, frame: Frame) -> list[Item]:
    cloth = session.layout.cloth
    items: list[Item] = []
    away, area = cut_bottom(area, frame.px(36), frame.px(6))
    help_away = "Its pieces are cut from the first cloth then; undo brings it back"
    able = len(job.cloths) > 1
    last = Button("cloth_away", away, "Remove this cloth", enabled=able, help=help_away)
    slots = iter(rows_in(area, frame.px(34), frame.px(5)))

    def row(text: str) -> Area | None:
        slot = next(slots, None)
        if slot is None:
            return None
        label, rest = cut_left(slot, frame.px(128), frame.px(4))
        items.append(Words(label, text, size=0.92))
        return rest

    entries = [("name", "Name", "Written on the job sheet", cloth.name)]
    entries += [
        (name, text, help_text, cloth_text(cloth, name, job.units))
        for name, (text, help_text) in (*LENGTHS.items(), *PARTS.items(), *ANGLES.items())
    ]
    for name, text, help_text, value in entries:
        if (slot := row(text)) is not None:
            items.append(Entry(f"cloth_value:{name}", slot, value, help_text))
    if (slot := row("Colour")) is not None:
        after = COLOURS[(COLOURS.index(cloth.colour) + 1) % len(COLOURS)]
        help_colour = "Lines are lit in colours that read on it; press for the next"
        items.append(Button(f"cloth_colour:{after}", slot, cloth.colour, help=help_colour))
    for name, (text, help_text) in SWITCHES.items():
        if (slot := row(text)) is not None:
            on = getattr(cloth, name)
            items.append(Button(f"cloth_switch:{name}", slot, "yes" if on else "no",
                                "chosen" if on else "plain", help=help_text))  # fmt: skip
    return [*items, last]


def _flaws(part: ClothPart, session: Session, job: Job, area: Area, frame: Frame) -> list[Item]:
    """The flaws, each with a button to take it away, and two ways to mark another one."""
    cloth = session.layout.cloth
    mark, area = cut_top(area, frame.px(42), frame.px(6))
    text = "Drag over the flaw" if part.marking else "Mark a flaw"
    items: list[Item] = [
        Button("flaw:mark", mark, text, "chosen" if part.marking else "main",
               help="Press, then drag over the place in the picture")
    ]  # fmt: skip
    line, area = cut_top(area, frame.px(24), frame.px(2))
    items.append(Words(line, "or type along, across, length, width", "soft", 0.86))
    line, area = cut_top(area, frame.px(38), frame.px(10))
    items.append(Entry("flaw:typed", line, "", f"Four lengths in {job.units}: 120, 30, 5, 4"))
    slots = rows_in(area, frame.px(36), frame.px(4))
    if not cloth.flaws and slots:
        items.append(Words(slots[0], "No flaw is marked.", "soft"))
    for number, (flaw, slot) in enumerate(zip(cloth.flaws, slots, strict=False)):
        words, away = cut_left(slot, slot.width - frame.px(44), frame.px(4))
        x, y = [p[0] for p in flaw], [p[1] for p in flaw]
        long, wide = (written_length(max(way) - min(way), job.units) for way in (x, y))
        where = f"at {written_length(min(x), job.units)}: {long} × {wide}"
        items += [
            Words(words, where, size=0.9),
            Button(f"flaw:{number}", away, "×", "quiet", help="It is no flaw any more"),
        ]
    if len(cloth.flaws) > len(slots) and slots:
        items.append(Words(cut_bottom(area, frame.px(20))[0], "and more", "soft", 0.86))
    return items


def cloth_changed(
    used: Used, view: View, session: Session, job: Job, known: Known
) -> Outcome | None:
    """What a control beside the lay does; None for a control that is not of it."""
    what, rest = used.meant
    part = view.part(ClothPart)
    name, view = session.layout.cloth.name, replace(view, changing="")
    layout = session.layout
    more: tuple[do.Command, ...] = ()
    try:
        match what:
            case "beside":
                return Outcome(view.with_part(replace(part, beside=rest, marking=False)))
            case "flaw" if rest == "mark":
                marking = replace(part, marking=not part.marking, marked=None)
                return Outcome(view.with_part(marking))
            case "flaw" if rest == "typed":
                after = _flaw_typed(job, name, str(used.value))
            case "flaw":
                after = without_flaw(job, name, int(rest))
            case "stripe_page":
                page = stepped(part.stripes.page, rest)
                turned = replace(part, stripes=replace(part.stripes, page=page))
                return Outcome(view.with_part(turned))
            case "stripe":
                stripes, after = stripes_changed(rest, part.stripes, job, layout)
                view = view.with_part(replace(part, stripes=stripes))
            case "cloth_value" if rest == "name":
                after, layout = renamed_cloth(job, layout, str(used.value))
                return Outcome(told(view, ""), (do.Replace(layout, after),))
            case "cloth_value" | "cloth_switch":
                after = with_cloth_value(job, name, rest, str(used.value))
            case "cloth_colour":
                after = with_cloth_value(job, name, "colour", rest)
            case "cloth_add":
                kept = None if known.table_map is None else known.lies
                after = added_cloth(with_layout(job, layout, kept) if layout.pieces else job)
                layout = Layout(after.cloths[-1], ())
                view = view.with_part(ClothPart(beside="cloth"))
                more = (do.Select(None),)
            case "cloth_away":
                after, more = removed_cloth(job, name), (do.Select(None),)
                layout = Layout(after.cloths[0], ())
            case "from":
                if session.selection is None:
                    return Outcome(view)
                piece = piece_of(layout, layout.placements[session.selection])
                names = [cloth.name for cloth in job.cloths]
                way = 1 if rest == "on" else -1
                other = names[(names.index(name) + way) % len(names)]
                after = with_piece_on(job, piece.name, other)
                view = told(view, f"{piece.name} is cut from {other} now; lay the rest there")
                layout = drafted_layout(after, layout)
                return Outcome(view, (do.Select(None), do.Replace(layout, after)))
            case _:
                return None
        if after == job:
            return Outcome(view)
        layout = drafted_layout(after, layout)
    except (DraftingError, ProjectorError) as error:
        return Outcome(told(view, str(error), "stop"))
    # The light goes with another cloth; of one that is merely changed it stays where it is.
    another = layout.cloth.name != name
    lies = cloth_lies(after, layout.cloth.name) if known.table_map is not None else known.lies
    by = known.lies.inverse @ lies if another else None
    return Outcome(told(view, ""), (do.Replace(layout, after, by=by), *more))


def _flaw_typed(job: Job, cloth: str, text: str) -> Job:
    parts = [word for word in text.replace(";", ",").split(",") if word.strip()]
    if len(parts) != 4:
        raise ProjectorError(f"a flaw is four lengths, such as 120, 30, 5, 4; found {len(parts)}")
    along, across, length, width = (
        0.0 if word.strip() == "0" else parsed_length(word.strip(), job.units) for word in parts
    )
    return with_flaw(job, cloth, along, across, length, width)
