"""The desk's keys and what they mean, for its help; those of the stage are in `stage.keys`."""

from __future__ import annotations

from projector.desk.view import Place
from projector.stage.keys import Key

__all__ = ["EVERYWHERE", "PLACE_KEYS"]

EVERYWHERE = (
    Key("F1", "this help, and away again (also Escape)"),
    Key("F2 to F6", "Draft, Cloth, Table, Job, Trace"),
    Key("Ctrl+Z", "undo"),
    Key("Ctrl+Y", "redo (also Ctrl+Shift+Z)"),
    Key("Ctrl+S", "save"),
    Key("Ctrl+L", "light or darken the stage"),
    Key("Ctrl+Q", "quit; everything is kept"),
    Key("Tab", "next control, with Shift the last one"),
    Key("Enter", "press a button, take what was typed"),
    Key("Space", "press a button"),
    Key("Escape", "leave a control"),
)
_SLIDER = (Key("arrows", "move a slider, with Shift ten times as far"),)
PLACE_KEYS: dict[Place, tuple[Key, ...]] = {
    "draft": _SLIDER,
    "cloth": (
        Key("arrows", "1 mm, with Shift 0.1 mm"),
        Key("T", "turn 5° left, with Shift right"),
        Key("G", "turn to the grain"),
        Key("F", "put on the fold"),
        Key("M", "mirror"),
        Key("A", "tidy"),
        Key("L", "lock or release"),
        Key("C", "tick as cut"),
        Key("Delete", "take off the cloth"),
        Key("Page Down / Up", "slide to the next / last section"),
        Key("drag", "move a piece (Alt: no snapping)"),
        Key("right drag", "turn a piece"),
        Key("wheel", "larger or smaller"),
    ),
    "table": (
        Key("arrows", "move a crosshair, with Shift a tenth"),
        Key("N", "the next crosshair"),
    ),
    "job": (),
    "trace": (Key("wheel", "larger or smaller"),),
}
"""Keys and pointer in the places themselves."""
