"""The stage lights pieces where the map's closed form says, and what is done can be undone."""

from __future__ import annotations

import numpy as np
import pygame
import pytest
from scipy.ndimage import center_of_mass

from calibration.table_map import TableMap
from drafting.piece import Piece
from drafting.plane import Motion, Point
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, Placement
from projector.errors import ProjectorError
from projector.stage import commands as do
from projector.stage.applying import apply
from projector.stage.canvas import drawn
from projector.stage.composition import compose
from projector.stage.displays import displays_open
from projector.stage.loop import run
from projector.stage.session import Session
from projector.stage.window import StageWindow
from tests.drafting.known_pieces import cornered

SCREEN = (1280, 720)


def square(size: float = 100.0, fold: bool = False) -> Piece:
    corners = [(0, 0), (size, 0), (size, size), (0, size)]
    roles = ["seam", "seam", "seam", "fold" if fold else "seam"]
    return cornered(corners, 0.0, roles, "square", fold_edge="edge 3" if fold else None)


def session(fold: bool = False, motion: Motion | None = None) -> Session:
    motion = motion or Motion(np.pi / 2, 500.0, 0.0 if fold else 200.0)
    layout = Layout(Cloth(folded=fold), (square(fold=fold),), (Placement("square", 0, motion),))
    return Session(layout, selection=0)


def random_map(seed: int) -> TableMap:
    chance = np.random.default_rng(seed)
    matrix = np.array([[0.8, 0.0, 0.0], [0.0, -0.8, 600.0], [0.0, 0.0, 1.0]])
    matrix[:2, :2] += chance.normal(0.0, 0.03, (2, 2))
    matrix[2, :2] = chance.normal(0.0, 3e-5, 2)
    return TableMap(matrix, SCREEN)


@pytest.mark.parametrize("seed", range(10))
def test_corners_of_a_100_mm_square_lie_where_the_homography_puts_them(seed: int) -> None:
    table_map = random_map(seed)
    state = Session(session().layout, layers=frozenset({"cutting line"}))
    brightness = drawn(compose(state, table_map)).astype(float).sum(axis=2)
    inverse = np.linalg.inv(table_map.table_from_screen)
    expected = []
    for x, y in ((500, 200), (500, 300), (400, 300), (400, 200)):
        u, v, w = inverse @ (x, y, 1.0)
        expected.append((u / w, v / w))
    sides, scatter = [], []
    for side in range(4):
        a, b = np.array(expected[side]), np.array(expected[(side + 1) % 4])
        normal = np.array([-(b - a)[1], (b - a)[0]]) / np.hypot(*(b - a))
        seen = []
        for t in np.linspace(0.15, 0.85, 40):
            x, y = a + t * (b - a)
            column, row = round(x), round(y)
            window = brightness[row - 6 : row + 7, column - 6 : column + 7]
            dy, dx = center_of_mass(window)
            off = np.array([column - 6 + dx - x, row - 6 + dy - y]) @ normal
            assert abs(off) < 0.5
            seen.append(np.array([x, y]) + off * normal)
        middle = np.mean(seen, axis=0)
        along = np.linalg.svd(seen - middle)[2][0]  # the straight line nearest to what was seen
        across = np.array([-along[1], along[0]])
        sides.append((across, across @ middle))
        scatter += list((seen - middle) @ across)
    # Where the lines that were seen meet is the corner that was lit.
    for corner in range(4):
        (n1, c1), (n2, c2) = sides[corner - 1], sides[corner]
        found = np.linalg.solve([n1, n2], [c1, c2])
        assert np.hypot(*(found - expected[corner])) < 0.5
    # A line of whole pixels, not anti-aliased, strays evenly over one: 1 / sqrt(12) = 0.29.
    assert np.std(scatter) < 0.15


