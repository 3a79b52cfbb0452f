"""What is made: the options of a top with the sleeve cut in one. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from drafting.errors import DraftingError

__all__ = ["CHOICES", "PARTS", "RANGES", "Style"]

CHOICES: dict[str, tuple[str, ...]] = {
    "sleeve_kind": ("dolman", "bat"),
    "sleeve_to": ("measured", "cap", "short", "elbow", "three-quarter", "full"),
    "wrist": ("tapered", "straight", "wide"),
    "wrist_measured": ("across", "around"),
    "neckline": ("crew", "boat", "scoop", "v"),
    "hem_to": ("measured", "waist", "hip", "tunic", "dress"),
    "waist_darts": ("dropped", "kept"),
}
"""Options that are one of a few words."""

PARTS = ("lift", "neck_stretch", "band_stretch")
"""Options that are a part of one, not a length."""

RANGES: dict[str, tuple[float, float]] = {
    "lift": (0.0, 1.0),
    "above_shoulder_tip": (0.0, 60.0),
    "shoulder": (80.0, 180.0),
    "sleeve": (20.0, 800.0),
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
    "flare": (0.0, 400.0),
    "side_rise": (-60.0, 200.0),
    "seam": (0.0, 30.0),
    "wrist_hem": (0.0, 25.0),
    "body_hem": (0.0, 100.0),
    "neck_allowance": (0.0, 20.0),
    "neck_stretch": (0.0, 1.0),
    "neck_binding": (6.0, 60.0),
    "neck_facing": (30.0, 120.0),
    "cuff": (15.0, 200.0),
    "hem_band": (15.0, 200.0),
    "band_stretch": (0.0, 0.5),
    "join": (60.0, 900.0),
    "gusset": (60.0, 150.0),
}
"""Options that are numbers, mm or parts of one, with the least and the most."""


@dataclass(frozen=True, slots=True)
class Style:
    """Options, each with its default; all figures are common practice, no source.

    lift: 0 lowest useful, 1 horizontal. sleeve_kind: a dolman leaves the side seam at the
    underarm point, a bat sleeve at the waist. above_shoulder_tip: the lowest overarm passes this
    far above the halfway shoulder tip. shoulder, sleeve: along the overarm (None: the body's
    arm). sleeve_to: "measured" takes `sleeve`, the other words a part of the body's arm.
    wrist_width: whole width of the sleeve's end. None: the sleeve is drawn to the wrist, as wide
    there as the word `wrist` says (`lengths.wrist_width`), and cut off where it ends.
    wrist_measured: "across" squares the width to the overarm as it is drawn by hand, "around"
    takes it along the finished end. side_ease: outward from the halfway
    side point. underarm_drop: below the bust line. curve_reach: how far from the corner the
    underarm curve begins on either side. neckline: its shape; boat, scoop and v add their own
    figures (`neck_figures.SHAPES`) to the next three. neck_wider: along the overarm. front_lower,
    back_lower: at the centres. back_square, front_square: how far the neckline stays square to
    the centre. length: from the waist down; hem_to: "measured" takes `length`, the other words
    a part of the body's height. flare: how much further out the hem stands than the waist, each
    quarter. side_rise: how much higher the hem is at the side than at the centre. waist_darts:
    kept, they are marked on the pieces. seam, neck_allowance, wrist_hem, body_hem: allowances; a
    wrist hem is curved, hence at most 25 mm. neck_stretch: the part by which the cloth of the
    neckline stretches, 0.2 is a fifth.

    Off when None: neck_binding, cuff, hem_band, the finished width of such a band, added to what
    is drafted; neck_facing, its width; join, a seam square to the overarm this far from the
    neckline, for a sleeve wider than the cloth; gusset, the sides of a diamond let into the
    underarm. band_stretch: the part by which bands are stretched as they are sewn on.

    Raises `DraftingError` for the first option outside `RANGES` or `CHOICES`.
    """

    lift: float = 0.5
    sleeve_kind: Literal["dolman", "bat"] = "dolman"
    above_shoulder_tip: float = 15.0
    shoulder: float = 120.0
    sleeve: float | None = None
    sleeve_to: Literal["measured", "cap", "short", "elbow", "three-quarter", "full"] = "measured"
    wrist: Literal["tapered", "straight", "wide"] = "tapered"
    wrist_width: float | None = None
    wrist_measured: Literal["across", "around"] = "across"
    side_ease: float = 20.0
    underarm_drop: float = 80.0
    curve_reach: float = 120.0
    neckline: Literal["crew", "boat", "scoop", "v"] = "crew"
    neck_wider: float = 30.0
    front_lower: float = 10.0
    back_lower: float = 10.0
    back_square: float = 30.0
    front_square: float = 5.0
    length: float = 200.0
    hem_to: Literal["measured", "waist", "hip", "tunic", "dress"] = "measured"
    flare: float = 0.0
    side_rise: float = 0.0
    waist_darts: Literal["dropped", "kept"] = "dropped"
    seam: float = 10.0
    wrist_hem: float = 22.0
    body_hem: float = 40.0
    neck_allowance: float = 6.0
    neck_stretch: float = 0.0
    neck_binding: float | None = None
    neck_facing: float | None = None
    cuff: float | None = None
    hem_band: float | None = None
    band_stretch: float = 0.0
    join: float | None = None
    gusset: float | None = None

    def __post_init__(self) -> None:
        for name, words in CHOICES.items():
            if getattr(self, name) not in words:
                given = getattr(self, name)
                raise DraftingError(f"style.{name}: {given!r} is not one of {', '.join(words)}")
        for name, (low, high) in RANGES.items():
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                raise DraftingError(f"style.{name}: {value:g} is not from {low:g} to {high:g}")
        if self.neck_binding is not None and self.neck_facing is not None:
            raise DraftingError("style.neck_facing: a neck with a binding takes no facing as well")
