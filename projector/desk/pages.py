"""Lists that are longer than their place: a page of them, and the buttons to the others."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from projector.desk.areas import Area, Frame, columns, rows
from projector.desk.controls import Button, Item, Look, Words

__all__ = ["page_buttons", "photo_list", "stepped"]


def stepped(number: int, way: str) -> int:
    """The number that comes of a button that ends in "on" or in "back"; never under 0."""
    return max(0, number + (1 if way == "on" else -1))


def page_buttons(key: str, area: Area, page: int, count: int, frame: Frame) -> list[Item]:
    """Buttons `key`:back and `key`:on with the number of the page between; none for one page."""
    if count < 2:
        return []
    back, words, on = columns(area, 3, frame.px(6))
    return [
        Button(f"{key}:back", back, "‹ Before", enabled=page > 0),
        Words(words, f"{page + 1} of {count}", "soft", align="middle"),
        Button(f"{key}:on", on, "More ›", enabled=page + 1 < count),
    ]


def photo_list(
    keys: tuple[str, str],
    images: Sequence[str],
    chosen: Collection[str],
    page: int,
    areas: tuple[Area, Area],
    frame: Frame,
    help: str = "",
) -> list[Item]:
    """The photographs of a folder, those in `chosen` marked.

    `keys` are those of a photograph and of the pages, `areas` of the list and of its page buttons.
    """
    slots = rows(areas[0], frame.px(36), frame.px(4))
    count = max(1, -(-len(images) // max(1, len(slots))))
    page = min(page, count - 1)
    items: list[Item] = []
    for name, slot in zip(images[page * len(slots) :], slots, strict=False):
        look: Look = "chosen" if name in chosen else "plain"
        items.append(Button(f"{keys[0]}:{name}", slot, name, look, help=help, ends=True))
    if not images and slots:
        items.append(Words(slots[0], "no photographs in this folder", "soft"))
    return items + page_buttons(keys[1], areas[1], page, count, frame)
