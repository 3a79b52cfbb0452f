"""What a place shows while no job is open."""

from __future__ import annotations

from projector.desk.areas import Frame
from projector.desk.controls import Item, Words

__all__ = ["empty_items"]


def empty_items(frame: Frame) -> tuple[Item, ...]:
    """One line in the middle: where a job is opened or begun."""
    text = "No job is open. Job (F5) opens one, or begins a new one."
    return (Words(frame.body, text, "soft", 1.2, align="middle"),)
