"""The pointer and the keys in a figure, as commands of the place the figure belongs to."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pygame

from drafting.plane import Point
from projector.desk.areas import Frame
from projector.desk.cloth_figure import ClothContent, cloth_scale
from projector.desk.cloth_place import ClothPart, piece_commands, section_of, zoomed
from projector.desk.controls import Figure
from projector.desk.drawing_board import Scale
from projector.desk.mark_routes import following, shifted
from projector.desk.route_steps import chosen_screen
from projector.desk.table_figures import ScreenContent, screen_scale
from projector.desk.table_part import TablePart
from projector.desk.view import Known, Outcome, View
from projector.stage import commands as do
from projector.stage.controls import under
from projector.stage.session import Session

__all__ = ["figure_keyed", "figure_pointed"]

_NUDGES = {
    pygame.K_LEFT: (-1.0, 0.0),
    pygame.K_RIGHT: (1.0, 0.0),
    pygame.K_UP: (0.0, 1.0),
    pygame.K_DOWN: (0.0, -1.0),
}
_KEYS = {
    pygame.K_g: "grain",
    pygame.K_m: "mirror",
    pygame.K_l: "lock",
    pygame.K_c: "cut",
    pygame.K_DELETE: "off",
}


@dataclass(frozen=True, slots=True)
class _Dragged:
    """What is held in the cloth's figure: a piece, the light, or the picture itself."""

    what: str
    last: Point
    fresh: bool = True


def figure_pointed(
    event: pygame.Event,
    figures: tuple[Figure, ...],
    view: View,
    session: Session,
    known: Known,
    frame: Frame,
) -> Outcome | None:
    """What the pointer does in a figure; None where it does nothing."""
    if event.type == pygame.MOUSEBUTTONUP and event.button == 1 and view.dragged is not None:
        return Outcome(replace(view, dragged=None))
    for figure in figures:
        if isinstance(figure.content, ClothContent):
            return _cloth_pointed(event, figure, figure.content, view, session, frame)
        if isinstance(figure.content, ScreenContent):
            return screen_pointed(event, figure, figure.content, view, frame)
    return None


def _cloth_pointed(
    event: pygame.Event,
    figure: Figure,
    content: ClothContent,
    view: View,
    session: Session,
    frame: Frame,
) -> Outcome | None:
    fit = cloth_scale(content, figure.area.size, frame.scale)
    if event.type == pygame.MOUSEWHEEL:
        x, y = pygame.mouse.get_pos()
        if not figure.area.contains(x, y):
            return None
        return Outcome(zoomed(view, 1.25**event.y, fit.place(x - figure.area.x, 0.0).x))
    if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
        if not figure.area.contains(*event.pos):
            return None
        return _pressed(_inside(event, figure), fit, content, view, session, frame)
    if event.type == pygame.MOUSEMOTION and isinstance(view.dragged, _Dragged):
        return _dragged(_inside(event, figure), fit, view.dragged, view, session)
    return None


def _inside(event: pygame.Event, figure: Figure) -> tuple[float, float]:
    return event.pos[0] - figure.area.x, event.pos[1] - figure.area.y


def _pressed(
    at_px: tuple[float, float],
    fit: Scale,
    content: ClothContent,
    view: View,
    session: Session,
    frame: Frame,
) -> Outcome:
    place = fit.place(*at_px)
    view = replace(view, changing="")
    if content.lit and _on_tab(at_px, fit, content, frame):
        return Outcome(replace(view, dragged=_Dragged("light", place)))
    index = under(session, place)
    if index is not None:
        return Outcome(replace(view, dragged=_Dragged("piece", place)), (do.Select(index),))
    return Outcome(replace(view, dragged=_Dragged("picture", place)), (do.Select(None),))


def _on_tab(at_px: tuple[float, float], fit: Scale, content: ClothContent, frame: Frame) -> bool:
    rows = fit.pixels(content.lit)
    middle = (rows[:, 0].min() + rows[:, 0].max()) / 2
    top = max(rows[:, 1].min(), 0.0)
    return bool(
        abs(at_px[0] - middle) <= 50 * frame.scale and 0 <= at_px[1] - top <= 22 * frame.scale
    )


