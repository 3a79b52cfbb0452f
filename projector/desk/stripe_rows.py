"""Beside the lay: which points of the pieces lie on a stripe of the cloth."""

from __future__ import annotations

from dataclasses import dataclass, replace

from drafting.marks import Drill
from drafting.piece import Piece, notches_of
from projector.cloth.cloth import Cloth, Match
from projector.cloth.layout import Layout
from projector.desk.areas import Area, Frame, cut_bottom, cut_left, cut_right, cut_top
from projector.desk.areas import rows as rows_in
from projector.desk.cloth_rows import PHASES, cloth_text
from projector.desk.controls import Button, Entry, Item, Words
from projector.desk.pages import page_buttons
from projector.errors import ProjectorError
from projector.job import Job, cloth_named

__all__ = ["StripePart", "stripe_items", "stripes_changed"]

NONE = (
    "This cloth has no repeat. Tell it under Cloth (repeat along, repeat across); then say here "
    "which notches lie on a stripe."
)
WAYS = {(True, True): "both", (True, False): "along", (False, True): "across"}


@dataclass(frozen=True, slots=True)
class StripePart:
    """What the tab remembers: the point that is offered, as counts of pieces and of points of the
    piece from the first, and the page of the list."""

    piece: int = 0
    point: int = 0
    page: int = 0


def stripe_items(
    part: StripePart, layout: Layout, units: str, area: Area, frame: Frame
) -> list[Item]:
    """The first stripes, a point to match, and the points that are matched."""
    cloth = layout.cloth
    if not (cloth.repeat_along or cloth.repeat_across):
        return [Words(area, NONE, "soft", wrapped=True)]
    items: list[Item] = []
    for name, (text, help_text) in PHASES.items():
        if getattr(cloth, name.replace("phase", "repeat")):
            line, area = cut_top(area, frame.px(36), frame.px(5))
            label, entry = cut_left(line, frame.px(142), frame.px(4))
            value = cloth_text(cloth, name, units)
            items += [Words(label, text, size=0.92),
                      Entry(f"cloth_value:{name}", entry, value, help_text)]  # fmt: skip
    names = _pieces(layout)
    offered = _offered(part, layout)
    title, area = cut_top(area, frame.px(28), frame.px(2))
    items.append(Words(title, "On a stripe lies", "soft", 0.92))
    for what, word in (("piece", offered[0]), ("point", offered[1] or "no notch has a name")):
        line, area = cut_top(area, frame.px(36), frame.px(4))
        back, rest = cut_left(line, frame.px(38), frame.px(4))
        on, middle = cut_right(rest, frame.px(38), frame.px(4))
        items += [
            Button(f"stripe:{what}_back", back, "‹", enabled=bool(names), help=f"Another {what}"),
            Words(middle, word, bold=True, align="middle"),
            Button(f"stripe:{what}_on", on, "›", enabled=bool(names), help=f"Another {what}"),
        ]
    line, area = cut_top(area, frame.px(40), frame.px(10))
    known = any((match.piece, match.at) == offered for match in cloth.matches)
    able = bool(offered[1]) and not known
    items.append(Button("stripe:add", line, "Match it" if not known else "It is matched", "main",
                        able, "In every size; press a way below to change it"))  # fmt: skip
    return items + _matched(part, cloth, area, frame)


def _matched(part: StripePart, cloth: Cloth, area: Area, frame: Frame) -> list[Item]:
    pitch, gap = frame.px(36), frame.px(4)
    slots = rows_in(area, pitch, gap)
    items: list[Item] = []
    page = 0
    if len(cloth.matches) > len(slots):
        pager, area = cut_bottom(area, frame.px(36), frame.px(4))
        slots = rows_in(area, pitch, gap)
        count = -(-len(cloth.matches) // max(1, len(slots)))
        page = min(part.page, count - 1)
        items += page_buttons("stripe_page", pager, page, count, frame)
    if not cloth.matches and slots:
        items.append(Words(slots[0], "No point is matched yet.", "soft"))
    first = page * len(slots)
    for number, slot in enumerate(slots, first):
        if number >= len(cloth.matches):
            break
        match = cloth.matches[number]
        away, rest = cut_right(slot, frame.px(36), frame.px(4))
        way, words = cut_right(rest, frame.px(92), frame.px(4))
        items += [
            Words(words, f"{match.piece} {match.at}", size=0.9),
            Button(f"stripe:way_{number}", way, WAYS[match.along, match.across],
                   help="Matched along the cloth, across it, or both; press for the next"),
            Button(f"stripe:away_{number}", away, "×", "quiet", help="It lies anywhere again"),
        ]  # fmt: skip
    return items


def stripes_changed(
    what: str, part: StripePart, job: Job, layout: Layout
) -> tuple[StripePart, Job]:
    """The tab and the job after one of its buttons.

    Raises `ProjectorError` where the cloth cannot be matched so.
    """
    cloth = cloth_named(job, layout.cloth.name)
    verb, _, number = what.partition("_")
    way = 1 if number == "on" else -1
    if verb == "piece":
        return replace(part, piece=part.piece + way, point=0), job
    if verb == "point":
        return replace(part, point=part.point + way), job
    matches = list(cloth.matches)
    if verb == "add":
        piece, at = _offered(part, layout)
        along, across = bool(cloth.repeat_along), bool(cloth.repeat_across)
        for known in matches:  # a stripe is asked for by one point of a piece
            if known.piece == piece:
                along, across = along and not known.along, across and not known.across
        if not (along or across):
            raise ProjectorError(
                f"another point of {piece} is matched already; take it away, or match it one way"
            )
        matches.append(Match(piece, at, along, across))
    elif verb == "way":
        match = matches[int(number)]
        able = [ways for ways in WAYS
                if all(getattr(cloth, f"repeat_{axis}") or not on
                       for axis, on in zip(("along", "across"), ways, strict=True))]  # fmt: skip
        at_now = able.index((match.along, match.across))
        along, across = able[(at_now + 1) % len(able)]
        matches[int(number)] = replace(match, along=along, across=across)
    elif verb == "away":
        del matches[int(number)]
    changed = replace(cloth, matches=tuple(matches))
    cloths = tuple(changed if each is cloth else each for each in job.cloths)
    return part, replace(job, cloths=cloths)


def _pieces(layout: Layout) -> list[str]:
    return list(dict.fromkeys(piece.name for piece in layout.pieces))


def _offered(part: StripePart, layout: Layout) -> tuple[str, str]:
    """Piece and point that are offered; empty where there is none."""
    names = _pieces(layout)
    if not names:
        return "", ""
    name = names[part.piece % len(names)]
    points = _points(next(piece for piece in layout.pieces if piece.name == name))
    return name, points[part.point % len(points)] if points else ""


def _points(piece: Piece) -> list[str]:
    """The names a match can be told by: notches and drill holes."""
    names = [notch.name for notch in notches_of(piece)]
    names += [mark.name for mark in piece.marks if isinstance(mark, Drill)]
    return [name for name in dict.fromkeys(names) if name]
