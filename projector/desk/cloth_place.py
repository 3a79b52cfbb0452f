"""The cloth: the whole lay, the light's window on it, what it takes, and the commands to lay it."""

from __future__ import annotations

import math
from dataclasses import replace

from calibration.table_map import TableMap, lit_outline
from drafting.errors import DraftingError
from projector.cloth.clearance import missing
from projector.cloth.layout import Layout, piece_of
from projector.cloth.shapes import lies_on_fold
from projector.cloth.yardage import LowerBound, bought_length, efficiency, used_length
from projector.desk.areas import (
    Area,
    Frame,
    columns,
    cut_bottom,
    cut_left,
    cut_right,
    cut_top,
    inset,
)
from projector.desk.cloth_figure import ClothContent, light_window
from projector.desk.cloth_side import ClothPart, cloth_changed, side_items
from projector.desk.controls import (
    Button,
    Figure,
    Item,
    Look,
    Panel,
    Progress,
    Used,
    Words,
)
from projector.desk.empty_place import empty_items
from projector.desk.view import Known, Outcome, View, Wish, told
from projector.errors import ProjectorError
from projector.job import Job, cloth_lies, cloth_named, drafted_layout, with_layout
from projector.stage import commands as do
from projector.stage.moves import middle_of
from projector.stage.sections import section_step
from projector.stage.session import Session

__all__ = [
    "HELP", "cloth_content", "cloth_items", "cloth_used", "held_still", "piece_commands",
    "section_of", "zoomed",
]  # fmt: skip

HELP = (
    "The picture is the whole cloth as it lies. Drag a piece with the mouse; with the right button "
    "it is turned about its middle. It snaps to edges and neighbours unless Alt is held. Buttons "
    "below or keys turn, straighten, mirror, lock and tick it as cut, and arrows move it. Pieces "
    "that overlap are red.\n"
    "The amber frame is what the projector lights. Drag it by its tab above the cloth to slide the "
    "cloth; dotted lines are the sections. The wheel makes the picture larger or smaller, and a "
    "drag over bare cloth moves it.\n"
    "Search looks for a shorter lay as long as you let it, and shows every better one at once; "
    "locked and cut pieces stay. Whatever it found can be taken back in one step.\n"
    "+ adds a cloth; its width, fold, nap, repeats and shrinkage stand under Cloth, places to "
    "keep clear of under Flaws, points that lie on a stripe under Stripes. With several cloths, "
    "choose a piece and tell under Lay from which one it is cut.\n"
    "Length is measured from the cut end. What to buy is rounded up to 10 cm."
)


def section_of(table_map: TableMap | None) -> float:
    """The step of the sections along the cloth, mm; 0 without a map."""
    return 0.0 if table_map is None else section_step(table_map)


def cloth_content(view: View, session: Session, known: Known) -> ClothContent:
    """What the figure shows."""
    part = view.part(ClothPart)
    lit: tuple[tuple[float, float], ...] = ()
    if known.table_map is not None:
        lit = light_window(lit_outline(known.table_map), session.table_from_cloth)
    return ClothContent(
        session.layout, session.selection, lit, section_of(known.table_map),
        part.zoom, part.middle, part.whole, part.marked,
    )  # fmt: skip


def cloth_items(view: View, session: Session, known: Known, frame: Frame) -> tuple[Item, ...]:
    """Everything on the place."""
    job = session.job
    if job is None:
        return empty_items(frame)
    side, rest = cut_right(frame.body, frame.px(280), frame.px(12))
    below, upper = cut_bottom(rest, frame.px(112), frame.px(10))
    items: list[Item] = [Panel(upper), Panel(below), Panel(side)]
    inner = inset(upper, frame.px(10), frame.px(8))
    top, inner = cut_top(inner, frame.px(38), frame.px(4))
    figures, figure = cut_top(inner, frame.px(58), frame.px(4))
    items += _chooser(job, session.layout, view, top, frame)
    items += _figures(session.layout, known.bound, figures, frame)
    items.append(Figure("cloth", figure, cloth_content(view, session, known)))
    items += _commands(session, known, inset(below, frame.px(10), frame.px(8)), frame)
    items += side_items(view, session, known, inset(side, frame.px(12), frame.px(8)), frame)
    return tuple(items)


