"""Calibrating by camera: light the board, lay the sheet, photograph, find the map."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from calibration.board import PAPER
from projector.desk.areas import Area, Frame, columns, cut_bottom, cut_left, cut_top
from projector.desk.calibrating import Photographs
from projector.desk.controls import Button, Entry, Figure, Item, Look, Progress, Tone, Used, Words
from projector.desk.lettering import broken, line_height
from projector.desk.pages import photo_list, stepped
from projector.desk.palette import LETTERS_PX
from projector.desk.route_steps import chosen_screen, displays_items, found_items, step_items
from projector.desk.seeing import Boards, Seen, seen_words
from projector.desk.table_figures import BoardContent, LiveContent, PhotoContent
from projector.desk.table_part import TablePart
from projector.desk.view import Known, Outcome, View, Wish, told
from projector.errors import ProjectorError
from projector.printed_bars import BARS_ASKED, parsed_bars, told_bars

__all__ = ["boards_now", "camera_items", "camera_used", "with_photo"]

LONG_WAIT = "Takes some seconds for each photograph"
STEPS = ("Light the board", "Photograph it", "The map")


def boards_now(part: TablePart, displays: Sequence[tuple[int, int]]) -> Boards:
    """The boards as they were chosen."""
    return Boards(chosen_screen(part, displays), part.paper, part.bars)


def camera_items(
    part: TablePart, view: View, known: Known, left: Area, right: Area, frame: Frame
) -> list[Item]:
    """The step of the route, with the photograph or the map on the right."""
    able = part.step == 0 or bool(part.photos) or known.table.found is not None
    items, area = step_items(part, STEPS, able, left, frame)
    if part.step == 0:
        return items + _board(part, known, area, right, frame)
    if part.step == 1:
        return items + _photos(part, known, area, right, frame)
    if known.table.progress is None:
        begin, area = cut_top(area, frame.px(46), frame.px(10))
        count = len(part.photos)
        where = "1 photograph" if count == 1 else f"{count} photographs"
        text = f"Find the map {'again ' if known.table.found else ''}in {where}"
        look: Look = "plain" if known.table.found else "main"
        items.append(Button("camera:find", begin, text, look, count > 0, LONG_WAIT))
    items += found_items(known, view, area, right, frame)
    if known.table.found is None:
        items += _looked_at(part, known, right, frame)
    elif area.height > frame.px(120):
        items += _looked_at(part, known, area, frame)
    return items


def _board(part: TablePart, known: Known, area: Area, right: Area, frame: Frame) -> list[Item]:
    items, area = displays_items(part, known, area, frame)
    line, area = cut_top(area, frame.px(40), frame.px(6))
    label, rest = cut_left(line, frame.px(84), frame.px(4))
    items.append(Words(label, "Sheet", size=0.95))
    for paper, slot in zip(PAPER, columns(rest, len(PAPER), frame.px(4)), strict=True):
        look: Look = "chosen" if paper == part.paper else "plain"
        items.append(Button(f"paper:{paper}", slot, paper, look))
    line, area = cut_top(area, frame.px(40), frame.px(6))
    label, rest = cut_left(line, frame.px(84), frame.px(4))
    entry, button = columns(rest, 2, frame.px(6))
    items += [
        Words(label, "Bars, mm", size=0.95),
        Entry("bar", entry, told_bars(part.bars), BARS_ASKED),
        Button("camera:sheet", button, "Write the PDF", help="Into the folder of the job place"),
    ]  # fmt: skip
    line, area = cut_top(area, frame.px(46), frame.px(8))
    items.append(_light_button(known, line))
    told_items, right = _numbered(_INSTRUCTIONS, right, frame)
    items += told_items
    items.append(
        Figure("board", right, BoardContent(chosen_screen(part, known.displays), part.paper))
    )
    return items


def _numbered(texts: tuple[str, ...], area: Area, frame: Frame) -> tuple[list[Item], Area]:
    """Numbered lines from the top of an area; what is left of it."""
    items: list[Item] = []
    letters = round(1.05 * LETTERS_PX * frame.scale)
    for number, text in enumerate(texts, 1):
        height = line_height(letters) * len(broken(text, letters, area.width - frame.px(34)))
        line, area = cut_top(area, height, frame.px(8))
        sign, words = cut_left(line, frame.px(28), frame.px(6))
        items += [
            Words(cut_top(sign, line_height(letters))[0], str(number), "accent", 1.05, True),
            Words(words, text, size=1.05, wrapped=True),
        ]
    return items, area


_INSTRUCTIONS = (
    "Print the sheet at 100 % and measure its bars with a steel rule: 200 and 150 mm when the "
    "printer is true. Type what they are.",
    "Light the board on the bare table, focus the projector, dim the room if the board is faint.",
    "Lay the sheet flat into the white field. It must not move until the last photograph is taken.",
)


def _light_button(known: Known, area: Area) -> Button:
    text = "Darken the board" if known.table.lit else "Light the board"
    return Button("camera:board", area, text, "chosen" if known.table.lit else "main")


_PHOTOGRAPHING = (
    "A camera on this computer: put it where it sees the whole light and the sheet, press Watch, "
    "and wait until both boards are found.",
    "By lights is the surest: the camera stands still while boards and their inverses are lit in "
    "turn, some ten seconds. Then put it elsewhere and take the next; three places are good.",
    "One picture takes what is seen now, as a camera held by hand does it.",
    "A phone or another camera: copy its photographs into a folder, type the folder's name on the "
    "left, or drop them on this window. Press each one that is to be used.",
    "Corners that were found are ringed: amber on the lit board, green on the sheet.",
)


def _photos(part: TablePart, known: Known, area: Area, right: Area, frame: Frame) -> list[Item]:
    table, gap = known.table, frame.px(6)
    text = "3 to 6 photographs from all around, both boards in each, some of them turned."
    words, area = cut_top(area, frame.px(46), frame.px(2))
    items: list[Item] = [Words(words, text, "soft", 0.9, wrapped=True)]
    if not table.lit:
        line, area = cut_top(area, frame.px(42), gap)
        items.append(_light_button(known, line))
    line, area = cut_top(area, frame.px(40), gap)
    label, rest = cut_left(line, frame.px(76), frame.px(4))
    source, watch = columns(rest, 2, gap)
    watched: Look = "chosen" if table.watching else "plain"
    items += [
        Words(label, "Camera", size=0.95),
        Entry("source", source, part.source, "Its number on this computer, from 0, or a video"),
        Button("camera:watch", watch, "Stop" if table.watching else "Watch", watched,
               help="See what the camera sees, and what is found in it"),
    ]  # fmt: skip
    line, area = cut_top(area, frame.px(42), gap)
    able = table.live is not None and table.doing is None
    lights, first, second = columns(line, 3, gap)
    items += [
        Button("camera:lights", lights, "By lights", "main" if able else "plain", able,
               "The camera stands still: boards and their inverses are lit in turn. The surest"),
        Button("camera:take", first, "One picture", "plain", able,
               "With the camera that is watched, held by hand or standing"),
        Button("camera:forget", second, "Forget", enabled=bool(part.photos),
               help="Begin the list of photographs anew; the files stay"),
    ]  # fmt: skip
    line, area = cut_top(area, frame.px(40), gap)
    help_text = "A folder or a photograph; they may be dropped on the window, too"
    items.append(Entry("photo_path", line, str(known.folder), help_text))
    items += _listed(part, known, area, frame)
    if table.watching:
        return items + _watched(known, right, frame)
    return items + _looked_at(part, known, right, frame)


def _listed(part: TablePart, known: Known, area: Area, frame: Frame) -> list[Item]:
    """The photographs in the folder, those that are used marked."""
    pager, area = cut_bottom(area, frame.px(36), frame.px(4))
    chosen = {path.name for path in part.photos if path.parent == known.folder}
    keys, images = ("photo", "images"), known.table.images
    return photo_list(keys, images, chosen, part.page, (area, pager), frame, "Use it, or not")


def _watched(known: Known, right: Area, frame: Frame) -> list[Item]:
    live = known.table.live
    if live is None:
        return [Words(right, "The camera is being opened.", "soft", align="middle")]
    line, figure = cut_top(right, frame.px(40), frame.px(6))
    doing = known.table.doing
    words = _found_words(live.seen, line) if doing is None else [Progress(line, doing[1], doing[0])]
    return [*words, Figure("live", figure, LiveContent(live))]


def _found_words(seen: Seen | None, area: Area) -> list[Item]:
    """What was found in a picture."""
    if seen is None:
        return [Words(area, "looking for the boards", "soft")]
    few = len(seen.lit_px) < seen.lit_of / 3 or not len(seen.sheet_px)
    tone: Tone = "warning" if few else "fine"
    return [Words(area, seen_words(seen), tone, bold=not few)]


def _looked_at(part: TablePart, known: Known, right: Area, frame: Frame) -> list[Item]:
    if not part.photos:
        return _numbered(_PHOTOGRAPHING, right, frame)[0]
    line, figure = cut_top(right, frame.px(40), frame.px(6))
    number = min(part.looked_at, len(part.photos) - 1)
    back, rest = cut_left(line, frame.px(44), frame.px(6))
    on, rest = cut_left(rest, frame.px(44), frame.px(10))
    path = part.photos[number]
    found = known.table.found
    missed = () if found is None else tuple(m for m in found.missed if m.subject == path.name)
    seen = known.table.seen.get((path, boards_now(part, known.displays)))
    fault = "" if seen is None else seen.fault
    line, figure = cut_top(figure, frame.px(46 if fault else 24), frame.px(4))
    shows = _found_words(seen, line)
    if fault:
        shows = [Words(line, fault, "stop", 0.92, wrapped=True)]
    return [
        Button("look:back", back, "‹", enabled=number > 0),
        Button("look:on", on, "›", enabled=number + 1 < len(part.photos)),
        Words(rest, f"{number + 1} of {len(part.photos)}: {path.name}"),
        *shows,
        Figure("photo", figure, PhotoContent(path, seen, missed)),
    ]


def camera_used(used: Used, part: TablePart, view: View, known: Known) -> Outcome | None:
    """What a control of the route does."""
    what, rest = used.meant

    def kept(**values: object) -> View:
        return view.with_part(replace(part, **values))  # type: ignore[arg-type]

    match what:
        case "paper":
            return Outcome(kept(paper=rest))
        case "bar":
            try:
                return Outcome(kept(bars=parsed_bars("bars", str(used.value))))
            except ProjectorError as error:
                return Outcome(told(view, str(error), "stop"))
        case "look":
            return Outcome(kept(looked_at=stepped(part.looked_at, rest)))
        case "images":
            return Outcome(kept(page=stepped(part.page, rest)))
        case "photo":
            return Outcome(with_photo(view, known.folder / rest))
        case "photo_path":
            return Outcome(view, wishes=(Wish("photo path", Path(str(used.value)).expanduser()),))
        case "work":
            return Outcome(view, wishes=(Wish("table stop"),))
        case "camera" if rest == "forget":
            return Outcome(kept(photos=(), looked_at=0))
        case "camera" if rest == "find":
            boards = boards_now(part, known.displays)
            seen = {path: known.table.seen.get((path, boards)) for path in part.photos}
            done = tuple((path, each) for path, each in seen.items() if each is not None)
            return Outcome(
                view, wishes=(Wish("table find", Photographs(part.photos, boards, done)),)
            )
        case "source":
            return Outcome(kept(source=str(used.value).strip() or "0"))
        case "camera" if rest == "watch" and known.table.watching:
            return Outcome(view, wishes=(Wish("table unwatch"),))
        case "camera" if rest == "watch":
            boards = boards_now(part, known.displays)
            return Outcome(view, wishes=(Wish("table watch", boards),))
        case "camera" if rest == "board":
            return Outcome(view, wishes=(Wish("table board", part.display or 0),))
        case "camera" if rest == "sheet":
            return Outcome(view, wishes=(Wish("table sheet", part.paper),))
        case "camera" if rest in ("take", "lights"):
            return Outcome(view, wishes=(Wish("table take", rest),))
    return None


def with_photo(view: View, path: Path) -> View:
    """The view with a photograph taken up into the list, or left out when it was in it."""
    part = view.part(TablePart)
    if path in part.photos:
        photos = tuple(photo for photo in part.photos if photo != path)
        return view.with_part(replace(part, photos=photos))
    photos = (*part.photos, path)
    return view.with_part(replace(part, photos=photos, looked_at=len(photos) - 1))
