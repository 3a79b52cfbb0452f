"""What hands do on the stage: drags, turns, sections, take-up, tape, changed displays, a soak."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pygame
import pytest
import shapely
from shapely.affinity import affine_transform

from calibration.table_map import lit_outline, screen_points
from drafting.plane import Motion, Point, distance
from projector.cloth.clearance import violations
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout
from projector.cloth.shapes import placed_shape
from projector.errors import ProjectorError
from projector.files.job import read_job
from projector.files.opening import OpenJob, new_job
from projector.job import cloth_lies, with_layout
from projector.stage import commands as do
from projector.stage.applying import apply
from projector.stage.canvas import Canvas
from projector.stage.composition import Composer
from projector.stage.controls import Hand, controlled
from projector.stage.inputs import (
    Input,
    KeyPressed,
    PointerMoved,
    PointerPressed,
    PointerReleased,
)
from projector.stage.keys import KEYS
from projector.stage.moves import middle_of
from projector.stage.screens import Screens, trouble_with
from projector.stage.sections import taken_up
from projector.stage.session import Reading, Session
from projector.stage.steps import lies_now, slide
from projector.stage.tape_check import verdict_of
from tests.projector.choir import choir_job, choir_session, hall_map

MAP = hall_map((960, 540))


def played(session: Session, *inputs: Input) -> Session:
    hand = Hand()
    for done in inputs:
        hand, commands = controlled(hand, done, session, MAP)
        for command in commands:
            session = apply(session, command)
    return session


def place_px(session: Session, index: int) -> tuple[float, float]:
    middle = middle_of(session.layout, session.layout.placements[index])
    at = session.table_from_cloth(middle)
    x, y = screen_points(MAP, [(at.x, at.y)])[0]
    return float(x), float(y)


def test_one_undo_takes_a_whole_drag_back() -> None:
    before = choir_session()
    x, y = place_px(before, 0)
    steps = [PointerMoved(x + 5.0 * n, y - 3.0 * n, control=True) for n in range(1, 20)]
    after = played(before, PointerPressed(x, y), *steps, PointerReleased())
    assert after.layout != before.layout and len(after.past) == 1
    assert apply(after, do.Undo()).layout == before.layout


def test_a_cut_piece_snaps_back_only_by_its_tick() -> None:
    session = played(choir_session(), KeyPressed("tab"), KeyPressed("c"))
    chosen = session.selection
    assert chosen is not None and session.layout.placements[chosen].cut
    assert played(session, KeyPressed("left")).layout is session.layout
    assert not played(session, KeyPressed("c")).layout.placements[chosen].cut


def test_tab_goes_along_the_cloth_through_the_pieces_in_the_light() -> None:
    session = choir_session()
    seen: list[int] = []
    for _ in session.layout.placements:
        session = played(session, KeyPressed("tab"))
        assert session.selection is not None
        seen.append(session.selection)
    lit = shapely.Polygon(lit_outline(MAP))
    along = []
    for index in dict.fromkeys(seen):
        placement = session.layout.placements[index]
        shape = placed_shape(session.layout, placement)
        (a, b, e), (c, d, f) = session.table_from_cloth.matrix
        on_table = affine_transform(shape, [a, b, c, d, e, f])
        assert lit.intersects(on_table)
        along.append(shape.centroid.x)
    assert along == sorted(along) and 1 < len(along) < len(session.layout.placements)


def test_paging_there_and_back_brings_the_cloth_back() -> None:
    before = choir_session()
    after = played(before, KeyPressed("page down"), KeyPressed("page up"))
    assert after.table_from_cloth.dx == pytest.approx(before.table_from_cloth.dx, abs=1e-9)
    assert apply(before, slide(before, MAP, True)).table_from_cloth.dx < -1000.0


@pytest.mark.parametrize("seed", range(5))
def test_a_take_up_finds_the_slide_of_the_cloth_exactly(seed: int) -> None:
    # The cloth really lies elsewhere by a known rigid motion; the marks lie where it carries them.
    chance = np.random.default_rng(seed)
    session = apply(choir_session(), slide(choir_session(), MAP, True))
    slip = Motion(chance.normal(0.0, 0.02), *chance.normal(0.0, 15.0, 2))
    truth = slip @ session.table_from_cloth
    session = apply(session, do.TakeUpCloth())
    for mark in session.marks:
        session = apply(apply(session, do.AimCross(truth(mark))), do.PutCross())
    for corner in (Point(0.0, 0.0), Point(2500.0, 0.0), Point(2500.0, 700.0)):
        assert distance(session.table_from_cloth(corner), truth(corner)) < 1e-6
    assert "0.0 mm left" in session.said


def taken_up_by(slip: Motion, session: Session) -> Session:
    """The session after a take-up of a cloth that has really slipped by a motion of the table."""
    truth = slip @ session.table_from_cloth
    session = apply(session, do.TakeUpCloth())
    for mark in session.marks:
        session = apply(apply(session, do.AimCross(truth(mark))), do.PutCross())
    return session


def test_paging_past_the_pieces_or_the_cut_end_is_told() -> None:
    session = choir_session()
    assert slide(session, MAP, True).said == ""
    for _ in range(9):
        session = apply(session, slide(session, MAP, True))
    assert "Page Up" in session.said
    for _ in range(18):
        session = apply(session, slide(session, MAP, False))
    assert "Page Down" in session.said


def test_a_take_up_is_undone_and_done_again_whatever_was_paged_since() -> None:
    first = choir_session()
    paged = apply(first, slide(first, MAP, True))
    slip = Motion(0.03, 12.0, -9.0)
    taken = taken_up_by(slip, paged)
    on = apply(taken, slide(taken, MAP, True))
    undone = apply(on, do.Undo())
    step = paged.table_from_cloth.dx - first.table_from_cloth.dx
    straight = paged.table_from_cloth @ Motion(0.0, step, 0.0)
    corners = (Point(0.0, 0.0), Point(2500.0, 0.0), Point(2500.0, 700.0))
    again = apply(undone, do.Redo())
    for corner in corners:
        assert distance(undone.table_from_cloth(corner), straight(corner)) < 1e-6
        assert distance(again.table_from_cloth(corner), (slip @ straight)(corner)) < 1e-6
    assert undone.layout is on.layout and not apply(undone, do.Undo()).past


def test_shift_and_twist_of_a_take_up_are_kept_in_the_job(tmp_path: Path) -> None:
    first = choir_session()
    paged = apply(first, slide(first, MAP, True))
    slip = Motion(-0.025, 8.0, 14.0)
    taken = taken_up_by(slip, paged)
    path = tmp_path / "choir.yaml"
    new_job(path, choir_job())
    opened = OpenJob(path)
    now = lies_now(first.table_from_cloth, taken.table_from_cloth)
    opened.note(with_layout(opened.job, taken.layout, now))
    opened.close()  # as after a crash: journalled, not saved
    found = OpenJob(path)
    found.save()
    found.close()
    place = first.table_from_cloth @ cloth_lies(read_job(path), "main")
    truth = slip @ paged.table_from_cloth
    for corner in (Point(0.0, 0.0), Point(2500.0, 0.0), Point(2500.0, 700.0)):
        assert distance(place(corner), truth(corner)) < 2e-3


def test_what_a_take_up_cannot_absorb_is_told() -> None:
    marks = (Point(0.0, 0.0), Point(0.0, 600.0))
    done = taken_up(Motion(), marks, (Point(0.0, -1.5), Point(0.0, 601.5)))
    assert done.leftover == pytest.approx(3.0) and done.twist == pytest.approx(0.0)
    with pytest.raises(ProjectorError, match="wrong order"):
        taken_up(Motion(), marks, (Point(0.0, 600.0), Point(0.0, 0.0)))


def test_a_tape_that_agrees_is_fine_and_one_that_does_not_offers_a_calibration() -> None:
    ends = (Point(0.0, 0.0), Point(1000.0, 0.0))
    assert verdict_of(Reading(*ends, 1000.6), 0.5).fine
    off = verdict_of(Reading(*ends, 1003.0), 0.5)
    assert not off.fine and off.off == pytest.approx(3.0) and "calibrate" in off.words
    # By hand: sqrt(0.5^2 + (0.3 + 0.2)^2 + 0.7^2).
    assert off.allowed == pytest.approx(math.sqrt(0.25 + 0.25 + 0.49))


def test_typed_digits_are_read_along_the_ruler() -> None:
    keys = [KeyPressed(digit) for digit in "1003"]
    session = played(choir_session(), KeyPressed("r"), *keys, KeyPressed("return"))
    assert [reading.tape for reading in session.readings] == [1003.0]
    slip = played(session, *[KeyPressed(digit) for digit in "103"], KeyPressed("return"))
    assert len(slip.readings) == 1 and "slip" in slip.said


def test_a_changed_display_is_named_and_mends_itself() -> None:
    begun = Screens(((1280, 800), (1920, 1080)), 1, (1920, 1080))
    made_for = (1920, 1080)
    assert trouble_with(begun, begun, made_for) == ""
    gone = replace(begun, sizes=((1280, 800),))
    assert "not connected" in trouble_with(begun, gone, made_for)
    smaller = replace(begun, sizes=((1280, 800), (1280, 720)))
    assert "1280 x 720" in trouble_with(begun, smaller, made_for)
    swapped = replace(begun, sizes=((1920, 1080), (1280, 800)))
    assert trouble_with(begun, swapped, made_for)


def test_in_trouble_no_piece_is_lit_and_nothing_is_lost() -> None:
    session = choir_session()
    dark = apply(session, do.Trouble("The projector is not connected."))
    picture = Composer().picture(dark, MAP)
    assert len(picture.parts) == 1 and dark.layout is session.layout
    assert Composer().picture(apply(dark, do.Trouble("")), MAP).parts[1:]


def test_drawing_what_changed_gives_the_same_pixels_as_drawing_all() -> None:
    chance = np.random.default_rng(3)
    # Without the countdown: its card lies where it stepped aside to, while it is clear there.
    session = apply(apply(choir_session(), do.Layer("countdown")), do.Select(0))
    composer, pixels = Composer(), np.zeros((540, 960, 4), np.uint8)
    canvas = Canvas(pixels)
    for _ in range(8):
        canvas.draw(composer.picture(session, MAP))
        session = apply(session, do.Move(float(chance.normal(0.0, 30.0)), 0.0))
    canvas.draw(composer.picture(session, MAP))
    whole = np.zeros_like(pixels)
    Canvas(whole).draw(Composer().picture(session, MAP))
    # A line clipped at the edge of the redrawn area may be rounded otherwise by a grey level or so.
    apart = np.abs(pixels.astype(int) - whole).max(axis=2)
    assert (apart > 24).mean() < 1e-4


def test_tidy_slides_a_piece_out_of_overlap_and_one_undo_takes_it_back() -> None:
    before = apply(choir_session(), do.Select(1))
    moved = apply(before, do.Move(-60.0, 0.0))
    assert any("overlap" in words for words in violations(moved.layout))
    tidy = played(moved, KeyPressed("a"))
    assert not any("overlap" in words for words in violations(tidy.layout))
    assert apply(tidy, do.Undo()).layout == moved.layout
    locked = apply(moved, do.Lock())
    told = apply(locked, do.Tidy())
    assert told.layout is locked.layout and "Locked" in told.said


def test_every_key_that_does_something_is_told() -> None:
    told = " ".join(f" {key.name} " for key in KEYS).replace("/ Up", "/ Page Up")
    for name, keys in (("1 to 5", "1 2 3 4 5"), ("6 to 9", "6 7 8 9"), ("arrows", "left right")):
        assert f" {name} " in told
        told += f" {keys} "
    told = f"{told} up down return [1] enter ".lower()  # printed on the keys as arrows and Enter
    told = told.replace(" [1] ", " " + " ".join(f"[{n}]" for n in range(1, 10)) + " ")
    session = apply(choir_session(), do.Select(0))
    doing = set()
    for code in (*range(128), *range(0x40000039, 0x40000120)):
        name = pygame.key.name(code)
        if name and controlled(Hand(), KeyPressed(name), session, MAP)[1]:
            doing.add(name)
    assert {"c", "escape", "f5", "page up", "h"} <= doing
    assert not [name for name in doing if f" {name} " not in told]


def test_a_switch_of_cloth_is_undone_with_its_light() -> None:
    first = apply(choir_session(), do.SlideCloth(300.0))
    other = Layout(Cloth("lining"), ())
    by = Motion(0.0, 300.0, 20.0)
    there = apply(first, do.Replace(other, by=by))
    expected = first.table_from_cloth(by(Point(70.0, 80.0)))
    assert there.table_from_cloth(Point(70.0, 80.0)) == expected
    slid = apply(there, do.SlideCloth(150.0))
    back = apply(slid, do.Undo())
    assert back.layout == first.layout and back.table_from_cloth == first.table_from_cloth
    again = apply(back, do.Redo())
    assert again.layout == other and again.table_from_cloth == slid.table_from_cloth
    assert apply(again, do.Undo()).table_from_cloth == first.table_from_cloth
