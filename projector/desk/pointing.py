"""The pointer and the keys in a figure, given to the place the figure belongs to."""

from __future__ import annotations

import pygame

from projector.desk.areas import Frame
from projector.desk.controls import Figure
from projector.desk.view import Known, Outcome, View
from projector.stage.session import Session

__all__ = ["figure_keyed", "figure_pointed"]


def figure_pointed(
    event: pygame.Event,
    figures: tuple[Figure, ...],
    view: View,
    session: Session,
    known: Known,
    frame: Frame,
) -> Outcome | None:
    """What the pointer does in a figure; None where it does nothing."""
    return None


def figure_keyed(
    event: pygame.Event,
    figures: tuple[Figure, ...],
    view: View,
    session: Session,
    known: Known,
) -> Outcome | None:
    """What a key does in a figure; None where it does nothing."""
    return None
