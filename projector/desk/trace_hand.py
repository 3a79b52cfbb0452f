"""The pointer on the photograph of a piece: corners and notches moved, added, taken away."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pygame

from drafting.plane import Point
from projector.desk.areas import Frame
from projector.desk.controls import Figure
from projector.desk.trace_figure import PhotoFit, TraceContent, photo_fit, seen_px
from projector.desk.trace_part import Traced, TracePart
from projector.desk.view import Outcome, View, told
from projector.errors import ProjectorError
from projector.traced_outline import (
    with_corner,
    with_corner_moved,
    with_notch,
    with_notch_moved,
    without_corner,
    without_notch,
)

__all__ = ["TraceHeld", "trace_pointed"]

REACH = 16.0
"""A press this near to a corner or a notch takes it, at 1280 x 720."""


@dataclass(frozen=True, slots=True)
class TraceHeld:
    """What is held: a corner or a notch by its number, or the photograph by one of its pixels."""

    what: str
    number: int = 0
    at: tuple[float, float] = (0.0, 0.0)


def trace_pointed(
    event: pygame.Event, figure: Figure, content: TraceContent, view: View, frame: Frame
) -> Outcome | None:
    """What the pointer does; None where it does nothing."""
    part = view.part(TracePart)
    try:
        fit = photo_fit(content, figure.area.size)
    except (ProjectorError, OSError):
        return None
    if event.type == pygame.MOUSEWHEEL:
        at = pygame.mouse.get_pos()
        if not figure.area.contains(*at):
            return None
        own = figure.area.inside(at)
        return Outcome(_wheeled(1.25**event.y, own, figure, fit, part, view))
    if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
        if not figure.area.contains(*event.pos):
            return None
        return _pressed(figure.area.inside(event.pos), fit, part, view, frame)
    if event.type == pygame.MOUSEMOTION and isinstance(view.dragged, TraceHeld):
        return _dragged(figure.area.inside(event.pos), figure, fit, view.dragged, part, view)
    return None


def _wheeled(
    factor: float,
    at: tuple[float, float],
    figure: Figure,
    fit: PhotoFit,
    part: TracePart,
    view: View,
) -> View:
    """Larger or smaller about the pixel of the photograph under the pointer."""
    zoom = min(30.0, max(1.0, part.zoom * factor))
    x, y = fit.on_photo(*at)
    px = fit.px * zoom / part.zoom
    width, height = figure.area.size
    middle = (x - (at[0] - width / 2) / px, y - (at[1] - height / 2) / px)
    after = replace(part, zoom=zoom, middle=None if zoom == 1.0 else middle)
    return view.with_part(after)


def _place(traced: Traced, on_photo: tuple[float, float]) -> Point:
    x, y = traced.plane(np.array([on_photo]))[0]
    return Point(float(x), float(y))


def _nearest(
    traced: Traced, fit: PhotoFit, at: tuple[float, float], reach: float
) -> tuple[str, int] | None:
    """The corner or notch under the pointer."""
    found: list[tuple[float, str, int]] = []
    for what, places in (
        ("corner", tuple(corner.place for corner in traced.tracing.corners)),
        ("notch", tuple(notch.place for notch in traced.tracing.notches)),
    ):
        shown = fit.shown(seen_px(traced, places))
        for number, far in enumerate(np.hypot(*(shown - at).T) if len(shown) else ()):
            if far <= reach:
                found.append((float(far), what, number))
    return min(found)[1:] if found else None


def _pressed(
    at: tuple[float, float], fit: PhotoFit, part: TracePart, view: View, frame: Frame
) -> Outcome:
    on_photo = fit.on_photo(*at)
    whole = replace(view, dragged=TraceHeld("photo", at=on_photo))
    traced = part.traced
    if traced is None:
        return Outcome(whole)
    near = _nearest(traced, fit, at, REACH * frame.scale)
    tracing, place = traced.tracing, _place(traced, on_photo)
    try:
        match part.tool:
            case "corner":
                tracing = with_corner(tracing, place)
            case "notch":
                tracing = with_notch(tracing, place)
            case "remove" if near is not None:
                away = without_corner if near[0] == "corner" else without_notch
                tracing = away(tracing, near[1])
            case _:
                if near is None:
                    return Outcome(whole)
                before = (*part.before, traced)
                held = view.with_part(replace(part, before=before))
                return Outcome(replace(held, dragged=TraceHeld(*near)))
    except ProjectorError as error:
        return Outcome(told(view, str(error), "stop"))
    after = replace(part, traced=replace(traced, tracing=tracing), before=(*part.before, traced))
    return Outcome(told(view.with_part(after), ""))


def _dragged(
    at: tuple[float, float],
    figure: Figure,
    fit: PhotoFit,
    held: TraceHeld,
    part: TracePart,
    view: View,
) -> Outcome | None:
    on_photo = fit.on_photo(*at)
    if held.what == "photo":
        if part.zoom <= 1.0:
            return None
        x, y = fit.on_photo(figure.area.width / 2, figure.area.height / 2)
        middle = (x + held.at[0] - on_photo[0], y + held.at[1] - on_photo[1])
        return Outcome(view.with_part(replace(part, middle=middle)))
    if part.traced is None:
        return None
    tracing, place = part.traced.tracing, _place(part.traced, on_photo)
    number = held.number
    if held.what == "notch":
        after = with_notch_moved(tracing, number, place)
    else:
        after = with_corner_moved(tracing, number, place)
        # Corners are numbered along the edge, so that one moved past another has a new number.
        number = min(
            range(len(after.corners)),
            key=lambda k: (
                abs(after.corners[k].place.x - place.x) + abs(after.corners[k].place.y - place.y)
            ),
        )
    traced = replace(part.traced, tracing=after)
    view = replace(view, dragged=replace(held, number=number))
    return Outcome(view.with_part(replace(part, traced=traced)))