def _dragged(
    at_px: tuple[float, float], fit: Scale, held: _Dragged, view: View, session: Session
) -> Outcome:
    place = fit.place(*at_px)
    step = place - held.last
    if held.what == "light":
        view = replace(view, dragged=replace(held, last=place))
        return Outcome(view, (do.SlideCloth(step.x),))
    if held.what == "picture":
        part: ClothPart = view.part("cloth", ClothPart())
        if part.zoom <= 1.0 or part.middle is None:
            return Outcome(view)
        return Outcome(view.with_part("cloth", replace(part, middle=part.middle - step.x)))
    view = replace(view, dragged=replace(held, last=place, fresh=False))
    return Outcome(view, (do.Move(step.x, step.y, held.fresh),))


def figure_keyed(
    event: pygame.Event,
    figures: tuple[Figure, ...],
    view: View,
    session: Session,
    known: Known,
) -> Outcome | None:
    """What a key does in a figure; None where it does nothing."""
    if any(isinstance(figure.content, ScreenContent) for figure in figures):
        return _screen_keyed(event, view, known)
    if not any(isinstance(figure.content, ClothContent) for figure in figures):
        return None
    if event.mod & (pygame.KMOD_CTRL | pygame.KMOD_ALT):
        return None
    if event.key in _NUDGES:
        size = 0.1 if event.mod & pygame.KMOD_SHIFT else 1.0
        x, y = _NUDGES[event.key]
        return Outcome(view, (do.Move(x * size, y * size),))
    if event.key == pygame.K_t:
        way = -5.0 if event.mod & pygame.KMOD_SHIFT else 5.0
        return Outcome(view, (do.Turn(math.radians(way)),))
    if event.key in _KEYS:
        return Outcome(view, piece_commands(_KEYS[event.key], session))
    if event.key in (pygame.K_PAGEDOWN, pygame.K_PAGEUP):
        way = 1.0 if event.key == pygame.K_PAGEDOWN else -1.0
        return Outcome(view, (do.SlideCloth(way * section_of(known.table_map)),))
    return None


def screen_pointed(
    event: pygame.Event, figure: Figure, content: ScreenContent, view: View, frame: Frame
) -> Outcome | None:
    """A crosshair is taken and dragged roughly to its place; the keys do the rest."""
    part: TablePart = view.part("table", TablePart())
    if part.route != "hand" or event.type not in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEMOTION):
        return None
    fit = screen_scale(content, figure.area.size, frame.scale)
    if event.type == pygame.MOUSEBUTTONDOWN:
        if event.button != 1 or not figure.area.contains(*event.pos):
            return None
        at = _inside(event, figure)
        places = fit.pixels([(x, -y) for x, y in content.places])
        far = [math.hypot(x - at[0], y - at[1]) for x, y in places]
        nearest = min(range(len(far)), key=far.__getitem__)
        if far[nearest] > 24 * frame.scale:
            return None
        view = view.with_part("table", replace(part, chosen=nearest))
        return Outcome(replace(view, dragged=_Dragged("crosshair", fit.place(*at))))
    if not isinstance(view.dragged, _Dragged):
        return None
    place = fit.place(*_inside(event, figure))
    step = place - view.dragged.last
    moved = shifted(part, content.screen_size, step.x, -step.y)
    return Outcome(
        replace(view.with_part("table", moved), dragged=replace(view.dragged, last=place))
    )


def _screen_keyed(event: pygame.Event, view: View, known: Known) -> Outcome | None:
    part: TablePart = view.part("table", TablePart())
    if part.route != "hand":
        return None
    if event.key in _NUDGES:
        x, y = _NUDGES[event.key]
        stride = part.stride / 10 if event.mod & pygame.KMOD_SHIFT else part.stride
        size = chosen_screen(part, known.displays)
        return Outcome(view.with_part("table", shifted(part, size, x * stride, -y * stride)))
    if event.key == pygame.K_n:
        return Outcome(view.with_part("table", following(part, 1)))
    return None
