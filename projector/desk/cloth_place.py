"""The cloth: the whole lay, the light's window on it, what it takes, and the commands to lay it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from calibration.table_map import TableMap, lit_outline
from drafting.errors import DraftingError
from projector.cloth.clearance import missing, violations
from projector.cloth.layout import Layout
from projector.cloth.yardage import bought_length, efficiency, lower_bound, used_length
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
from projector.desk.cloth_figure import ClothContent, light_window
from projector.desk.cloth_rows import LENGTHS, PARTS, SWITCHES, cloth_text, with_cloth_value
from projector.desk.controls import (
    Button,
    Entry,
    Figure,
    Item,
    Look,
    Panel,
    Progress,
    Tone,
    Used,
    Words,
)
from projector.desk.lettering import broken, line_height
from projector.desk.palette import LETTERS_PX
from projector.desk.view import Known, Outcome, View, Wish, told
from projector.errors import ProjectorError
from projector.job import Job, drafted_layout, layout_of, pieces_of, with_layout
from projector.stage import commands as do
from projector.stage.sections import section_step
from projector.stage.session import Session

__all__ = ["HELP", "ClothPart", "cloth_content", "cloth_items", "cloth_used"]

HELP = (
    "The picture is the whole cloth as it lies. Drag a piece with the mouse; it may be turned, "
    "mirrored, locked and ticked as cut by the buttons below or by the keys T, M, L and C. "
    "Arrows move it by 1 mm, with Shift by 0.1 mm. Pieces that overlap are red.\n"
    "The amber frame is what the projector lights. Drag it by its tab to slide the cloth; dotted "
    "lines are the sections. The wheel makes the picture larger or smaller.\n"
    "Search looks for a shorter lay as long as you let it, and shows every better one at once; "
    "locked and cut pieces stay. Whatever it found can be taken back in one step.\n"
    "Length is measured from the cut end. What to buy is rounded up to 10 cm."
)
SEARCH_SECONDS = 60.0


@dataclass(frozen=True, slots=True)
class ClothPart:
    """What the place remembers: how large the cloth is shown, and what is beside it."""

    zoom: float = 1.0
    middle: float | None = None
    whole: bool = False
    beside: str = "faults"


def section_of(table_map: TableMap | None) -> float:
    """The step of the sections along the cloth, mm; 0 without a map."""
    return 0.0 if table_map is None else section_step(table_map)


def cloth_content(view: View, session: Session, known: Known) -> ClothContent:
    """What the figure shows."""
    part: ClothPart = view.part("cloth", ClothPart())
    lit: tuple[tuple[float, float], ...] = ()
    if known.table_map is not None:
        lit = light_window(lit_outline(known.table_map), session.table_from_cloth)
    return ClothContent(
        session.layout, session.selection, lit, section_of(known.table_map),
        part.zoom, part.middle, part.whole,
    )  # fmt: skip


def cloth_items(view: View, session: Session, known: Known, frame: Frame) -> tuple[Item, ...]:
    """Everything on the place."""
    job = session.job
    if job is None:
        return (Words(frame.body, "No job is open.", "soft", 1.2, align="middle"),)
    side, rest = cut_right(frame.body, frame.px(280), frame.px(12))
    below, upper = cut_bottom(rest, frame.px(112), frame.px(10))
    items: list[Item] = [Panel(upper), Panel(below), Panel(side)]
    inner = inset(upper, frame.px(10), frame.px(8))
    top, inner = cut_top(inner, frame.px(38), frame.px(4))
    figures, figure = cut_top(inner, frame.px(30), frame.px(4))
    items += _chooser(job, session.layout, view, top, frame)
    items.append(Words(figures, _told(session.layout), size=1.05, bold=True))
    items.append(Figure("cloth", figure, cloth_content(view, session, known)))
    items += _commands(session, known, inset(below, frame.px(10), frame.px(8)), frame)
    items += _side(view, session, job, inset(side, frame.px(12), frame.px(8)), frame)
    return tuple(items)


def _told(layout: Layout) -> str:
    if not layout.pieces:
        return "No pieces are cut from this cloth."
    if not layout.placements:
        return f"{len(missing(layout))} pieces are still to be laid."
    used = used_length(layout)
    text = (
        f"{used / 1000:.2f} m used, {bought_length(used) / 1000:.1f} m to buy, "
        f"{efficiency(layout):.0%} of it pieces"
    )
    if not missing(layout):
        text += f"; no lay is shorter than {lower_bound(layout).length / 1000:.2f} m"
    return text


def _chooser(job: Job, layout: Layout, view: View, area: Area, frame: Frame) -> list[Item]:
    part: ClothPart = view.part("cloth", ClothPart())
    sight, rest = cut_right(area, frame.px(250), frame.px(10))
    items: list[Item] = []
    label, rest = cut_left(rest, frame.px(54), frame.px(4))
    items.append(Words(label, "Cloth", "soft"))
    for cloth in job.cloths[:5]:
        slot, rest = cut_left(rest, frame.px(110), frame.px(4))
        look: Look = "chosen" if cloth.name == layout.cloth.name else "plain"
        items.append(
            Button(
                f"cloth:{cloth.name}", slot, cloth.name, look, help="Show this cloth and its lay"
            )
        )
    smaller, larger, all_of_it = columns(sight, 3, frame.px(4))
    items += [
        Button("zoom:out", smaller, "–", enabled=part.zoom > 1.0, help="Smaller picture"),
        Button("zoom:in", larger, "+", help="Larger picture; the wheel does it too"),
        Button("zoom:fit", all_of_it, "All of it", "chosen" if part.whole else "plain",
               help="The cloth to its far end, or only as far as pieces lie"),
    ]  # fmt: skip
    return items


def _commands(session: Session, known: Known, area: Area, frame: Frame) -> list[Item]:
    upper, lower = cut_top(area, (area.height - frame.px(8)) // 2, frame.px(8))
    layout = session.layout
    items: list[Item] = []
    if known.search is not None:
        stop, bar = cut_left(upper, frame.px(120), frame.px(10))
        search = known.search
        shortest = f"{search.length / 1000:.2f} m" if search.length else "none yet"
        text = f"{search.elapsed:.0f} s; shortest {shortest}; no shorter for {search.quiet:.0f} s"
        items += [
            Button("search:stop", stop, "Stop", "main", help="The shortest lay so far stays"),
            Progress(bar, search.elapsed / search.budget, text),
        ]
    else:
        able = bool(layout.pieces)
        undo_able = known.before_search is not None and known.before_search != layout
        left = bool(missing(layout))
        for button, slot in zip(
            (
                ("search:begin", "Search for a shorter lay", able, "Runs for a minute at most"),
                ("search:undo", "Undo the search", undo_able, "Back to the lay before it"),
                ("lay:tidy", "Tidy", bool(layout.placements),
                 "The chosen piece slides home; with none chosen every loose one moves up"),
                ("lay:rest", "Lay the rest", left, "Lay what is missing, and leave what lies"),
            ),
            columns(upper, 4, frame.px(8)), strict=True,
        ):  # fmt: skip
            key, text, on, help_text = button
            look: Look = "main" if key == "search:begin" else "plain"
            items.append(Button(key, slot, text, look, on, help_text))
    chosen = session.selection is not None and session.selection < len(layout.placements)
    piece = layout.placements[session.selection] if chosen else None  # type: ignore[index]
    name, rest = cut_left(lower, frame.px(150), frame.px(6))
    items.append(
        Words(name, piece.piece if piece else "no piece chosen", "ink" if piece else "soft",
              bold=piece is not None)
    )  # fmt: skip
    buttons = (
        ("piece:left", "Turn left", "5 degrees; T"),
        ("piece:right", "Turn right", "5 degrees; Shift+T"),
        ("piece:grain", "To grain", "G"),
        ("piece:mirror", "Mirror", "M"),
        ("piece:lock", "Release" if piece and piece.locked else "Lock", "L: nothing moves it"),
        ("piece:cut", "Not cut" if piece and piece.cut else "Cut", "C: tick it as cut"),
        ("piece:off", "Take off", "Take it off the cloth"),
    )
    for (key, text, help_text), slot in zip(buttons, columns(rest, 7, frame.px(6)), strict=True):
        items.append(Button(key, slot, text, enabled=piece is not None, help=help_text))
    return items


def _side(view: View, session: Session, job: Job, area: Area, frame: Frame) -> list[Item]:
    part: ClothPart = view.part("cloth", ClothPart())
    tabs, area = cut_top(area, frame.px(38), frame.px(8))
    items: list[Item] = []
    for name, slot in zip(("faults", "cloth"), columns(tabs, 2, frame.px(4)), strict=True):
        look: Look = "chosen" if part.beside == name else "plain"
        text = {"faults": "The lay", "cloth": "The cloth"}[name]
        items.append(Button(f"beside:{name}", slot, text, look))
    if part.beside == "cloth":
        return items + _cloth_rows(session, job, area, frame)
    return items + _faults(session.layout, area, frame)


def _faults(layout: Layout, area: Area, frame: Frame) -> list[Item]:
    items: list[Item] = []
    faults: list[tuple[str, Tone]] = [(fault, "stop") for fault in violations(layout)]
    gone = missing(layout)
    faults += [
        (f"{piece}{f' ({copy + 1})' if copy else ''} is not laid yet", "warning")
        for piece, copy in gone
    ]
    done = sum(placement.cut for placement in layout.placements)
    line, area = cut_top(area, frame.px(30), frame.px(4))
    total = len(layout.placements) + len(gone)
    items.append(Words(line, f"{done} of {total} cut", "soft"))
    if not faults and layout.placements:
        line, area = cut_top(area, frame.px(52))
        items.append(Words(line, "Everything lies on the cloth, on the grain, clear of the rest.",
                           "fine", wrapped=True))  # fmt: skip
    letters = round(0.92 * LETTERS_PX * frame.scale)
    for number, (text, tone) in enumerate(faults):
        if area.height < 4 * line_height(letters):
            items.append(Words(area, f"and {len(faults) - number} more", "soft", wrapped=True))
            break
        height = line_height(letters) * len(broken(text, letters, area.width))
        slot, area = cut_top(area, height, frame.px(6))
        items.append(Words(slot, text, tone, 0.92, wrapped=True))
    return items


def _cloth_rows(session: Session, job: Job, area: Area, frame: Frame) -> list[Item]:
    cloth = session.layout.cloth
    items: list[Item] = []
    slots = iter(rows(area, frame.px(38), frame.px(6)))
    for name, (text, help_text) in (*LENGTHS.items(), *PARTS.items()):
        slot = next(slots, None)
        if slot is None:
            return items
        label, entry = cut_left(slot, frame.px(128), frame.px(4))
        shown = cloth_text(cloth, name, job.units)
        items += [
            Words(label, text, size=0.92),
            Entry(f"cloth_value:{name}", entry, shown, help_text),
        ]
    for name, (text, help_text) in SWITCHES.items():
        slot = next(slots, None)
        if slot is None:
            return items
        label, button = cut_left(slot, frame.px(128), frame.px(4))
        on = getattr(cloth, name)
        items += [
            Words(label, text, size=0.92),
            Button(f"cloth_switch:{name}", button, "yes" if on else "no",
                   "chosen" if on else "plain", help=help_text),
        ]  # fmt: skip
    return items


def cloth_used(used: Used, view: View, session: Session, known: Known) -> Outcome | None:
    """What a control of the place does; None for a control that is not of this place."""
    what, _, rest = used.key.partition(":")
    part: ClothPart = view.part("cloth", ClothPart())
    job = session.job
    match what:
        case "zoom" if rest == "fit":
            part = replace(part, zoom=1.0, middle=None, whole=not part.whole)
            return Outcome(view.with_part("cloth", part))
        case "zoom":
            return Outcome(zoomed(view, 1.5 if rest == "in" else 1 / 1.5, None))
        case "beside":
            return Outcome(view.with_part("cloth", replace(part, beside=rest)))
        case "search":
            return Outcome(view, wishes=(Wish(f"search {rest}"),))
        case "lay":
            return Outcome(view, wishes=(Wish(f"lay {rest}"),))
        case "piece":
            return Outcome(replace(view, changing=""), piece_commands(rest, session))
        case "cloth" if job is not None:
            return _other_cloth(rest, view, session, job)
        case "cloth_value" | "cloth_switch" if job is not None:
            return _cloth_changed(rest, str(used.value), view, session, job)
    return None


def zoomed(view: View, factor: float, at: float | None) -> View:
    """The view with the picture of the cloth larger or smaller, about a place along it, mm."""
    part: ClothPart = view.part("cloth", ClothPart())
    zoom = min(40.0, max(1.0, part.zoom * factor))
    middle = part.middle if at is None else at
    if zoom == 1.0:
        middle = None
    return view.with_part("cloth", replace(part, zoom=zoom, middle=middle))


def piece_commands(what: str, session: Session) -> tuple[do.Command, ...]:
    """The commands of a button about the piece that is chosen."""
    if what == "off":
        if session.selection is None:
            return ()
        kept = list(session.layout.placements)
        del kept[session.selection]
        return (do.Replace(replace(session.layout, placements=tuple(kept))), do.Select(None))
    meant: dict[str, do.Command] = {
        "left": do.Turn(math.radians(5.0)),
        "right": do.Turn(math.radians(-5.0)),
        "grain": do.SnapToGrain(),
        "mirror": do.Mirror(),
        "lock": do.Lock(),
        "cut": do.TickAsCut(),
    }
    return (meant[what],) if what in meant else ()


def _other_cloth(name: str, view: View, session: Session, job: Job) -> Outcome:
    if name == session.layout.cloth.name:
        return Outcome(view)
    try:
        kept = with_layout(job, session.layout) if session.layout.pieces else job
        layout = layout_of(kept, pieces_of(kept), name)
    except (DraftingError, ProjectorError) as error:
        return Outcome(told(view, str(error), "stop"))
    view = view.with_part("cloth", replace(view.part("cloth", ClothPart()), zoom=1.0, middle=None))
    return Outcome(view, (do.Replace(layout, kept), do.Select(None)))


def _cloth_changed(name: str, text: str, view: View, session: Session, job: Job) -> Outcome:
    try:
        after = with_cloth_value(job, session.layout.cloth.name, name, text)
        if after == job:
            return Outcome(view)
        layout = drafted_layout(after, session.layout)
    except (DraftingError, ProjectorError) as error:
        return Outcome(told(view, str(error), "stop"))
    return Outcome(told(replace(view, changing=""), ""), (do.Replace(layout, after),))
