"""The stage: a full-screen window on the projector, and its loop."""

from __future__ import annotations

import math
from collections.abc import Callable

import pygame
import shapely

from calibration.table_map import TableMap, lit_outline, table_points
from drafting.plane import Point
from projector.cloth.layout import Layout
from projector.cloth.shapes import placed_shape
from projector.errors import ProjectorError
from projector.stage import commands as do
from projector.stage.canvas import drawn
from projector.stage.picture import compose
from projector.stage.session import Session

__all__ = ["KEYS", "light"]

KEYS = (
    "drag: move; arrows: 1 mm, with shift 0.1 mm; T: turn 5 degrees; G: to grain; M: mirror; "
    "L: lock; C: cut; Page Down / Up: next / last section; S: cutting line on or off; "
    "K: 100 mm squares; B: blackout; "
    "Z / Y: undo / redo; Tab: next piece; Q: quit"
)
_NUDGES = {
    pygame.K_LEFT: (-1.0, 0.0),
    pygame.K_RIGHT: (1.0, 0.0),
    pygame.K_UP: (0.0, 1.0),
    pygame.K_DOWN: (0.0, -1.0),
}


def light(
    session: Session,
    table_map: TableMap,
    display: int = 0,
    keep: Callable[[Layout], None] = lambda layout: None,
) -> Session:
    """Light the session until the worker quits; returns it as it was left.

    `keep` hears the layout after every finished gesture. Raises `ProjectorError` when the
    display is missing or is not the size the map was made for.
    """
    pygame.display.init()
    try:
        sizes = pygame.display.get_desktop_sizes()
        if not 0 <= display < len(sizes):
            raise ProjectorError(f"display {display} is not connected; there are {len(sizes)}")
        if sizes[display] != table_map.screen_size:
            raise ProjectorError(
                f"display {display} is {sizes[display][0]} x {sizes[display][1]}, the map was "
                f"made for {table_map.screen_size[0]} x {table_map.screen_size[1]}; set the "
                "projector to that, or calibrate again"
            )
        surface = pygame.display.set_mode(sizes[display], pygame.FULLSCREEN, display=display)
        pygame.display.set_caption("Shearlight stage")
        return _loop(session, table_map, surface, keep)
    finally:
        pygame.display.quit()


def _loop(
    session: Session,
    table_map: TableMap,
    surface: pygame.Surface,
    keep: Callable[[Layout], None],
) -> Session:
    shown: Session | None = None
    kept = session.layout
    dragging = False
    fresh = True
    while True:
        if session is not shown:
            image = drawn(compose(session, table_map))
            pygame.surfarray.blit_array(surface, image.swapaxes(0, 1))
            pygame.display.flip()
            shown = session
        for event in [pygame.event.wait(), *pygame.event.get()]:
            if event.type == pygame.QUIT or (
                event.type == pygame.KEYDOWN and event.key in (pygame.K_q, pygame.K_ESCAPE)
            ):
                if session.layout != kept:
                    keep(session.layout)
                return session
            if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
                session = do.apply(session, do.Select(_under(session, table_map, event.pos)))
                dragging, fresh = session.selection is not None, True
            elif event.type == pygame.MOUSEBUTTONUP and event.button == 1:
                dragging = False
            elif event.type == pygame.MOUSEMOTION and dragging:
                before = (event.pos[0] - event.rel[0], event.pos[1] - event.rel[1])
                step = _on_cloth(session, table_map, event.pos) - _on_cloth(
                    session, table_map, before
                )
                moved = do.apply(session, do.Move(step.x, step.y, fresh))
                fresh = fresh and moved is session
                session = moved
            elif event.type == pygame.KEYDOWN and not dragging:
                command = _command(event.key, event.mod, session, table_map)
                if command is not None:
                    session = do.apply(session, command)
        if not dragging and session.layout != kept:
            keep(session.layout)
            kept = session.layout


def _command(key: int, mod: int, session: Session, table_map: TableMap) -> do.Command | None:
    if key in _NUDGES:
        size = 0.1 if mod & pygame.KMOD_SHIFT else 1.0
        x, y = _NUDGES[key]
        step = session.table_from_cloth.inverse.direction(Point(x * size, y * size))
        return do.Move(step.x, step.y)
    corners = lit_outline(table_map)
    section = 0.8 * float(corners[:, 0].max() - corners[:, 0].min())
    turn = math.radians(-5.0 if mod & pygame.KMOD_SHIFT else 5.0)
    count = len(session.layout.placements)
    following = 0 if session.selection is None else (session.selection + 1) % max(count, 1)
    meant: dict[int, do.Command] = {
        pygame.K_t: do.Turn(turn),
        pygame.K_g: do.SnapToGrain(),
        pygame.K_m: do.Mirror(),
        pygame.K_l: do.Lock(),
        pygame.K_c: do.TickAsCut(),
        pygame.K_PAGEDOWN: do.SlideCloth(section),
        pygame.K_PAGEUP: do.SlideCloth(-section),
        pygame.K_s: do.Layer("cutting line"),
        pygame.K_k: do.Layer("100 mm squares"),
        pygame.K_b: do.Blackout(),
        pygame.K_z: do.Undo(),
        pygame.K_y: do.Redo(),
        pygame.K_TAB: do.Select(following),
    }
    return meant.get(key)


def _on_cloth(session: Session, table_map: TableMap, at_px: tuple[int, int]) -> Point:
    x, y = table_points(table_map, [at_px])[0]
    return session.table_from_cloth.inverse(Point(float(x), float(y)))


def _under(session: Session, table_map: TableMap, at_px: tuple[int, int]) -> int | None:
    place = _on_cloth(session, table_map, at_px)
    for index in reversed(range(len(session.layout.placements))):
        shape = placed_shape(session.layout, session.layout.placements[index])
        if shape.contains(shapely.Point(place.x, place.y)):
            return index
    return None
