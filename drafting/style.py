"""What is made: the options of a top with the sleeve cut in one. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from drafting.errors import DraftingError

__all__ = ["CHOICES", "PARTS", "RANGES", "Style"]

CHOICES: dict[str, tuple[str, ...]] = {"sleeve_kind": ("dolman", "bat")}
"""Options that are one of a few words."""

PARTS = ("lift", "neck_stretch")
"""Options that are a part of one, not a length."""

RANGES: dict[str, tuple[float, float]] = {
    "lift": (0.0, 1.0),
    "above_shoulder_tip": (0.0, 60.0),
    "shoulder": (80.0, 180.0),
    "sleeve": (50.0, 800.0),
    "wrist_width": (160.0, 600.0),
    "side_ease": (0.0, 150.0),
    "underarm_drop": (0.0, 300.0),
    "curve_reach": (20.0, 300.0),
    "neck_wider": (0.0, 120.0),
    "front_lower": (0.0, 250.0),
    "back_lower": (0.0, 250.0),
    "back_square": (5.0, 60.0),
    "front_square": (2.0, 40.0),
    "length": (0.0, 1200.0),
    "seam": (0.0, 30.0),
    "wrist_hem": (0.0, 25.0),
    "body_hem": (0.0, 100.0),
    "neck_allowance": (0.0, 20.0),
    "neck_stretch": (0.0, 1.0),
}


@dataclass(frozen=True, slots=True)
class Style:
    """Options, each with its default; all figures are common practice, no source.

    lift: 0 lowest useful, 1 horizontal. above_shoulder_tip: the lowest overarm passes this far
    above the halfway shoulder tip. shoulder, sleeve: along the overarm (None: the body's arm).
    wrist_width: whole width of the sleeve block's wrist (None: the hand and 30 mm). side_ease:
    outward from the halfway side point. underarm_drop: below the bust line. curve_reach: how far
    from the corner the underarm curve begins on either side. neck_wider: along the overarm.
    front_lower, back_lower: at the centres. back_square, front_square: how far the neckline
    stays square to the centre. length: from the waist down. seam, neck_allowance, wrist_hem,
    body_hem: allowances; a wrist hem is curved, hence at most 25 mm. neck_stretch:
    the part by which the cloth of the neckline stretches, 0.2 is a fifth.
    """

    lift: float = 0.5
    sleeve_kind: Literal["dolman", "bat"] = "dolman"
    above_shoulder_tip: float = 15.0
    shoulder: float = 120.0
    sleeve: float | None = None
    wrist_width: float | None = None
    side_ease: float = 20.0
    underarm_drop: float = 80.0
    curve_reach: float = 120.0
    neck_wider: float = 30.0
    front_lower: float = 10.0
    back_lower: float = 10.0
    back_square: float = 30.0
    front_square: float = 5.0
    length: float = 200.0
    seam: float = 10.0
    wrist_hem: float = 22.0
    body_hem: float = 40.0
    neck_allowance: float = 6.0
    neck_stretch: float = 0.0

    def __post_init__(self) -> None:
        if self.sleeve_kind not in ("dolman", "bat"):
            raise DraftingError(f"style.sleeve_kind: {self.sleeve_kind!r} is not dolman or bat")
        for name, (low, high) in RANGES.items():
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                raise DraftingError(f"style.{name}: {value:g} is not from {low:g} to {high:g}")
