"""The keys and what they mean, in one table: help card and command line read it."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["HANDSET", "KEYS", "MOUSE", "SHORT", "Key", "key_lines"]


@dataclass(frozen=True, slots=True)
class Key:
    """A key as it is printed on the keyboard, and what it does."""

    name: str
    does: str


MOUSE = (
    Key("drag", "move a piece (hold Ctrl: no snapping)"),
    Key("right drag", "turn it (hold Ctrl: freely)"),
    Key("wheel", "turn by 5°, with Shift by 1°"),
    Key("middle", "tick as cut"),
)
KEYS = (
    Key("arrows", "1 mm, with Shift 0.1 mm"),
    Key("Tab", "next piece, with Shift the last one"),
    Key("T", "turn 5° left, with Shift right"),
    Key("G", "turn to the grain"),
    Key("F", "put on the fold"),
    Key("M", "mirror"),
    Key("A", "tidy: out of overlap, snug"),
    Key("L", "lock"),
    Key("C", "tick as cut"),
    Key("Z / Y", "undo / redo"),
    Key("Page Down / Up", "next / last section"),
    Key("X", "take up the slide: crosses on chalk"),
    Key("Enter", "put the cross; read the tape"),
    Key("1 to 5", "cutting, seam, grain, fold, notches"),
    Key("6 to 9", "inner lines, labels, cloth, crosses"),
    Key("S", "seam line only"),
    Key("N", "magnify a notch"),
    Key("K", "100 mm squares"),
    Key("R", "ruler: type what the tape shows, Enter"),
    Key("F5", "calibrate afresh"),
    Key("V", "colour of the cloth"),
    Key("P", "snapping on or off"),
    Key("O", "text to the next side of the table"),
    Key("W", "work light"),
    Key("B", "blackout"),
    Key("D", "countdown"),
    Key("H / F1", "short card, every key, no card"),
    Key("Escape", "leave take-up, typing, ruler, card, words"),
    Key("Q", "close"),
)
SHORT = (
    Key("drag", "move a piece"),
    Key("right drag", "turn it"),
    Key("Tab", "next piece"),
    Key("C", "tick as cut"),
    Key("Z", "undo"),
    Key("Page Down", "next section"),
    Key("X", "put the crosses on the chalk"),
    Key("K / R", "100 mm squares / ruler"),
    Key("W / B", "work light / blackout"),
    Key("O", "turn the text to you"),
    Key("H", "every key"),
    Key("Escape", "put this away"),
)
"""What she needs most, for the short card."""
HANDSET = (
    Key("left stick", "move"),
    Key("right stick", "turn"),
    Key("cross", "1 mm"),
    Key("1", "tick as cut; put the cross"),
    Key("2", "next piece"),
    Key("3 / 4", "turn 5° left / right"),
    Key("5 / 6", "last / next section"),
    Key("7", "blackout"),
    Key("8", "work light"),
    Key("9", "undo"),
    Key("10 held", "cross 0.1 mm, sticks slow"),
    Key("10 and 1", "take up the slide"),
    Key("10 and 2", "tidy"),
    Key("10 and 3 / 4", "turn 1° left / right"),
    Key("10 and 7 / 8", "magnify a notch / seam only"),
    Key("10 and 9", "redo"),
)


def key_lines() -> tuple[str, ...]:
    """The keys as lines of text, for a terminal."""
    parts = (("mouse", MOUSE), ("keys", KEYS), ("handset buttons", HANDSET))
    return tuple(
        line
        for title, keys in parts
        for line in (title, *(f"  {key.name:<15} {key.does}" for key in keys))
    )
