"""Tracing at the desk: a drawn piece of known shape, corrected by hand and taken into the job."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pygame
import pytest

from drafting.edge import edge_length
from drafting.marks import Notch
from projector.desk.controls import Figure
from projector.desk.trace_figure import TraceContent, photo_fit, seen_px
from projector.desk.trace_part import TracePart
from projector.desk.view import View
from projector.desk.window import DeskWindow
from projector.files.job import read_job
from projector.stage.session import Session
from tests.projector.desk_play import (
    Step,
    click,
    desk_with,
    key,
    mouse,
    play,
    typed,
    until,
    wait,
)

pytestmark = pytest.mark.usefixtures("null_driver")

PX = 4.0  # a scan of 101.6 dots an inch
SIZE = (1200, 1000)
CORNERS = ((40.0, 40.0), (240.0, 40.0), (240.0, 190.0), (40.0, 190.0))  # mm, y down
NOTCH = (140.0, 40.0)


def scan(path: Path) -> None:
    """A rectangle of 200 by 150 mm with a notch 4 mm deep in the middle of its upper side."""
    fine = 4
    image = np.full((SIZE[1] * fine, SIZE[0] * fine), 60, np.uint8)
    rows = [CORNERS[0], (138.5, 40.0), (140.0, 44.0), (141.5, 40.0), *CORNERS[1:]]
    corners = (np.array(rows) * PX * fine).round().astype(np.int32)
    cv2.fillPoly(image, [corners], 235)
    small = cv2.resize(image, SIZE, interpolation=cv2.INTER_AREA)
    cv2.imwrite(str(path), cv2.cvtColor(small, cv2.COLOR_GRAY2BGR))


def part_of(desk: DeskWindow) -> TracePart:
    return desk.view.part(TracePart)


def in_window(desk: DeskWindow, x: float, y: float) -> tuple[int, int]:
    """The pixel of the window over a place of the scan, mm, y down."""
    figure = next(i for i in desk._items if isinstance(i, Figure))
    assert isinstance(figure.content, TraceContent)
    fit = photo_fit(figure.content, figure.area.size)
    at = fit.shown(np.array([[x * PX, y * PX]]))[0]
    return round(figure.area.x + at[0]), round(figure.area.y + at[1])


def press(x: float, y: float) -> tuple[Step, ...]:
    return (
        lambda desk, session: mouse(pygame.MOUSEBUTTONDOWN, in_window(desk, x, y))(desk, session),
        wait,
        lambda desk, session: mouse(pygame.MOUSEBUTTONUP, in_window(desk, x, y))(desk, session),
        wait,
    )


def drag(start: tuple[float, float], end: tuple[float, float]) -> tuple[Step, ...]:
    def at(kind: int, place: tuple[float, float]) -> Step:
        return lambda desk, session: mouse(kind, in_window(desk, *place))(desk, session)

    return (
        at(pygame.MOUSEBUTTONDOWN, start), wait, at(pygame.MOUSEMOTION, end), wait,
        at(pygame.MOUSEBUTTONUP, end), wait,
    )  # fmt: skip


def played(path: Path, *steps: Step) -> tuple[DeskWindow, Session]:
    desk, session = desk_with(path)
    desk.view = View(place="trace").with_part(TracePart(paper="scan", dots=25.4 * PX))
    found = until(lambda desk, session: part_of(desk).traced is not None)
    end = play(desk, session, wait, *click("trace_photo:front.png"), *click("trace_find"), found,
               wait, wait, *steps)  # fmt: skip
    return desk, end


def test_a_traced_piece_is_named_and_taken_into_the_job(choir: Path, tmp_path: Path) -> None:
    scan(tmp_path / "front.png")
    desk, end = played(
        choir, *typed("trace_said:name", "card"), *typed("trace_said:allowance", "0"),
        *click("trace_take"),
    )  # fmt: skip
    assert part_of(desk).traced is None
    (piece,) = read_job(choir).pieces
    lengths = sorted(edge_length(edge) for edge in piece.edges)
    assert piece.name == "card" and lengths == pytest.approx([150, 150, 200, 200], abs=0.4)
    assert sum(isinstance(mark, Notch) for mark in piece.marks) == 1
    assert len(end.past) == 1 and any(p.name == "card" for p in end.layout.pieces)


def test_corners_and_notches_are_moved_added_and_taken_away(choir: Path, tmp_path: Path) -> None:
    scan(tmp_path / "front.png")
    seen: list[tuple[int, int]] = []
    places: list[np.ndarray] = []

    def look(desk: DeskWindow, session: Session) -> None:
        traced = part_of(desk).traced
        assert traced is not None
        seen.append((len(traced.tracing.corners), len(traced.tracing.notches)))
        corners = tuple(corner.place for corner in traced.tracing.corners)
        notches = tuple(notch.place for notch in traced.tracing.notches)
        places.append(seen_px(traced, (*corners, *notches)) / PX)

    desk, _ = played(
        choir, look,
        *click("trace_tool:corner"), *press(140.0, 190.0), look,
        *click("trace_tool:notch"), *press(240.0, 115.0), look,
        *click("trace_tool:remove"), *press(140.0, 190.0), look,
        *click("trace_tool:move"), *drag((240.0, 190.0), (250.0, 200.0)), look,
        *drag(NOTCH, (100.0, 40.0)), look,
        *click("trace_back"), *click("trace_back"), look,
    )  # fmt: skip
    assert seen == [(4, 1), (5, 1), (5, 2), (4, 2), (4, 2), (4, 2), (4, 2)]

    def near(rows: np.ndarray, x: float, y: float) -> float:
        return float(np.hypot(*(rows - (x, y)).T).min())

    # A pixel of the window is about a third of a millimetre of the scan.
    assert near(places[0], *CORNERS[2]) < 0.4 and near(places[4], 250.0, 200.0) < 0.6
    assert near(places[5], 100.0, 40.0) < 0.6 and near(places[5], *NOTCH) > 30.0
    # Two steps back: corner and notch are where they were found.
    assert near(places[6], *CORNERS[2]) < 0.4 and near(places[6], *NOTCH) < 0.6
    assert desk.view.place == "trace"


def test_a_piece_on_the_fold_and_undo(choir: Path, tmp_path: Path) -> None:
    scan(tmp_path / "front.png")
    _, end = played(
        choir, *click("trace_fold:on"), *click("trace_take"),
        key(pygame.K_z, pygame.KMOD_CTRL), wait,
    )  # fmt: skip
    assert end.job is not None and end.job.pieces == () and len(end.future) == 1
    taken = end.future[-1].job
    assert taken is not None and taken.pieces[0].fold_edge is not None


def test_what_cannot_be_traced_is_told(choir: Path, tmp_path: Path) -> None:
    cv2.imwrite(str(tmp_path / "front.png"), np.full((400, 500, 3), 90, np.uint8))
    desk, session = desk_with(choir)
    desk.view = View(place="trace").with_part(TracePart(paper="A4"))
    told = until(lambda desk, session: desk.view.tone == "stop")
    play(desk, session, wait, *click("trace_photo:front.png"), *click("trace_find"), told)
    assert "printed board" in desk.view.message
