"""The table."""

from __future__ import annotations

from projector.desk.areas import Frame
from projector.desk.controls import Item, Used
from projector.desk.view import Known, Outcome, View
from projector.stage.session import Session

__all__ = ["HELP", "table_items", "table_used"]

HELP = ""


def table_items(view: View, session: Session, known: Known, frame: Frame) -> tuple[Item, ...]:
    """Everything on the place."""
    return ()


def table_used(used: Used, view: View, session: Session, known: Known) -> Outcome | None:
    """What a control of the place does."""
    return None
