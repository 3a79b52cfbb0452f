"""Pages of the desk: its help, long names and long lists."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from drafting.finding import Finding
from projector.desk.areas import SMALLEST, Area, framed
from projector.desk.controls import Figure, Words
from projector.desk.desk_keys import PLACE_KEYS
from projector.desk.findings_list import findings_items
from projector.desk.lettering import broken, shortened, written_width
from projector.desk.palette import LETTERS_PX
from projector.desk.pointing import figure_keyed
from projector.desk.view import PLACES, Place, View
from tests.projector.desk_play import desk_with

pytestmark = pytest.mark.usefixtures("null_driver")


@pytest.mark.parametrize("place", PLACES)
def test_the_help_fits_and_tells_every_key_of_its_place(choir: Path, place: Place) -> None:
    desk, session = desk_with(choir, SMALLEST)
    desk.view = View(place=place, helping=True)
    desk.show(session)
    plain = [i for i in desk._items if isinstance(i, Words) and i.text]
    panel = desk._frame.body
    inside = [i for i in plain if i.area.y < panel.bottom and i.area.y >= panel.y]
    letters = LETTERS_PX * desk._frame.scale
    for item in inside:
        lines = broken(item.text, round(item.size * letters), item.area.width, item.bold)
        assert len(lines) == 1 or item.wrapped, item.text
        assert item.area.y + len(lines) * letters < panel.bottom, item.text
    desk.view = View(place=place)
    desk.show(session)
    figures = tuple(i for i in desk._items if isinstance(i, Figure))
    told = " ".join(key.name for key in PLACE_KEYS[place]).replace("/ Up", "/ Page Up").lower()
    told = told.replace("arrows", "left right up down")
    chosen = replace(session, selection=None)
    for code in (*range(128), *range(0x40000039, 0x40000120)):
        event = pygame.event.Event(pygame.KEYDOWN, key=code, mod=0)
        if figure_keyed(event, figures, desk.view, chosen, desk.errands.known(chosen)):
            assert f" {pygame.key.name(code)} " in f" {told} ", pygame.key.name(code)
    desk.close()


@pytest.mark.parametrize("ends", (False, True))
def test_a_name_too_long_is_cut_short_to_fit(ends: bool) -> None:
    name = "Tunics of the lower village choir, second fitting.yaml"
    for width in (60, 120, 240):
        shown = shortened(name, 17, width, False, ends)
        before, after = shown.split("…")
        assert written_width(shown, 17) <= width
        assert name.startswith(before) and name.endswith(after)
        assert (len(after) > len(before)) == ends
        assert written_width(shown, 17) > width - 30  # as much of it as there is room for
    assert shortened(name, 17, 2000, False, ends) == name


def test_every_finding_is_reached_page_by_page(choir: Path) -> None:
    advice = "Lower the front a little, or leave an opening that is long enough for the head."
    many = [Finding("warning", f"subject {n}", f"{n} mm", "less", advice) for n in range(40)]
    area, frame, seen = Area(0, 0, 270, 600), framed((1280, 800)), []
    for page in range(40):
        items = findings_items(many, View(findings_page=page), area, frame)
        told = [item.text for item in items if isinstance(item, Words) and item.wrapped]
        assert all(item.area.bottom <= area.bottom for item in items)
        if told[0] in seen:
            break
        seen += told
    assert [text for text in seen if text.startswith("Subject")] == [
        f"Subject {n}" for n in range(40)
    ]
