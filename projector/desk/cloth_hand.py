"""The pointer and the keys on the picture of the cloth: pieces, the light, the picture, flaws."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pygame

from drafting.errors import DraftingError
from drafting.plane import Motion, Point
from projector.cloth.cloth import lay_width
from projector.desk.areas import Frame
from projector.desk.cloth_figure import (
    TAB_STRIP,
    ClothContent,
    cloth_scale,
    light_tab,
    shown_length,
)
from projector.desk.cloth_place import held_still, piece_commands, section_of, zoomed
from projector.desk.cloth_side import ClothPart
from projector.desk.cloths import with_flaw
from projector.desk.controls import Figure
from projector.desk.drawing_board import Scale
from projector.desk.view import Known, Outcome, View, Wish, told
from projector.errors import ProjectorError
from projector.job import drafted_layout
from projector.stage import commands as do
from projector.stage.controls import under
from projector.stage.moves import middle_of, snapped_angle
from projector.stage.session import Session

__all__ = ["NUDGES", "ClothHeld", "cloth_keyed", "cloth_let_go", "cloth_pointed"]

NUDGES = {
    pygame.K_LEFT: (-1.0, 0.0),
    pygame.K_RIGHT: (1.0, 0.0),
    pygame.K_UP: (0.0, 1.0),
    pygame.K_DOWN: (0.0, -1.0),
}
"""Arrow keys, as steps to the right and away."""
_KEYS = {
    pygame.K_g: "grain",
    pygame.K_f: "fold",
    pygame.K_m: "mirror",
    pygame.K_l: "lock",
    pygame.K_c: "cut",
    pygame.K_DELETE: "off",
}


@dataclass(frozen=True, slots=True)
class ClothHeld:
    """What is held: a piece, the light, the picture itself, a flaw.

    `begun` is where it was taken, `last` where the pointer was last, both in the figure's frame;
    `motion` is where the piece lay when it was taken.
    """

    what: str
    last: Point
    begun: Point
    fresh: bool = True
    motion: Motion | None = None


def cloth_pointed(
    event: pygame.Event,
    figure: Figure,
    content: ClothContent,
    view: View,
    session: Session,
    frame: Frame,
) -> Outcome | None:
    """What the pointer does; None where it does nothing."""
    fit = cloth_scale(content, figure.area.size, frame.scale)
    if event.type == pygame.MOUSEWHEEL:
        at = pygame.mouse.get_pos()
        if not figure.area.contains(*at):
            return None
        own = figure.area.inside(at)
        return Outcome(_wheeled(1.25**event.y, own, figure, fit, content, view, frame))
    if event.type == pygame.MOUSEBUTTONDOWN and event.button in (1, 3):
        if not figure.area.contains(*event.pos):
            return None
        turns = event.button == 3
        return _pressed(figure.area.inside(event.pos), fit, content, view, session, frame, turns)
    if event.type == pygame.MOUSEMOTION and isinstance(view.dragged, ClothHeld):
        return _dragged(figure.area.inside(event.pos), fit, content, view.dragged, view, session)
    return None


def _wheeled(
    factor: float,
    at_px: tuple[int, int],
    figure: Figure,
    fit: Scale,
    content: ClothContent,
    view: View,
    frame: Frame,
) -> View:
    """Larger or smaller about the place under the pointer, which stays under it."""
    at = fit.place(*at_px)
    after = zoomed(view, factor, (at.x, at.y))
    part = after.part(ClothPart)
    larger = replace(content, zoom=part.zoom, middle=part.middle)
    there = cloth_scale(larger, figure.area.size, frame.scale)
    off = there.place(*at_px) - at
    return after if part.middle is None else zoomed(after, 1.0, (at.x - off.x, at.y - off.y))


def _pressed(
    at_px: tuple[float, float],
    fit: Scale,
    content: ClothContent,
    view: View,
    session: Session,
    frame: Frame,
    turns: bool,
) -> Outcome:
    place = fit.place(*at_px)
    view = replace(view, changing="")
    part = view.part(ClothPart)
    held = ClothHeld("picture", place, place)
    tab = light_tab(content, fit, frame.scale)
    if tab is not None and 0 <= at_px[0] - tab[0] <= tab[2] and 0 <= at_px[1] - tab[1] <= tab[3]:
        return Outcome(replace(view, dragged=replace(held, what="light")))
    if at_px[1] < (TAB_STRIP - 3) * frame.scale:
        return Outcome(view)
    if part.marking:
        return Outcome(replace(view, dragged=replace(held, what="flaw")))
    index = under(session, place)
    if index is None:
        return Outcome(replace(view, dragged=held), (do.Select(None),))
    motion = session.layout.placements[index].cloth_from_piece
    held = replace(held, what="turn" if turns else "piece", motion=motion)
    return Outcome(replace(view, dragged=held), (do.Select(index),))


def _dragged(
    at_px: tuple[float, float],
    fit: Scale,
    content: ClothContent,
    held: ClothHeld,
    view: View,
    session: Session,
) -> Outcome:
    place = fit.place(*at_px)
    step = place - held.last
    part = view.part(ClothPart)
    goes_on = replace(view, dragged=replace(held, last=place, fresh=False))
    match held.what:
        case "light":
            return Outcome(goes_on, (do.SlideCloth(step.x),))
        case "flaw":
            low, high = sorted((held.begun.y, place.y))
            left, right = sorted((held.begun.x, place.x))
            marked = replace(part, marked=(left, low, right, high))
            return Outcome(goes_on.with_part(marked))
        case "picture":
            if part.zoom <= 1.0:
                return Outcome(view)
            # What was taken stays under the pointer; the picture ends at the cloth's ends.
            length, across = shown_length(content), lay_width(content.layout.cloth)
            x, y = (length / 2, across / 2) if part.middle is None else part.middle
            middle = (min(max(x - step.x, 0.0), length), min(max(y - step.y, 0.0), across))
            return Outcome(view.with_part(replace(part, middle=middle)))
    if session.selection is None or held.motion is None:
        return Outcome(view)
    free = bool(pygame.key.get_mods() & pygame.KMOD_ALT)
    if held.what == "turn":
        about = middle_of(session.layout, session.layout.placements[session.selection])
        before, now = held.last - about, place - about
        angle = math.atan2(now.y, now.x) - math.atan2(before.y, before.x)
        return Outcome(goes_on, (do.Turn(math.remainder(angle, math.tau), held.fresh),))
    way = place - held.begun
    motion = held.motion
    there = Motion(motion.angle, motion.dx + way.x, motion.dy + way.y, motion.mirrored)
    return Outcome(goes_on, (do.Put(there, held.fresh, snaps=not free),))


def cloth_let_go(held: ClothHeld, view: View, session: Session) -> Outcome:
    """The end of a drag: a flaw that was marked is kept, a piece turned by hand is straightened."""
    part = view.part(ClothPart)
    if held.what == "turn" and not held.fresh and session.selection is not None:
        now = session.layout.placements[session.selection].cloth_from_piece.angle
        off = snapped_angle(now) - now if session.snapping else 0.0
        return Outcome(view, (do.Turn(off, fresh=False),) if off else ())
    if held.what != "flaw":
        return Outcome(view)
    after = view.with_part(replace(part, marking=False, marked=None))
    if part.marked is None or session.job is None:
        return Outcome(after)
    left, low, right, high = part.marked
    try:
        job = with_flaw(session.job, session.layout.cloth.name, left, low, right - left, high - low)
        layout = drafted_layout(job, session.layout)
    except (DraftingError, ProjectorError) as error:
        return Outcome(told(after, str(error), "stop"))
    return Outcome(told(after, ""), (do.Replace(layout, job),))


def cloth_keyed(event: pygame.Event, view: View, session: Session, known: Known) -> Outcome | None:
    """What a key does; None where it does nothing."""
    if event.mod & (pygame.KMOD_CTRL | pygame.KMOD_ALT):
        return None
    if event.key in NUDGES:
        size = 0.1 if event.mod & pygame.KMOD_SHIFT else 1.0
        x, y = NUDGES[event.key]
        return Outcome(view, (do.Move(x * size, y * size),))
    if event.key == pygame.K_t:
        way = -5.0 if event.mod & pygame.KMOD_SHIFT else 5.0
        return Outcome(told(view, held_still("left", session)), (do.Turn(math.radians(way)),))
    if event.key == pygame.K_a:
        return Outcome(view, wishes=(Wish("lay tidy"),))
    if event.key in _KEYS:
        return Outcome(view, piece_commands(_KEYS[event.key], session))
    if event.key in (pygame.K_PAGEDOWN, pygame.K_PAGEUP):
        way = 1.0 if event.key == pygame.K_PAGEDOWN else -1.0
        return Outcome(view, (do.SlideCloth(way * section_of(known.table_map)),))
    return None