def _figures(layout: Layout, bound: LowerBound | None, area: Area, frame: Frame) -> list[Item]:
    """What the lay takes, in letters that can be read from the table."""
    if not layout.pieces:
        text = "No pieces are cut from this cloth."
        return [Words(area, text, "soft", 1.1)]
    done, gone = sum(p.cut for p in layout.placements), len(missing(layout))
    total = len(layout.placements) + gone
    if not layout.placements:
        return [Words(area, f"{gone} pieces are still to be laid.", "warning", 1.1, bold=True)]
    used = used_length(layout)
    told = (
        (f"{used / 1000:.2f} m", "used"),
        (f"{bought_length(used) / 1000:.1f} m", "to buy"),
        (f"{efficiency(layout):.0%}", "of it pieces"),
        (_least(bound, bool(gone)), "at the very least"),
        (f"{done} of {total}", "cut"),
    )
    items: list[Item] = []
    for (figure, name), slot in zip(told, columns(area, len(told), frame.px(8)), strict=True):
        upper, lower = cut_top(slot, frame.px(34))
        items += [Words(upper, figure, size=1.45, bold=True), Words(lower, name, "soft", 0.9)]
    return items


def _least(bound: LowerBound | None, gone: bool) -> str:
    if gone or bound is None:
        return "?" if gone else "..."
    return f"{bound.length / 1000:.2f} m"


def _chooser(job: Job, layout: Layout, view: View, area: Area, frame: Frame) -> list[Item]:
    part = view.part(ClothPart)
    sight, rest = cut_right(area, frame.px(250), frame.px(10))
    label, rest = cut_left(rest, frame.px(54), frame.px(4))
    items: list[Item] = [Words(label, "Cloth", "soft")]
    names = [cloth.name for cloth in job.cloths]
    at, shown = names.index(layout.cloth.name) if layout.cloth.name in names else 0, 3
    first = max(0, min(at - 1, len(names) - shown))
    width = (rest.width - frame.px(42 + 38 * 2 + 12)) // shown
    if len(names) > shown:
        back, rest = cut_left(rest, frame.px(34), frame.px(4))
        items.append(Button(f"cloth:{names[at - 1]}", back, "‹", help=names[at - 1]))
    for name in names[first : first + shown]:
        slot, rest = cut_left(rest, width, frame.px(4))
        look: Look = "chosen" if name == layout.cloth.name else "plain"
        # A button of its own beside the ones that step, though it may mean the same cloth.
        items.append(Button(f"cloth:{name}:", slot, name, look, help=f"{name} and its lay"))
    if len(names) > shown:
        on, rest = cut_left(rest, frame.px(34), frame.px(4))
        after = names[(at + 1) % len(names)]
        items.append(Button(f"cloth:{after}", on, "›", help=after))
    add, _ = cut_left(rest, frame.px(38))
    items.append(Button("cloth_add", add, "+", help="Another cloth"))
    smaller, larger, all_of_it = columns(sight, 3, frame.px(4))
    return [
        *items,
        Button("zoom:out", smaller, "–", enabled=part.zoom > 1.0, help="Smaller picture"),
        Button("zoom:in", larger, "+", help="Larger picture; the wheel does it too"),
        Button("zoom:fit", all_of_it, "All of it", "chosen" if part.whole else "plain",
               help="The cloth to its far end, or only as far as pieces lie"),
    ]  # fmt: skip


