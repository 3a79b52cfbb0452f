"""The cloth."""

from __future__ import annotations

from projector.desk.areas import Frame
from projector.desk.controls import Item, Used
from projector.desk.view import Known, Outcome, View
from projector.stage.session import Session

__all__ = ["HELP", "cloth_items", "cloth_used"]

HELP = ""


def cloth_items(view: View, session: Session, known: Known, frame: Frame) -> tuple[Item, ...]:
    """Everything on the place."""
    return ()


def cloth_used(used: Used, view: View, session: Session, known: Known) -> Outcome | None:
    """What a control of the place does."""
    return None
