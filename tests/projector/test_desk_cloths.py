"""Cloths on the desk: added, changed, flawed, taken away; pieces moved and turned near edges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pygame
import pytest
import shapely

from drafting.edge import point_along
from drafting.piece import edge_named, notches_of
from drafting.plane import Motion
from projector.cloth.clearance import violations
from projector.cloth.cloth import lay_width
from projector.cloth.layout import piece_of
from projector.cloth.leftover import largest_leftover
from projector.cloth.shapes import placed_shape
from projector.desk.cloth_figure import cloth_scale, light_tab
from projector.desk.cloths import renamed_cloth, with_piece_on
from projector.desk.controls import Button, Figure, Words
from projector.desk.wearers import renamed_wearer
from projector.desk.window import DeskWindow
from projector.errors import ProjectorError
from projector.files.job import read_job, write_job
from projector.job import Lay, layout_of, pieces_of
from projector.stage.session import Session
from tests.projector.choir import hall_map
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


def in_picture(desk: DeskWindow, x: float, y: float) -> tuple[int, int]:
    """The pixel of the window over a place on the cloth, mm."""
    figure = next(i for i in desk._items if isinstance(i, Figure))
    fit = cloth_scale(figure.content, figure.area.size, desk._frame.scale)
    at = fit.pixels([(x, y)])[0]
    return round(figure.area.x + at[0]), round(figure.area.y + at[1])


def dragged(
    start: tuple[float, float], way: tuple[float, float], button: int = 1, steps: int = 4
) -> tuple[Step, ...]:
    """Press at a place on the cloth, move by so many mm, let go."""

    def press(kind: int, part: float) -> Step:
        def step(desk: DeskWindow, session: Session) -> None:
            at = in_picture(desk, start[0] + part * way[0], start[1] + part * way[1])
            if kind == pygame.MOUSEMOTION:
                mouse(kind, at)(desk, session)
            else:
                event = pygame.event.Event(kind, pos=at, button=button, touch=False, clicks=1,
                                           window=desk._window)  # fmt: skip
                pygame.event.post(event)

        return step

    moves = [step for n in range(1, steps + 1)
             for step in (press(pygame.MOUSEMOTION, n / steps), wait)]  # fmt: skip
    return press(pygame.MOUSEBUTTONDOWN, 0.0), wait, *moves, press(pygame.MOUSEBUTTONUP, 1.0), wait


def flat(choir: Path) -> None:
    choir.write_text(choir.read_text().replace("folded: yes", "folded: no"))


def inside_of(session: Session, index: int) -> tuple[float, float]:
    shape = placed_shape(session.layout, session.layout.placements[index])
    point = shape.representative_point()
    return point.x, point.y


# --- cloths ------------------------------------------------------------------------------


def test_a_cloth_is_added_described_given_a_piece_and_kept(choir: Path) -> None:
    desk, session = desk_with(choir)
    end = play(
        desk, session, wait, *click("place:cloth"), *click("lay:rest"), *click("cloth_add"),
        *typed("cloth_value:name", "trim"), *typed("cloth_value:width", "160 cm"),
        *typed("cloth_value:length", "6 m"), *click("cloth_switch:folded"),
        *typed("cloth_value:repeat_along", "5 cm"), *typed("cloth_value:shrinkage_along", "4 %"),
        *click("cloth_switch:one_way"), *click("cloth_colour:black"), *click("cloth:main:"),
        lambda desk, session: dragged(inside_of(session, 0), (0.0, 0.0))[0](desk, session), wait,
        lambda desk, session: dragged(inside_of(session, 0), (0.0, 0.0))[-2](desk, session), wait,
        *click("beside:lay"), *click("from:on"), *click("cloth:trim:"), *click("lay:rest"),
    )  # fmt: skip
    kept = read_job(choir)
    trim = kept.cloths[1]
    assert (trim.name, trim.width, trim.length) == ("trim", 1600.0, 6000.0)
    assert (trim.folded, trim.one_way, trim.colour) == (False, True, "black")
    assert (trim.repeat_along, trim.shrinkage_along) == (50.0, 0.04)
    # Of three sizes, the chosen piece is cut from the new cloth and no other.
    moved = {piece.name for piece in pieces_of(kept) if piece.cloth == "trim"}
    assert len(moved) == 1 and sum(piece.cloth == "trim" for piece in pieces_of(kept)) == 3
    lays = {lay.cloth: {p.piece.split()[0] for p in lay.placements} for lay in kept.lays}
    assert lays["trim"] == moved and lays["main"] == {"back", "front"} - moved
    assert end.layout.cloth.colour == "black" and not any(
        "overlap" in v for v in violations(end.layout)
    )


def test_every_change_of_a_cloth_is_undone(choir: Path) -> None:
    desk, session = desk_with(choir)
    undo = key(pygame.K_z, pygame.KMOD_CTRL)
    end = play(
        desk, session, wait, *click("place:cloth"), *click("lay:rest"), *click("cloth_add"),
        *click("cloth_away"), undo, wait, undo, wait, undo, wait,
    )  # fmt: skip
    assert end.job == session.job and end.layout == session.layout and len(end.future) == 3


def test_a_point_is_matched_to_the_stripes_laid_there_turned_and_taken_away(choir: Path) -> None:
    flat(choir)
    desk, session = desk_with(choir)
    undo = key(pygame.K_z, pygame.KMOD_CTRL)
    end = play(
        desk, session, wait, *click("place:cloth"), *click("beside:cloth"),
        *typed("cloth_value:repeat_along", "12 cm"), *typed("cloth_value:repeat_across", "8 cm"),
        *click("beside:stripes"), *typed("cloth_value:phase_along", "2 cm"),
        *click("stripe:add"), *click("stripe:piece_on"), *click("stripe:point_on"),
        *click("stripe:add"), *click("stripe:way_1"), *click("stripe:way_1"),
        *click("lay:rest"), *click("stripe:away_0"), undo, wait,
    )  # fmt: skip
    kept = read_job(choir).cloths[0]
    first, second = kept.matches
    assert (first.along, first.across) == (True, True) and kept.phase_along == 20.0
    assert first.piece != second.piece and (second.along, second.across) == (False, True)
    assert not violations(end.layout) and len(end.layout.placements) == 6
    for placed in end.layout.placements:  # the notch on its stripe, by the placement's motion
        piece = piece_of(end.layout, placed)
        match = first if piece.name == first.piece else second
        notch = next(n for n in notches_of(piece) if n.name == match.at)
        at = placed.cloth_from_piece(point_along(edge_named(piece, notch.edge), notch.along))
        if match.along:
            assert abs(math.remainder(at.x - 20.0, 120.0)) < 0.02
        assert abs(math.remainder(at.y, 80.0)) < 0.02


def test_a_cloth_is_taken_away_with_its_lay_and_the_last_one_stays(choir: Path) -> None:
    desk, session = desk_with(choir)
    end = play(desk, session, wait, *click("place:cloth"), *click("cloth_add"),
               *click("cloth_away"))  # fmt: skip
    assert end.job is not None and [c.name for c in end.job.cloths] == ["main"]
    away = next(i for i in desk._items if isinstance(i, Button) and i.key == "cloth_away")
    assert not away.enabled


def test_renaming_a_cloth_keeps_every_piece_on_it(choir: Path) -> None:
    job = with_piece_on(read_job(choir), "front", "main")
    before = {piece.name: piece.cloth for piece in pieces_of(job)}
    after, layout = renamed_cloth(job, layout_of(job, pieces_of(job)), "linen")
    assert {p.cloth for p in pieces_of(after)} == {"linen"} and set(before.values()) == {"main"}
    assert layout.cloth.name == "linen" and len(layout.pieces) == 6
    with pytest.raises(ProjectorError, match="needs a name"):
        renamed_cloth(job, layout, "  ")


def test_a_flaw_is_marked_by_a_drag_or_typed_and_taken_back(choir: Path) -> None:
    desk, session = desk_with(choir)
    end = play(
        desk, session, wait, *click("place:cloth"), *click("beside:flaws"), *click("flaw:mark"),
        *dragged((600.0, 300.0), (80.0, 60.0)), *typed("flaw:typed", "100, 20, 5, 4"),
    )  # fmt: skip
    drawn, written = end.layout.cloth.flaws
    x, y = zip(*drawn, strict=True)
    # A pixel of this picture is about 5 mm of cloth.
    assert (min(x), max(x)) == pytest.approx((600.0, 680.0), abs=6.0)
    assert (min(y), max(y)) == pytest.approx((300.0, 360.0), abs=6.0)
    assert shapely.Polygon(written).bounds == (1000.0, 200.0, 1050.0, 240.0)
    assert read_job(choir).cloths[0].flaws == (drawn, written)
    desk, session = desk_with(choir)
    end = play(desk, session, wait, *click("place:cloth"), *click("beside:flaws"),
               *click("flaw:0"), *typed("flaw:typed", "1, 2"))  # fmt: skip
    assert end.layout.cloth.flaws == (written,) and "four lengths" in desk.view.message


# --- pieces near an edge -----------------------------------------------------------------


@pytest.mark.parametrize("zooms", [0, 2, 4])
def test_a_piece_at_the_far_edge_is_reached_and_moved(choir: Path, zooms: int) -> None:
    flat(choir)
    desk, session = desk_with(choir)
    desk.errands.table_map = hall_map()  # its light ends far from the far selvage
    placed: list[Session] = []

    def to_the_edge(desk: DeskWindow, session: Session) -> Sequence[Step]:
        shape = placed_shape(session.layout, session.layout.placements[0])
        free = lay_width(session.layout.cloth) - session.layout.cloth.selvage - shape.bounds[3]
        return dragged(inside_of(session, 0), (0.0, free - 1.0))

    def look(desk: DeskWindow, session: Session) -> None:
        placed.append(session)

    # What is chosen is in the middle of what is shown larger.
    larger = [step for _ in range(zooms) for step in click("zoom:in")]
    end = play(
        desk, session, wait, *click("place:cloth"), *click("lay:rest"), to_the_edge, look,
        *larger, wait, wait,
        lambda desk, session: dragged(inside_of(session, 0), (40.0, -60.0)),
    )  # fmt: skip
    high = placed_shape(placed[0].layout, placed[0].layout.placements[0]).bounds[3]
    edge = lay_width(end.layout.cloth) - end.layout.cloth.selvage
    assert high == pytest.approx(edge, abs=6.0)
    before = placed[0].layout.placements[0].cloth_from_piece
    after = end.layout.placements[0].cloth_from_piece
    assert after.dx - before.dx == pytest.approx(40.0, abs=8.0)
    assert after.dy - before.dy == pytest.approx(-60.0, abs=8.0)


def test_the_tab_of_the_light_lies_over_no_cloth(choir: Path) -> None:
    flat(choir)
    desk, session = desk_with(choir)
    desk.errands.table_map = hall_map()
    play(desk, session, wait, *click("place:cloth"), wait)
    figure = next(i for i in desk._items if isinstance(i, Figure))
    fit = cloth_scale(figure.content, figure.area.size, desk._frame.scale)
    tab = light_tab(figure.content, fit, desk._frame.scale)
    assert tab is not None
    assert tab[1] + tab[3] <= fit.pixels([(0.0, lay_width(session.layout.cloth))])[0][1]


def test_a_piece_is_turned_by_the_right_button_and_snaps_to_the_grain(choir: Path) -> None:
    flat(choir)
    desk, session = desk_with(choir)
    angles: list[float] = []

    def turn(by: float) -> Step:
        def step(desk: DeskWindow, session: Session) -> Sequence[Step]:
            middle = placed_shape(session.layout, session.layout.placements[0]).centroid
            start = (middle.x + 150.0, middle.y)
            end = (middle.x + 150.0 * math.cos(by), middle.y + 150.0 * math.sin(by))
            return dragged(start, (end[0] - start[0], end[1] - start[1]), button=3)

        return step

    def look(desk: DeskWindow, session: Session) -> None:
        angles.append(session.layout.placements[0].cloth_from_piece.angle)

    end = play(
        desk, session, wait, *click("place:cloth"), *click("lay:rest"), look,
        turn(math.radians(30)), look, turn(math.radians(-29)), look,
    )  # fmt: skip
    assert math.degrees(angles[1] - angles[0]) == pytest.approx(30.0, abs=2.5)
    # Within 3 degrees of the grain it is laid on it.
    assert math.remainder(angles[2] - angles[0], math.pi) == pytest.approx(0.0, abs=1e-9)
    assert len(end.past) == 3  # laid, turned, turned back: each drag is one change


def test_why_a_piece_on_the_fold_is_not_turned_is_told(choir: Path) -> None:
    desk, session = desk_with(choir)
    told: list[str] = []

    def choose(desk: DeskWindow, session: Session) -> Sequence[Step]:
        return dragged(inside_of(session, 0), (0.0, 0.0), steps=0)

    def look(desk: DeskWindow, session: Session) -> None:
        told.append(desk.view.message)

    end = play(
        desk, session, wait, *click("place:cloth"), *click("lay:rest"), choose,
        *click("piece:left"), look, *click("piece:lock"), *click("piece:mirror"), look,
    )  # fmt: skip
    assert "lies on the fold" in told[0] and "release it first" in told[1]
    assert len(end.past) == 2  # laid and locked


# --- what is kept ------------------------------------------------------------------------


def test_renaming_a_wearer_keeps_how_far_the_cloth_was_slid(choir: Path) -> None:
    job = read_job(choir)
    layout = layout_of(job, pieces_of(job))
    lay = Lay("main", (), Motion(0.01, -812.5, 3.0))
    slid = replace(job, lays=(lay,))
    after, _ = renamed_wearer(slid, layout, 0, "Soprano")
    assert after.lays == (lay,)


def test_how_far_the_cloth_was_slid_at_the_desk_is_there_again(choir: Path, tmp_path: Path) -> None:
    desk, session = desk_with(choir)
    desk.errands.table_map = hall_map()
    session = Session(session.layout, desk.errands._cloth_place(), job=session.job)
    end = play(desk, session, wait, *click("place:cloth"), *click("lay:rest"),
               key(pygame.K_PAGEDOWN), wait)  # fmt: skip
    assert read_job(choir).lays[0].lies.dx < -800.0
    write_job(choir, read_job(choir))
    desk, _ = desk_with(None)
    desk.errands.table_map = hall_map()
    _, (opened,) = desk.errands.open_job(choir, desk.view, end)
    assert opened.session.table_from_cloth.dx == pytest.approx(end.table_from_cloth.dx, abs=0.1)
    desk.close()
    desk.errands.close(opened.session)


def test_a_cloth_too_short_for_any_lay_is_told_at_once(choir: Path) -> None:
    choir.write_text(choir.read_text().replace("length: 12 m", "length: 2 m"))
    desk, session = desk_with(choir)
    end = play(desk, session, wait, *click("place:cloth"), *click("search:begin"))
    assert desk.errands.known(end).search is None
    assert desk.view.tone == "stop" and "is 2.00 m long" in desk.view.message
    # Six pieces on the fold, none of them shorter than half a metre along it.
    assert float(desk.view.message.split(" at least ")[1].split(" m")[0]) > 3.0


def test_a_cloth_too_narrow_for_a_piece_is_told_at_once(choir: Path) -> None:
    flat(choir)
    choir.write_text(choir.read_text().replace("width: 150 cm", "width: 60 cm"))
    desk, session = desk_with(choir)
    end = play(desk, session, wait, *click("place:cloth"), *click("search:begin"))
    assert desk.errands.known(end).search is None
    assert desk.view.tone == "stop" and "across the cloth, 57.6 cm can be used" in desk.view.message


def test_what_a_lay_leaves_in_one_piece_is_told_beside_it(choir: Path) -> None:
    def told_there(desk: DeskWindow, session: Session) -> bool:
        return any(isinstance(i, Words) and i.text.startswith("Left") for i in desk._items)

    desk, session = desk_with(choir)
    end = play(desk, session, wait, *click("place:cloth"), *click("lay:rest"), until(told_there))
    left = largest_leftover(end.layout)
    (told,) = (i.text for i in desk._items if isinstance(i, Words) and i.text.startswith("Left"))
    assert f"{left.along / 1000:.2f} m by {left.across / 1000:.2f} m" in told
