"""Which hand takes what the pointer and the keys do in a figure."""

from __future__ import annotations

from dataclasses import replace

import pygame

from projector.desk.areas import Frame
from projector.desk.cloth_figure import ClothContent
from projector.desk.cloth_hand import ClothHeld, cloth_keyed, cloth_let_go, cloth_pointed
from projector.desk.controls import Figure
from projector.desk.crosshair_hand import crosshair_keyed, crosshair_pointed
from projector.desk.table_figures import ScreenContent
from projector.desk.trace_figure import TraceContent
from projector.desk.trace_hand import trace_pointed
from projector.desk.view import Known, Outcome, View
from projector.stage.session import Session

__all__ = ["figure_keyed", "figure_pointed"]


def figure_pointed(
    event: pygame.Event,
    figures: tuple[Figure, ...],
    view: View,
    session: Session,
    frame: Frame,
) -> Outcome | None:
    """What the pointer does in a figure; None where it does nothing."""
    if event.type == pygame.MOUSEBUTTONUP and view.dragged is not None:
        held, view = view.dragged, replace(view, dragged=None)
        return cloth_let_go(held, view, session) if isinstance(held, ClothHeld) else Outcome(view)
    for figure in figures:
        if isinstance(figure.content, ClothContent):
            return cloth_pointed(event, figure, figure.content, view, session, frame)
        if isinstance(figure.content, TraceContent):
            return trace_pointed(event, figure, figure.content, view, frame)
        if isinstance(figure.content, ScreenContent):
            return crosshair_pointed(event, figure, figure.content, view, frame)
    return None


def figure_keyed(
    event: pygame.Event,
    figures: tuple[Figure, ...],
    view: View,
    session: Session,
    known: Known,
) -> Outcome | None:
    """What a key does in a figure; None where it does nothing."""
    for figure in figures:
        if isinstance(figure.content, ScreenContent):
            return crosshair_keyed(event, view, known)
        if isinstance(figure.content, ClothContent):
            return cloth_keyed(event, view, session, known)
    return None