@pytest.mark.parametrize("px_a_mm", (0.1, 0.4, 1.0, 2.5, 4.0))
@pytest.mark.parametrize("layer, width", (("cutting line", 2.0), ("seam line", 1.0)))
def test_lines_are_as_wide_as_on_the_table_and_never_thinner_than_a_pixel(
    px_a_mm: float, layer: str, width: float
) -> None:
    # The square's far side 60 pixels from the corner of the screen, whatever the scale.
    table_map = TableMap(np.diag([1.0 / px_a_mm, 1.0 / px_a_mm, 1.0]), SCREEN)
    reach = 100.0 * round(max(1.0, 1.0 / px_a_mm))
    at = Placement("square", 0, Motion(0.0, 50.0 / px_a_mm, 50.0 / px_a_mm))
    layout = Layout(Cloth(folded=False), (square(reach),), (at,))
    picture = drawn(compose(Session(layout, layers=frozenset({layer})), table_map)).astype(float)
    green = picture[:, :, 1]  # the edge of the line has none
    middle = slice(round(50 + 0.2 * reach * px_a_mm), round(50 + 0.8 * reach * px_a_mm))
    across = green[middle, 30:70]
    lit = across[across.max(axis=1) > 0.5 * across.max()]  # between the dashes nothing is
    # Light across the line, in lines as bright as the brightest: its width in pixels.
    seen = np.median(lit.sum(axis=1)) / np.percentile(across.max(axis=1), 95)
    # The library's thinnest line is 1.4 pixels wide.
    assert seen == pytest.approx(max(1.2, width * px_a_mm), abs=0.35)
    assert seen > 0.95


def test_undo_without_limit_and_redo() -> None:
    first = state = session()
    for _ in range(300):
        state = apply(state, do.Turn(0.01))
    turned = state.layout
    for _ in range(300):
        state = apply(state, do.Undo())
    assert state.layout == first.layout
    for _ in range(300):
        state = apply(state, do.Redo())
    assert state.layout == turned


def test_a_piece_on_the_fold_slides_along_it_only() -> None:
    state = session(fold=True)
    for command in (do.Move(30.0, 40.0), do.Turn(0.3), do.Mirror(), do.SnapToGrain()):
        state = apply(state, command)
        motion = state.layout.placements[0].cloth_from_piece
        for y in (0.0, 100.0):
            assert motion(Point(0.0, y)).y == pytest.approx(0.0, abs=1e-9)
    assert "fold" in state.said


def test_locked_and_cut_pieces_stay() -> None:
    for command in (do.Lock(), do.TickAsCut()):
        state = apply(session(), command)
        told = apply(state, do.Move(5.0, 0.0))
        assert told.layout is state.layout and "stays" in told.said


def test_snap_to_grain_turns_by_the_least_angle() -> None:
    state = session(motion=Motion(np.pi / 2 + 0.2, 500.0, 200.0))
    angle = apply(state, do.SnapToGrain()).layout.placements[0].cloth_from_piece.angle
    assert angle == pytest.approx(np.pi / 2)


def test_the_loop_drags_a_piece_and_keeps_it() -> None:
    pygame.display.init()
    size = pygame.display.get_desktop_sizes()[0]
    table_map = TableMap(np.diag([1.0, 1.0, 1.0]), size)
    pygame.event.clear()
    for kind, values in (
        (pygame.MOUSEBUTTONDOWN, {"button": 1, "pos": (450, 250)}),
        (pygame.MOUSEMOTION, {"pos": (460, 255), "rel": (10, 5), "buttons": (1, 0, 0)}),
        (pygame.MOUSEMOTION, {"pos": (480, 260), "rel": (20, 5), "buttons": (1, 0, 0)}),
        (pygame.MOUSEBUTTONUP, {"button": 1, "pos": (480, 260)}),
        (pygame.KEYDOWN, {"key": pygame.K_c, "mod": 0}),
        (pygame.KEYDOWN, {"key": pygame.K_q, "mod": 0}),
    ):
        pygame.event.post(pygame.event.Event(kind, values))
    kept: list[Layout] = []
    end = run(session(), [StageWindow(table_map)], lambda state: kept.append(state.layout))
    placement = end.layout.placements[0]
    assert (placement.cloth_from_piece.dx, placement.cloth_from_piece.dy) == (530.0, 210.0)
    assert placement.cut and kept[-1] == end.layout
    assert len(end.past) == 2


def test_a_map_for_another_screen_lights_nothing() -> None:
    with displays_open(), pytest.raises(ProjectorError, match="map was made for 640 x 480"):
        StageWindow(TableMap(np.eye(3), (640, 480)))
