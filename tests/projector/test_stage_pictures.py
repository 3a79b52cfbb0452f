"""What the stage lights: nothing lost at the horizon, cards off the lines, the cloth's colour."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.table_map import TableMap, screen_points
from drafting.plane import Motion, Point
from projector.cloth.layout import Layout, Placement
from projector.stage import commands as do
from projector.stage.applying import apply
from projector.stage.canvas import drawn
from projector.stage.composition import compose
from projector.stage.picture import Picture
from projector.stage.session import Session
from tests.projector.choir import choir_session, hall_map
from tests.projector.test_stage import session as square_session

SCREEN = (1280, 720)


def tilted_map() -> TableMap:
    """A projector so tilted that its horizon on the table lies near the far edge of the light."""
    screen_from_table = np.array([[0.9, 0.1, 60.0], [0.0, -0.9, 690.0], [0.0, -7.0e-4, 1.0]])
    return TableMap(np.linalg.inv(screen_from_table), SCREEN)


def test_a_piece_that_reaches_beyond_the_horizon_is_lit_up_to_it() -> None:
    table_map = tilted_map()
    matrix = np.linalg.inv(table_map.table_from_screen)
    matrix /= matrix[2, 2]
    assert matrix[2, 1] * 1600.0 + 1.0 < 0.0  # its far end lies beyond
    with pytest.raises(CalibrationError):
        screen_points(table_map, [(500.0, 1600.0)])
    plain = square_session().layout
    edges = plain.pieces[0].edges
    tall = replace(
        plain.pieces[0],
        edges=tuple(replace(edge, segments=tuple(_stretched(s) for s in edge.segments))
                    for edge in edges),
    )  # fmt: skip
    at = Placement("square", 0, Motion(0.0, 450.0, 100.0))
    layout = Layout(plain.cloth, (tall,), (at,))
    picture = compose(Session(layout, layers=frozenset({"cutting line"})), table_map)
    bright = drawn(picture).max(axis=2)
    for x in (450.0, 550.0):  # both long sides, as far as the light reaches, by the closed form
        for y in (150.0, 300.0, 500.0, 650.0):
            u, v, w = matrix @ (x, y, 1.0)
            column, row = round(u / w), round(v / w)
            if 2 <= column < SCREEN[0] - 2 and 2 <= row < SCREEN[1] - 2:
                assert bright[row - 1 : row + 2, column - 1 : column + 2].max() > 150, (x, y)
    u, v, w = matrix @ (500.0, 400.0, 1.0)
    assert bright[round(v / w), round(u / w)] < 60  # nothing is drawn across it


def _stretched(segment: object) -> object:
    start, end = segment.start, segment.end  # type: ignore[attr-defined]
    return type(segment)(Point(start.x, 15.0 * start.y), Point(end.x, 15.0 * end.y))


def cards_and_lines(picture: Picture) -> tuple[list[np.ndarray], list[np.ndarray]]:
    """The corners of the cards, and the points of the cutting lines, screen pixels."""
    cards = [part.boxes[0].corners for part in picture.parts if part.boxes]
    lines = [stroke.points for part in picture.parts if not part.boxes for stroke in part.strokes]
    return cards, lines


@pytest.mark.parametrize("pages", range(3))
@pytest.mark.parametrize("turns", (0, 1, 2))
def test_cards_lie_where_no_line_is_and_under_the_pieces(pages: int, turns: int) -> None:
    table_map = hall_map()
    session = replace(choir_session(), layers=frozenset({"cutting line", "seam line", "countdown"}))
    for _ in range(turns):
        session = apply(session, do.TurnText())
    session = apply(session, do.SlideCloth(1200.0 * pages))
    session = apply(session, do.Tell("Pieces snap"))
    picture = compose(session, table_map)
    cards, lines = cards_and_lines(picture)
    assert len(cards) == 2
    low, high = np.array([(c.min(axis=0), c.max(axis=0)) for c in cards]).swapaxes(0, 1)
    assert (low[0] > high[1]).any() or (low[1] > high[0]).any()  # beside each other
    for corners in cards:
        low, high = corners.min(axis=0), corners.max(axis=0)
        for rows in lines:
            assert not ((rows > low) & (rows < high)).all(axis=1).any()
    kinds = [bool(part.boxes) for part in picture.parts]
    assert kinds == sorted(kinds, reverse=True)  # cards first: they hide no line


def test_a_card_lies_still_while_a_piece_is_dragged_over_it() -> None:
    session = apply(choir_session(), do.Select(0))
    moved = apply(session, do.Move(40.0, 0.0))
    before, after = (cards_and_lines(compose(s, hall_map()))[0] for s in (session, moved))
    assert np.array_equal(before[0], after[0])


def test_a_card_steps_aside_for_the_piece_that_is_moved_onto_it() -> None:
    session = choir_session()
    session = replace(session, layers=frozenset({"cutting line", "countdown"}), selection=1)
    layout = session.layout
    alone = replace(layout, placements=layout.placements[:2])
    session = replace(session, layout=alone)
    wide = hall_map()
    for step in range(0, 1500, 50):
        moved = apply(session, do.Move(float(step), 0.0))
        (card,), lines = cards_and_lines(compose(moved, wide))
        low, high = card.min(axis=0), card.max(axis=0)
        for rows in lines:
            assert not ((rows > low) & (rows < high)).all(axis=1).any(), step


def test_the_colour_of_the_cloth_is_kept_with_it_and_undone() -> None:
    first = choir_session()
    black = apply(apply(first, do.ClothColour()), do.Select(0))
    assert black.layout.cloth.colour == "black"
    inks = [{stroke.colour for part in compose(s, hall_map()).parts for stroke in part.strokes}
            for s in (first, black)]  # fmt: skip
    assert inks[0] != inks[1]
    assert apply(black, do.Undo()).layout.cloth.colour == first.layout.cloth.colour


@pytest.mark.parametrize("turns", (0, 1))
def test_words_in_the_squares_meet_no_line_of_a_piece(turns: int) -> None:
    session = replace(choir_session(), layers=frozenset({"cutting line", "100 mm squares"}))
    for _ in range(turns):
        session = apply(session, do.TurnText())
    picture = compose(session, hall_map())
    words = [part for part in picture.parts if part.writings and not part.boxes]
    grid = next(part for part in picture.parts if part.strokes and not part.writings)
    lines = [s.points for part in picture.parts if part is not grid for s in part.strokes]
    assert len(words) == 9
    for part in words:
        assert any("±" in writing.text for writing in part.writings)
        left, top, right, bottom = part.bounds
        for rows in lines:
            steps = np.linspace(rows[:-1], rows[1:], 9).reshape(-1, 2)
            inside = (steps > (left, top)) & (steps < (right, bottom))
            assert not inside.all(axis=1).any()


@pytest.mark.parametrize("notch", range(4))
def test_a_magnified_notch_lies_in_the_light_beside_what_it_shows(notch: int) -> None:
    session = replace(choir_session(), selection=0, magnified=notch)
    part = compose(session, hall_map()).parts[-1]
    disc, words = (box.corners for box in part.boxes)
    for corners in (disc, words):
        assert (corners > 0).all() and (corners < (1920, 1080)).all()
    ring = part.strokes[1].points  # what is magnified, a fourth of the disc
    size, small = (np.ptp(rows, axis=0) for rows in (disc, ring))
    assert size / small == pytest.approx(4.0, rel=0.05)
    apart = np.hypot(*(disc.mean(axis=0) - ring.mean(axis=0)))
    assert apart > (size.max() + small.max()) / 2 - 2.0


def test_the_letters_of_a_card_stay_on_it_under_a_projector_that_looks_askance() -> None:
    askance = np.array([[1.1, 0.16, 90.0], [-0.06, -1.05, 690.0], [3.0e-4, 1.2e-4, 1.0]])
    table_map = TableMap(np.linalg.inv(askance), SCREEN)
    bare = Session(Layout(square_session().layout.cloth, (), ()), layers=frozenset())
    for _ in range(2):  # the short card, then every key
        bare = apply(bare, do.Help())
        picture = compose(bare, table_map)
        (card,) = (part for part in picture.parts if part.boxes)
        on_it = np.zeros(SCREEN[::-1], np.uint8)
        cv2.fillConvexPoly(on_it, np.rint(card.boxes[0].corners).astype(np.int32), 1)
        inside = cv2.erode(on_it, np.ones((7, 7), np.uint8)) > 0  # its frame is on its edge
        beyond = cv2.dilate(on_it, np.ones((7, 7), np.uint8)) == 0
        bright = drawn(picture).max(axis=2) > 100
        assert bright[inside].sum() > 500 and not bright[beyond].any()
