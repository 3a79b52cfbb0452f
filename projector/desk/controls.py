"""What a place of the desk is made of, as plain values: words, panels, figures and controls.

A place is a function from what is known to a tuple of these; `widgets` shows them and tells which
control was used by its `key`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from projector.desk.areas import Area

__all__ = [
    "Button", "Entry", "Figure", "Item", "Look", "Notes", "Panel", "Progress", "Slider", "Tone",
    "Used", "Words",
]  # fmt: skip

Tone = Literal["ink", "soft", "accent", "fine", "note", "warning", "stop", "plain", "on accent"]
Look = Literal["plain", "chosen", "main", "quiet", "place", "place chosen"]


@dataclass(frozen=True, slots=True)
class Panel:
    """A quiet background."""

    area: Area
    tone: Literal["panel", "well", "bar", "stop", "warning", "accent"] = "panel"


@dataclass(frozen=True, slots=True)
class Words:
    """Text; `size` times the usual letters. Wrapped text starts at the top of its area.

    A line too long for its area is cut short: at its end, or with `ends` in its middle.
    """

    area: Area
    text: str
    tone: Tone = "ink"
    size: float = 1.0
    bold: bool = False
    align: Literal["left", "middle", "right"] = "left"
    wrapped: bool = False
    ends: bool = False


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture of `content`, drawn by the figure's own painter; the pointer is told to it."""

    key: str
    area: Area
    content: Any


@dataclass(frozen=True, slots=True)
class Button:
    """A button; `help` is told when the pointer rests on it.

    A text too long for it is cut short: at its end, or with `ends` in its middle.
    """

    key: str
    area: Area
    text: str
    look: Look = "plain"
    enabled: bool = True
    help: str = ""
    ends: bool = False


@dataclass(frozen=True, slots=True)
class Slider:
    """A value between two bounds, changed in whole steps."""

    key: str
    area: Area
    value: float
    low: float
    high: float
    step: float
    help: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """A line to type into; it is told when Enter is pressed or another control is taken.

    Enter gives the keyboard to the control of the key `then`, where there is one.
    """

    key: str
    area: Area
    text: str
    help: str = ""
    then: str = ""


@dataclass(frozen=True, slots=True)
class Notes:
    """Several lines to type into; told when another control is taken."""

    key: str
    area: Area
    text: str


@dataclass(frozen=True, slots=True)
class Progress:
    """How much of something is done, 0 to 1, with words over it."""

    area: Area
    part: float
    text: str = ""


Item = Panel | Words | Figure | Button | Slider | Entry | Notes | Progress


@dataclass(frozen=True, slots=True)
class Used:
    """A control was used. `value` is a number of a slider, the text of an entry, else empty.

    `held` while a slider is still held: more of the same is to come.
    """

    key: str
    value: float | str = ""
    held: bool = False

    @property
    def meant(self) -> tuple[str, str]:
        """What its key says is to be done, and with what: "place:cloth" is "place" and "cloth"."""
        what, _, rest = self.key.partition(":")
        return what, rest