def _commands(session: Session, known: Known, area: Area, frame: Frame) -> list[Item]:
    upper, lower = cut_top(area, (area.height - frame.px(8)) // 2, frame.px(8))
    layout = session.layout
    items: list[Item] = []
    if known.search is not None:
        stop, bar = cut_left(upper, frame.px(120), frame.px(10))
        search = known.search
        found = "no lay of all the pieces found yet"
        if search.length:
            shortest = f"{search.length / 1000:.2f} m"
            found = f"shortest {shortest}; no shorter for {search.quiet:.0f} s"
        text = f"{search.elapsed:.0f} s; {found}"
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


def cloth_used(used: Used, view: View, session: Session, known: Known) -> Outcome | None:
    """What a control of the place does; None for a control that is not of this place."""
    what, rest = used.meant
    part = view.part(ClothPart)
    job = session.job
    match what:
        case "zoom" if rest == "fit":
            part = replace(part, zoom=1.0, middle=None, whole=not part.whole)
            return Outcome(view.with_part(part))
        case "zoom":
            return Outcome(zoomed(view, 1.5 if rest == "in" else 1 / 1.5, _middle(session)))
        case "search":
            return Outcome(view, wishes=(Wish(f"search {rest}"),))
        case "lay":
            return Outcome(view, wishes=(Wish(f"lay {rest}"),))
        case "piece":
            view = told(replace(view, changing=""), held_still(rest, session))
            return Outcome(view, piece_commands(rest, session))
        case "cloth" if job is not None:
            return _other_cloth(rest.removesuffix(":"), view, session, job, known)
    return None if job is None else cloth_changed(used, view, session, job, known)


def _middle(session: Session) -> tuple[float, float] | None:
    """Of the piece that is chosen, mm on the cloth."""
    layout = session.layout
    if session.selection is None or session.selection >= len(layout.placements):
        return None
    middle = middle_of(layout, layout.placements[session.selection])
    return middle.x, middle.y


def zoomed(view: View, factor: float, middle: tuple[float, float] | None) -> View:
    """The view with the picture of the cloth larger or smaller; `middle` comes to its middle."""
    part = view.part(ClothPart)
    zoom = min(40.0, max(1.0, part.zoom * factor))
    middle = part.middle if middle is None else middle
    return view.with_part(replace(part, zoom=zoom, middle=None if zoom == 1.0 else middle))


def held_still(what: str, session: Session) -> str:
    """Why the chosen piece does not do what a button means; empty where it does."""
    layout = session.layout
    if what not in ("left", "right", "grain", "mirror") or session.selection is None:
        return ""
    placed = layout.placements[session.selection]
    if placed.locked or placed.cut:
        state = "locked: release it" if placed.locked else "ticked as cut: take the tick away"
        return f"{placed.piece} is {state} first"
    if what != "mirror" and lies_on_fold(piece_of(layout, placed), layout.cloth):
        return f"{placed.piece} lies on the fold: it slides along it, and is not turned"
    return ""


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
        "fold": do.SnapToFold(),
        "mirror": do.Mirror(),
        "lock": do.Lock(),
        "cut": do.TickAsCut(),
    }
    return (meant[what],) if what in meant else ()


def _other_cloth(name: str, view: View, session: Session, job: Job, known: Known) -> Outcome:
    if name == session.layout.cloth.name:
        return Outcome(view)
    try:
        mapped = known.table_map is not None
        lies = known.lies if mapped else None
        kept = with_layout(job, session.layout, lies) if session.layout.pieces else job
        layout = drafted_layout(kept, Layout(cloth_named(kept, name), ()))
    except (DraftingError, ProjectorError) as error:
        return Outcome(told(view, str(error), "stop"))
    part = view.part(ClothPart)
    view = view.with_part(replace(part, zoom=1.0, middle=None, marking=False))
    there = cloth_lies(kept, name)
    by = known.lies.inverse @ (there if mapped else known.lies)
    return Outcome(told(view, ""), (do.Replace(layout, kept, by=by), do.Select(None)))
