"""Tracing a paper piece: its photograph, the outline found, corrections, and into the job."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from calibration.board import PAPER
from drafting.errors import DraftingError
from drafting.exchange.completing import EdgeSaid, Said, completed
from drafting.units import parsed_length, written_length
from projector.decimal_point import with_point
from projector.desk.areas import Area, Frame, columns, cut_bottom, cut_left, cut_top, inset
from projector.desk.controls import Button, Entry, Figure, Item, Look, Panel, Progress, Used, Words
from projector.desk.pages import photo_list, stepped
from projector.desk.trace_figure import TraceContent
from projector.desk.trace_part import TOOLS, TracePart, of_photo
from projector.desk.view import Known, Outcome, View, Wish, told
from projector.errors import ProjectorError
from projector.job import Job, drafted_layout, with_pieces
from projector.printed_bars import BARS_ASKED, parsed_bars, told_bars
from projector.stage.commands import Replace
from projector.stage.session import Session
from projector.traced_outline import outline_of

__all__ = ["HELP", "trace_items", "trace_used"]

HELP = (
    "A card block or a paper piece becomes a piece of the job. Lay it flat on a table of another "
    "shade, a printed board beside it, and photograph both from above; or scan it.\n"
    "What was found lies over the photograph: edges by number, corners as squares, notches as red "
    "rings. Drag a corner or a notch to where it belongs. With Corner or Notch pressed, a press on "
    "the edge adds one; with Remove, a press on one takes it away. The wheel makes the photograph "
    "larger about the pointer. Step back takes a correction back.\n"
    "Tell its name, whether the edge is the cutting line or the seam line, the allowance, and "
    "which edge lies on the fold. Take it into the job; undo takes it out again."
)
_LINES = {"cutting": "Cutting line", "seam": "Seam line"}


def trace_items(view: View, session: Session, known: Known, frame: Frame) -> tuple[Item, ...]:
    """Everything on the place."""
    part = view.part(TracePart)
    left, right = cut_left(frame.body, frame.px(400), frame.px(12))
    items: list[Item] = [Panel(left), Panel(right)]
    inner, picture = inset(left, frame.px(12), frame.px(10)), inset(right, frame.px(12))
    if part.photo is None:
        text = "No photograph is chosen yet. Choose one on the left, or drop it on the window."
        items.append(Words(picture, text, "soft", align="middle"))
    else:
        content = TraceContent(part.photo, part.traced, part.zoom, part.middle, part.fold)
        items.append(Figure("trace", picture, content))
    if part.traced is None:
        return (*items, *_beginning(part, known, inner, frame))
    return (*items, *_correcting(part, session, inner, frame))


def _beginning(part: TracePart, known: Known, area: Area, frame: Frame) -> list[Item]:
    gap = frame.px(6)
    title, area = cut_top(area, frame.px(30), frame.px(4))
    items: list[Item] = [Words(title, "A photograph of the piece", "accent", 1.05, bold=True)]
    line, area = cut_top(area, frame.px(40), gap)
    items.append(Entry("trace_path", line, str(known.folder), "A folder or a photograph"))
    below, area = cut_bottom(area, frame.px(46), frame.px(10))
    size, area = cut_bottom(area, frame.px(40), gap)
    beside, area = cut_bottom(area, frame.px(40), gap)
    label, area = cut_bottom(area, frame.px(24), frame.px(2))
    pager, area = cut_bottom(area, frame.px(36), frame.px(8))
    items += _photographs(part, known, area, pager, frame)
    items.append(Words(label, "The printed board beside it, or a scan", size=0.95))
    names = (*PAPER, "scan")
    for name, slot in zip(names, columns(beside, len(names), frame.px(4)), strict=True):
        look: Look = "chosen" if name == part.paper else "plain"
        help_text = "A scan of known dots an inch" if name == "scan" else "This board beside it"
        items.append(Button(f"trace_scale:{name}", slot, name.capitalize(), look, help=help_text))
    words, entry = cut_left(size, frame.px(150), frame.px(4))
    told_by = (
        ("Dots an inch", "trace_dots", f"{part.dots:g}", "As the scanner was set")
        if part.paper == "scan"
        else ("Bars, mm", "trace_bar", told_bars(part.bars), BARS_ASKED)
    )
    items += [Words(words, told_by[0], size=0.95), Entry(told_by[1], entry, *told_by[2:])]
    if known.tracing is not None:
        return [*items, Progress(below, known.tracing[1], known.tracing[0])]
    able = part.photo is not None
    return [*items, Button("trace_find", below, "Trace it", "main" if able else "plain", able,
                           "Takes some seconds")]  # fmt: skip


def _photographs(
    part: TracePart, known: Known, area: Area, pager: Area, frame: Frame
) -> list[Item]:
    photo = part.photo
    chosen = () if photo is None or photo.parent != known.folder else (photo.name,)
    keys, images = ("trace_photo", "trace_page"), known.table.images
    return photo_list(keys, images, chosen, part.page, (area, pager), frame)


def _correcting(part: TracePart, session: Session, area: Area, frame: Frame) -> list[Item]:
    assert part.traced is not None
    gap = frame.px(6)
    tracing = part.traced.tracing
    title, area = cut_top(area, frame.px(30), frame.px(4))
    count = len(tracing.notches)
    text = f"{len(tracing.corners)} corners, {count} notch{'' if count == 1 else 'es'}"
    items: list[Item] = [Words(title, text, "accent", 1.05, bold=True)]
    if part.traced.told:
        line, area = cut_top(area, frame.px(44), gap)
        items.append(Words(line, part.traced.told, "warning", 0.88, wrapped=True))
    line, area = cut_top(area, frame.px(42), gap)
    for (name, word), slot in zip(TOOLS.items(), columns(line, 4, frame.px(4)), strict=True):
        look: Look = "chosen" if name == part.tool else "plain"
        items.append(Button(f"trace_tool:{name}", slot, word, look))
    line, area = cut_top(area, frame.px(40), frame.px(12))
    back, whole, anew = columns(line, 3, gap)
    items += [
        Button("trace_back", back, "Step back", enabled=bool(part.before)),
        Button("trace_whole", whole, "All of it", enabled=part.zoom > 1.0),
        Button("trace_anew", anew, "Another", help="Leave this one and choose a photograph"),
    ]
    units = "cm" if session.job is None else session.job.units
    for key, name, value, help_text in (
        ("name", "Name", part.name, "Such as front; it is written on the piece"),
        ("size", "Size", part.size, "Such as M; may stay empty"),
        ("allowance", "Allowance", written_length(part.allowance, units), "Beyond the seam line"),
    ):
        line, area = cut_top(area, frame.px(40), gap)
        label, entry = cut_left(line, frame.px(110), frame.px(4))
        items += [
            Words(label, name, size=0.95),
            Entry(f"trace_said:{key}", entry, value, help_text),
        ]
    line, area = cut_top(area, frame.px(40), gap)
    label, rest = cut_left(line, frame.px(110), frame.px(4))
    items.append(Words(label, "Its edge is", size=0.95))
    for (name, word), slot in zip(_LINES.items(), columns(rest, 2, frame.px(4)), strict=True):
        look = "chosen" if name == part.line else "plain"
        items.append(Button(f"trace_line:{name}", slot, word, look))
    line, area = cut_top(area, frame.px(40), gap)
    label, rest = cut_left(line, frame.px(110), frame.px(4))
    fewer, word_area, more = columns(rest, 3, frame.px(4))
    items += [
        Words(label, "On the fold", size=0.95),
        Button("trace_fold:back", fewer, "‹", enabled=part.fold > 0),
        Words(word_area, f"edge {part.fold}" if part.fold else "none", bold=True, align="middle"),
        Button("trace_fold:on", more, "›", enabled=part.fold < max(2, len(tracing.corners))),
    ]
    below, _ = cut_bottom(area, frame.px(46))
    able = session.job is not None
    items.append(Button("trace_take", below, "Take it into the job", "main" if able else "plain",
                        able, "Undo takes it out again"))  # fmt: skip
    return items


def trace_used(used: Used, view: View, session: Session, known: Known) -> Outcome | None:
    """What a control of the place does; None for a control that is not of this place."""
    what, rest = used.meant
    part = view.part(TracePart)
    text = str(used.value)
    try:
        match what:
            case "trace_photo":
                after = of_photo(part, known.folder / rest)
            case "trace_path":
                return Outcome(view, wishes=(Wish("photo path", Path(text).expanduser()),))
            case "trace_page":
                after = replace(part, page=stepped(part.page, rest))
            case "trace_scale":
                after = replace(part, paper=rest)
            case "trace_bar":
                after = replace(part, bars=parsed_bars("bars", text))
            case "trace_dots":
                after = replace(part, dots=_between(_number(text), 20.0, 4800.0, "dots an inch"))
            case "trace_find":
                return Outcome(view, wishes=(Wish("trace", part),))
            case "trace_tool":
                after = replace(part, tool=rest)
            case "trace_back" if part.before:
                after = replace(part, traced=part.before[-1], before=part.before[:-1])
            case "trace_whole":
                after = replace(part, zoom=1.0, middle=None)
            case "trace_anew":
                after = of_photo(part, None)
            case "trace_line":
                after = replace(part, line=rest)
            case "trace_fold":
                after = replace(part, fold=stepped(part.fold, rest))
            case "trace_said" if rest == "allowance":
                units = "cm" if session.job is None else session.job.units
                wide = 0.0 if text == "0" else parsed_length(with_point(text), units)
                after = replace(part, allowance=wide)
            case "trace_said":
                after = replace(part, **{rest: text.strip()})  # type: ignore[arg-type]
            case "trace_take" if session.job is not None:
                return _taken(part, view, session, session.job)
            case _:
                return None
    except (DraftingError, ProjectorError) as error:
        return Outcome(told(view, str(error), "stop"))
    return Outcome(told(view.with_part(after), ""))


def _number(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise ProjectorError(f"{text!r} is not a number") from None


def _between(value: float, low: float, high: float, what: str) -> float:
    if not low <= value <= high:
        raise ProjectorError(f"{value:g} {what}; wanted {low:g} to {high:g}")
    return value


def _taken(part: TracePart, view: View, session: Session, job: Job) -> Outcome:
    """The piece, completed by what was said of it, in the job."""
    assert part.traced is not None
    tracing = part.traced.tracing
    said = Said(
        part.name, part.size, cloth=session.layout.cloth.name,
        line="seam" if part.line == "seam" else "cutting", allowance=part.allowance,
        edges={part.fold: EdgeSaid("fold")} if part.fold else {},
    )  # fmt: skip
    if not part.name:
        raise ProjectorError("a piece needs a name; it is written on it")
    piece = completed(outline_of(tracing), said, tracing.notches)
    after = with_pieces(job, (piece,))
    layout = drafted_layout(after, session.layout)
    view = view.with_part(of_photo(part, None))
    message = f"{piece.name} is in the job: {len(piece.edges)} edges; lay it on the cloth"
    return Outcome(told(view, message, "fine"), (Replace(layout, after),))
