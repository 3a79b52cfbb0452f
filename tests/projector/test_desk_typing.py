"""Typing at the desk as people do it: in one go, with a comma, and leaving in the middle."""

from __future__ import annotations

from pathlib import Path

import pygame
import pytest

from drafting.plane import Motion
from projector.desk.controls import Used
from projector.desk.job_place import JobPart, job_used
from projector.desk.view import Known, View, Wish
from projector.desk.window import DeskWindow
from projector.files.job import read_job
from projector.job import layout_of, pieces_of
from projector.stage.session import Session
from tests.projector.choir import choir_job
from tests.projector.desk_play import Step, click, desk_with, key, middle, mouse, play, post, wait

pytestmark = pytest.mark.usefixtures("null_driver")


def letters(text: str) -> Step:
    """Letters as the keyboard sends them."""

    def write(desk: DeskWindow, session: Session) -> None:
        for letter in text:
            post(desk, pygame.TEXTINPUT, text=letter)

    return write


def written(name: str, text: str) -> Step:
    """What was typed into an entry that still has the keyboard."""

    def write(desk: DeskWindow, session: Session) -> None:
        desk._widgets.take(name)
        desk._widgets._made[name][1].set_text(text)

    return write


def test_a_name_typed_and_the_button_tapped_in_one_turn_is_the_new_jobs(tmp_path: Path) -> None:
    desk, session = desk_with(None)
    desk.errands._folder = tmp_path

    def tapped(desk: DeskWindow, session: Session) -> None:
        written("new:name", "Winter smocks")(desk, session)
        for kind in (pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
            mouse(kind, middle(desk, "new"))(desk, session)

    play(desk, session, wait, tapped, wait, wait)
    assert read_job(tmp_path / "Winter-smocks.yaml").name == "Winter smocks"
    assert desk.view.place == "draft"  # where her first wearer is added


@pytest.mark.parametrize("end", ["close", "save", "another place"])
def test_notes_in_the_making_are_kept(choir: Path, end: str) -> None:
    desk, session = desk_with(choir)
    desk.view = View(place="job")
    leave: dict[str, Step] = {
        "close": lambda desk, session: post(desk, pygame.WINDOWCLOSE),
        "save": key(pygame.K_s, pygame.KMOD_CTRL),
        "another place": key(pygame.K_F2),
    }
    written_notes = written("job:notes", "Hems by hand")
    play(desk, session, wait, written_notes, wait, leave[end], wait, wait)
    assert read_job(choir).notes == "Hems by hand"


def test_tab_and_a_click_mark_what_stands_in_an_entry_so_that_typing_takes_its_place(
    choir: Path,
) -> None:
    desk, session = desk_with(choir)
    focus = lambda desk, session: desk._widgets.take("slide:body.bust")  # noqa: E731
    end = play(
        desk, session, wait, focus, key(pygame.K_TAB), wait, letters("80,5"),
        key(pygame.K_RETURN), wait, *click("value:body.hip"), letters("104 cm"),
        key(pygame.K_RETURN), wait,
    )  # fmt: skip
    assert end.job is not None
    body = end.job.wearers[0].body
    assert (body.waist, body.hip) == (805.0, 1040.0)


def test_what_was_refused_gives_way_and_changes_nothing(choir: Path) -> None:
    desk, session = desk_with(choir)
    before = session.job
    end = play(
        desk, session, wait, written("value:body.bust", "hello"), key(pygame.K_RETURN), wait,
        key(pygame.K_TAB), wait, wait,
    )  # fmt: skip
    assert end.job == before
    assert "hello" in desk.view.message and desk.view.tone == "stop"
    item, widget = desk._widgets._made["value:body.bust"]
    assert widget.get_text() == item.text  # type: ignore[union-attr]


def test_options_that_are_left_out_read_none_and_can_be_left_out_again(choir: Path) -> None:
    desk, session = desk_with(choir)
    texts: list[str] = []

    def look(desk: DeskWindow, session: Session) -> None:
        texts.append(desk._widgets._made["value:style.cuff"][1].get_text())

    end = play(
        desk, session, wait, *click("group:more"), look, *_typed("value:style.cuff", "4 cm"), look,
        *_typed("value:style.cuff", "none"), look,
    )  # fmt: skip
    assert texts == ["none", "4.0 cm", "none"]
    assert end.job is not None and end.job.style.cuff is None


def _typed(name: str, text: str) -> tuple[Step, ...]:
    return written(name, text), key(pygame.K_RETURN), wait, wait


def test_a_job_that_is_not_there_is_offered_as_a_new_one(tmp_path: Path) -> None:
    desk, session = desk_with(None)
    view, commands = desk.errands.done(Wish("open", tmp_path / "smocks.yaml"), desk.view, session)
    assert commands == () and view.place == "job"
    assert view.part(JobPart).name == "smocks" and "New job" in view.message
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("what", "text"), [("name", " "), ("name", "n" * 301), ("notes", "n" * 50_001)]
)
def test_a_name_or_notes_that_no_job_has_are_told_and_the_job_stays(what: str, text: str) -> None:
    job = choir_job()
    session = Session(layout_of(job, pieces_of(job)), Motion(), job=job)
    done = job_used(Used(f"job:{what}", text), View(), session, Known())
    assert done is not None and done.view.tone == "stop" and not done.commands
