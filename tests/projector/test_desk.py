"""The desk under the null driver: the program's own loop, played by posted events."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import ezdxf
import pygame
import pypdf
import pytest

from projector.cloth.autolayout import arrange
from projector.cloth.clearance import missing, violations
from projector.cloth.yardage import used_length
from projector.desk.areas import Area, columns, cut_left, framed, rows
from projector.desk.controls import Button, Entry, Figure, Slider, Words
from projector.desk.lettering import written_width
from projector.desk.palette import LETTERS_PX
from projector.desk.paper_errands import written_beside
from projector.desk.sessions import job_now
from projector.desk.view import View
from projector.desk.window import DeskWindow
from projector.files.job import read_job, write_job
from projector.files.opening import OpenJob
from projector.job import layout_of, pieces_of, with_layout
from projector.stage.loop import run
from projector.stage.session import Session
from tests.projector.desk_play import (
    SIZES,
    Player,
    Step,
    click,
    desk_with,
    key,
    mouse,
    play,
    slide,
    typed,
    until,
    wait,
)

pytestmark = pytest.mark.usefixtures("null_driver")

# --- the areas ---------------------------------------------------------------------------


@pytest.mark.parametrize("count", range(1, 9))
def test_columns_fill_the_area_without_overlap(count: int) -> None:
    parts = columns(Area(7, 5, 1003, 40), count, 4)
    assert parts[0].x == 7 and parts[-1].right == 1010
    assert all(b.x - a.right == 4 for a, b in pairwise(parts))
    assert max(p.width for p in parts) - min(p.width for p in parts) <= 1


def test_rows_stay_inside() -> None:
    area = Area(0, 10, 100, 95)
    parts = rows(area, 30, 2)
    assert len(parts) == 3 and parts[-1].bottom <= area.bottom
    assert cut_left(area, 500)[1].width == 0


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("place", ["draft", "cloth", "table", "job", "trace"])
def test_nothing_overlaps_and_all_is_inside(choir: Path, size: tuple[int, int], place: str) -> None:
    desk, session = desk_with(choir, size)
    desk.view = View(place=place)  # type: ignore[arg-type]
    desk.show(session)
    whole = Area(0, 0, *size)
    controls = [i for i in desk._items if isinstance(i, Button | Entry | Slider | Figure)]
    for number, item in enumerate(controls):
        area = item.area
        assert area.width > 0 and area.height > 0, item
        assert whole.contains(area.x, area.y) and area.right <= size[0] and area.bottom <= size[1]
        for other in controls[number + 1 :]:
            apart = (
                area.right <= other.area.x
                or other.area.right <= area.x
                or area.bottom <= other.area.y
                or other.area.bottom <= area.y
            )
            assert apart, f"{item.key} lies over {other.key}"
    # Large targets: 34 px at 1280 x 720 is 9 mm on a usual 24 inch screen (from memory).
    assert all(i.area.height >= 30 * framed(size).scale for i in controls if isinstance(i, Button))
    letters = round(LETTERS_PX * framed(size).scale)
    for item in controls:
        if isinstance(item, Button) and ":" not in item.text and not item.key.startswith("open:"):
            assert written_width(item.text, letters) <= item.area.width - 4, item.text
    plain = [i for i in desk._items if isinstance(i, Words) and not i.wrapped]
    assert all(whole.contains(i.area.x, i.area.y) for i in plain if i.text)
    desk.close()


# --- the draft ---------------------------------------------------------------------------


def test_a_slider_changes_the_draft_and_one_undo_takes_it_back(choir: Path) -> None:
    desk, session = desk_with(choir)
    before = session.job
    assert before is not None
    end = play(
        desk, session, wait, *click("group:sleeve"), *slide("slide:style.lift", 25), wait,
    )  # fmt: skip
    assert end.job is not None and end.job.style.lift > before.style.lift + 0.1
    assert len(end.past) == 1
    assert read_job(choir).style == end.job.style
    desk, session = desk_with(choir)
    end = play(desk, session, wait, *click("group:sleeve"), *slide("slide:style.lift", -25),
               key(pygame.K_z, pygame.KMOD_CTRL), wait)  # fmt: skip
    assert end.job == session.job and len(end.future) == 1


def test_a_slider_by_the_keys_steps_as_one_change(choir: Path) -> None:
    desk, session = desk_with(choir)
    assert session.job is not None
    end = play(
        desk, session, wait, *click("group:sleeve"),
        lambda desk, session: desk._widgets.take("slide:style.lift"),
        key(pygame.K_RIGHT), wait, key(pygame.K_RIGHT), wait, key(pygame.K_RIGHT), wait,
    )  # fmt: skip
    assert end.job is not None
    assert end.job.style.lift == pytest.approx(session.job.style.lift + 0.03)
    assert len(end.past) == 1


def test_a_typed_measurement_is_no_estimate_any_more(choir: Path) -> None:
    desk, session = desk_with(choir)
    assert session.job is not None and "neck" in session.job.wearers[0].body.estimated
    marks = []

    def look(desk: DeskWindow, session: Session) -> None:
        words = [item.text for item in desk._items if isinstance(item, Words)]
        marks.append([text for text in words if text.startswith("±")])

    end = play(desk, session, wait, look, *typed("value:body.neck", "14 1/2 in"), look)
    assert end.job is not None
    body = end.job.wearers[0].body
    assert body.neck == pytest.approx(14.5 * 25.4) and "neck" not in body.estimated
    assert len(marks[1]) == len(marks[0]) - 1
    assert read_job(choir).wearers[0].body == body


def test_a_wrong_measurement_is_told_with_its_mend_and_changes_nothing(choir: Path) -> None:
    desk, session = desk_with(choir)
    end = play(desk, session, wait, *typed("value:body.bust", "84 in"))
    assert end.job == session.job and not end.past
    assert "did you mean" in desk.view.message and desk.view.tone == "stop"


def test_a_new_job_is_given_wearers_who_can_be_named(choir: Path, tmp_path: Path) -> None:
    desk, session = desk_with(None)
    end = play(
        desk, session, wait, *typed("new:name", "Winter smocks"), *click("new"),
        *click("place:draft"), *click("who:add"), *typed("who:name", "Alto"),
        *click("who:more"), *click("group:sleeve"), *typed("value:style.sleeve", "30 cm"),
        *click("place:cloth"), *click("lay:rest"), *click("place:draft"), *click("wearer:0"),
        *typed("who:name", "Soprano"),
    )  # fmt: skip
    kept = read_job(tmp_path / "Winter-smocks.yaml")
    assert [(w.name, w.garments) for w in kept.wearers] == [("Soprano", 2)]
    assert {placed.piece for placed in end.layout.placements} == {"back Soprano", "front Soprano"}
    assert kept.lays[0].placements == end.layout.placements


# --- the cloth ---------------------------------------------------------------------------


def test_a_piece_is_dragged_turned_ticked_and_kept(choir: Path) -> None:
    desk, session = desk_with(choir)
    place: list[tuple[int, int]] = []

    def onto(desk: DeskWindow, session: Session) -> None:
        from projector.cloth.shapes import placed_shape
        from projector.desk.cloth_figure import cloth_scale

        figure = next(i for i in desk._items if isinstance(i, Figure))
        fit = cloth_scale(figure.content, figure.area.size, desk._frame.scale)
        inside = placed_shape(session.layout, session.layout.placements[0]).representative_point()
        x, y = fit.pixels([(inside.x, inside.y)])[0]
        place.append((round(figure.area.x + x), round(figure.area.y + y)))
        mouse(pygame.MOUSEBUTTONDOWN, place[0])(desk, session)

    def along(by: int) -> Step:
        return lambda desk, session: mouse(pygame.MOUSEMOTION, (place[0][0] + by, place[0][1]))(
            desk, session
        )

    end = play(
        desk, session, wait, *click("place:cloth"), *click("lay:rest"), onto, along(20), along(40),
        lambda desk, session: mouse(pygame.MOUSEBUTTONUP, place[0])(desk, session), wait,
        key(pygame.K_c), wait,
    )  # fmt: skip
    before, after = end.past[-2].layout, end.layout
    first = after.placements[0]
    assert first.cut and first.cloth_from_piece.dx > before.placements[0].cloth_from_piece.dx + 50
    assert len(end.past) == 3  # laid, dragged, ticked: the drag is one change
    assert read_job(choir).lays[0].placements == after.placements


def laid_apart(choir: Path) -> None:
    job = read_job(choir)
    whole = arrange(layout_of(job, pieces_of(job)), budget=1)
    apart = tuple(  # half as much cloth again between the pieces: any search finds a shorter lay
        replace(p, cloth_from_piece=replace(p.cloth_from_piece, dx=1.5 * p.cloth_from_piece.dx))
        for p in whole.placements
    )
    write_job(choir, with_layout(job, replace(whole, placements=apart)))


def test_tidying_moves_pieces_up_and_leaves_a_legal_lay(choir: Path) -> None:
    laid_apart(choir)
    desk, session = desk_with(choir)
    end = play(desk, session, wait, *click("place:cloth"), *click("lay:tidy"))
    assert len(end.past) == 1 and used_length(end.layout) < 0.8 * used_length(session.layout)
    assert not missing(end.layout) and not violations(end.layout)


def test_a_search_shows_shorter_lays_and_is_undone_in_one_step(choir: Path) -> None:
    laid_apart(choir)
    desk, session = desk_with(choir)
    began = session.layout

    def offered(button: str) -> bool:
        return any(getattr(item, "key", None) == button for item in desk._items)

    def stop(desk: DeskWindow, session: Session) -> None:
        if offered("search:stop"):  # a search that has met its bound has ended by itself
            desk._widgets._pressed("search:stop")

    end = play(
        desk, session, wait, *click("place:cloth"), *click("search:begin"),
        until(lambda desk, session: bool(session.past)), stop,
        until(lambda desk, session: offered("search:undo")), *click("search:undo"), wait,
    )  # fmt: skip
    shorter = end.past[-1].layout
    assert end.layout == began and used_length(shorter) < used_length(end.layout)
    assert not missing(shorter) and not violations(shorter)


# --- the job -----------------------------------------------------------------------------


def test_what_a_crash_cut_off_is_there_again(choir: Path) -> None:
    desk, session = desk_with(choir)
    saved = choir.read_bytes()
    windows = desk.errands.windows
    steps = [wait, *click("place:cloth"), *click("lay:rest"), *click("place:draft"),
             *click("group:length"), *slide("slide:style.length", 20)]  # fmt: skip
    windows += [desk, Player(desk, steps)]  # type: ignore[list-item]
    end = run(session, windows, desk.errands.keep)
    assert desk.errands.opened is not None
    desk.errands.opened._held.close()  # the system lets go of the hold when a program dies
    assert choir.read_bytes() == saved
    again = OpenJob(choir)
    assert again.job == job_now(end) and again.job != again.saved
    assert "are back" in again.told[0]
    again.close()


def test_a_job_with_a_mistake_is_told_and_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "wrong.yaml"
    path.write_text(
        "shearlight_job: 1\nname: x\nwearers:\n- name: S\n"
        "  body: {bust: 84 mm, waist: 68 cm, hip: 92 cm, height: 1.6 m}\n"
    )
    content = path.read_bytes()
    desk, session = desk_with(path)
    assert desk.view.message.startswith("wrong.yaml:5:") and "did you mean" in desk.view.message
    end = play(desk, session, wait, *click("place:draft"), *click("place:job"))
    assert end.job is None and path.read_bytes() == content


def test_a_style_that_cannot_be_drafted_opens_and_keeps_its_lay(choir: Path) -> None:
    desk, session = desk_with(choir)
    end = play(desk, session, wait, *click("place:cloth"), *click("lay:rest"))
    text = choir.read_text().replace("style:", "style:\n  neck_wider: 12 cm\n  shoulder: 10 cm")
    choir.write_text(text)
    lays = read_job(choir).lays
    assert lays[0].placements == end.layout.placements
    desk, session = desk_with(choir)
    assert desk.view.tone == "stop" and not session.layout.pieces
    end = play(
        desk, session, wait, *click("place:draft"), *click("group:neck"),
        *typed("value:style.neck_wider", "3 cm"),
    )  # fmt: skip
    assert end.layout.pieces
    assert read_job(choir).lays == lays


def test_papers_are_written_beside_the_job_one_after_the_other_while_she_works(
    choir: Path,
) -> None:
    desk, session = desk_with(choir)

    def look(desk: DeskWindow, session: Session) -> None:
        assert desk.view.message.startswith("writing")  # the window waits for none of it

    play(desk, session, wait, *click("place:job"), *click("write:sheet"), *click("write:pdf"),
         look, until(lambda desk, session: not desk.errands.pace))  # fmt: skip
    assert desk.view.message == "6 files written, back-S-A4.pdf to front-L-A4.pdf"
    assert len(pypdf.PdfReader(choir.with_name("choir-sheet.pdf")).pages) >= 2
    width, height = pypdf.PdfReader(choir.with_name("back-S-A4.pdf")).pages[0].mediabox[2:]
    sides = sorted((float(width) / 72 * 25.4, float(height) / 72 * 25.4))
    assert sides == pytest.approx([210, 297], abs=0.5)  # ISO 216, A4
    told = written_beside(read_job(choir), None, choir, "dxf")
    drawing = choir.with_name(told.removeprefix("written to "))
    assert len(ezdxf.readfile(drawing).blocks) >= 6


def test_recent_jobs_are_remembered(choir: Path, tmp_path: Path) -> None:
    desk, session = desk_with(None)
    play(desk, session, wait, *click(f"open:{choir}"), *click("place:job"))
    assert str(choir) in (tmp_path / "settings.yaml").read_text()


def test_the_keyboard_reaches_every_control(choir: Path) -> None:
    desk, session = desk_with(choir)
    for place in ("draft", "cloth", "table", "job", "trace"):
        desk.view = View(place=place)  # type: ignore[arg-type]
        desk.show(session)
        reached = set()
        for _ in range(200):
            desk._widgets._step_focus(1)
            reached.add(desk._widgets.focus)
        able = {k for k in desk._widgets._order
                if getattr(desk._widgets._made[k][0], "enabled", True)}  # fmt: skip
        assert able <= reached
    desk.close()
