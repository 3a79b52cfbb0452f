"""The pointer and the keys on the picture of the screen: crosshairs put onto known marks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pygame

from drafting.plane import Point
from projector.desk.areas import Frame
from projector.desk.cloth_hand import NUDGES
from projector.desk.controls import Figure
from projector.desk.mark_routes import following, shifted
from projector.desk.route_steps import chosen_screen
from projector.desk.table_figures import ScreenContent, screen_scale
from projector.desk.table_part import TablePart
from projector.desk.view import Known, Outcome, View

__all__ = ["crosshair_keyed", "crosshair_pointed"]


@dataclass(frozen=True, slots=True)
class CrosshairHeld:
    """The chosen crosshair is held; `last` is where the pointer was last, in the figure's frame."""

    last: Point


def crosshair_pointed(
    event: pygame.Event, figure: Figure, content: ScreenContent, view: View, frame: Frame
) -> Outcome | None:
    """A crosshair is taken and dragged roughly to its place; the keys do the rest."""
    part = view.part(TablePart)
    if part.route != "hand" or event.type not in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEMOTION):
        return None
    fit = screen_scale(content, figure.area.size, frame.scale)
    if event.type == pygame.MOUSEBUTTONDOWN:
        if event.button != 1 or not figure.area.contains(*event.pos):
            return None
        at = figure.area.inside(event.pos)
        places = fit.pixels([(x, -y) for x, y in content.places])
        far = [math.hypot(x - at[0], y - at[1]) for x, y in places]
        nearest = min(range(len(far)), key=far.__getitem__)
        if far[nearest] > 24 * frame.scale:
            return None
        view = view.with_part(replace(part, chosen=nearest))
        return Outcome(replace(view, dragged=CrosshairHeld(fit.place(*at))))
    if not isinstance(view.dragged, CrosshairHeld):
        return None
    place = fit.place(*figure.area.inside(event.pos))
    step = place - view.dragged.last
    moved = shifted(part, content.screen_size, step.x, -step.y)
    return Outcome(replace(view.with_part(moved), dragged=replace(view.dragged, last=place)))


def crosshair_keyed(event: pygame.Event, view: View, known: Known) -> Outcome | None:
    """The arrow keys move the chosen crosshair, N chooses the next."""
    part = view.part(TablePart)
    if part.route != "hand":
        return None
    if event.key in NUDGES:
        x, y = NUDGES[event.key]
        stride = part.stride / 10 if event.mod & pygame.KMOD_SHIFT else part.stride
        size = chosen_screen(part, known.displays)
        return Outcome(view.with_part(shifted(part, size, x * stride, -y * stride)))
    if event.key == pygame.K_n:
        return Outcome(view.with_part(following(part, 1)))
    return None
