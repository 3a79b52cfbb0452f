"""How long sleeve and body are, and how wide the sleeve ends, for one body. Lengths in mm."""

from __future__ import annotations

from drafting.body import Body
from drafting.style import Style

__all__ = [
    "HEM_PARTS",
    "SLEEVE_PARTS",
    "arm_girth",
    "body_length",
    "sleeve_length",
    "wrist_width",
]

SLEEVE_PARTS = {"cap": 0.1, "short": 0.33, "elbow": 0.56, "three-quarter": 0.78, "full": 1.0}
"""Parts of the arm. The elbow: upper arm 311 of 553 mm (ANSUR II women, means of
acromion-radiale and radiale-stylion length, NATICK/TR-15/007); the others from memory."""

HEM_PARTS = {"waist": 0.0, "hip": 0.12, "tunic": 0.22, "dress": 0.36}
"""Parts of the height from the waist down: seat, middle of the thigh, knee; from memory."""

ROUND_ARM = 0.35
"""The arm stays as round as its girth for this part of its length, then tapers; from memory."""


def sleeve_length(body: Body, style: Style) -> float:
    """Along the overarm from the end of the shoulder to the end of the sleeve."""
    if style.sleeve_to != "measured":
        return SLEEVE_PARTS[style.sleeve_to] * body.arm
    return body.arm if style.sleeve is None else style.sleeve


def body_length(body: Body, style: Style) -> float:
    """From the waist down to the hem at the centre."""
    if style.hem_to != "measured":
        return HEM_PARTS[style.hem_to] * body.height
    return style.length


def arm_girth(body: Body, along: float) -> float:
    """Girth of the arm at `along` mm from the shoulder tip, a straight taper to the wrist."""
    part = min(max(along / body.arm, 0.0), 1.0)
    down = max(0.0, part - ROUND_ARM) / (1.0 - ROUND_ARM)
    return body.upper_arm + (body.wrist - body.upper_arm) * down


def wrist_width(body: Body, style: Style) -> float:
    """The whole width of the sleeve's end: as given, or that of a sleeve to the wrist by the word.

    Tapered: the hand and 30 mm. Straight: the upper arm and 60 mm (50 to 75 mm is a published
    rule for a sleeve block), or as tapered if that is wider. Wide: 120 mm more than straight.
    Common practice, no source.
    """
    if style.wrist_width is not None:
        return style.wrist_width
    tapered = body.hand + 30.0
    if style.wrist == "tapered":
        return tapered
    straight = max(tapered, body.upper_arm + 60.0)
    return straight + (120.0 if style.wrist == "wide" else 0.0)
