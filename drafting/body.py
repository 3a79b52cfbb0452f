"""The body a garment is drafted for. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass, fields

from drafting.errors import DraftingError

__all__ = ["RANGES", "Body", "implausible", "measured"]

RANGES: dict[str, tuple[float, float]] = {
    "bust": (600.0, 1700.0),
    "waist": (450.0, 1700.0),
    "hip": (600.0, 1800.0),
    "height": (1200.0, 2200.0),
    "neck": (280.0, 520.0),
    "nape_to_waist": (300.0, 560.0),
    "shoulder": (90.0, 200.0),
    "arm": (400.0, 750.0),
    "wrist": (110.0, 240.0),
    "hand": (140.0, 280.0),
    "head": (480.0, 660.0),
}
"""Plausible adult values in mm, wider than ANSUR II's 1st to 99th centiles on both sides."""


@dataclass(frozen=True, slots=True)
class Body:
    """Measurements of one person, mm.

    bust, waist, hip: full girths. height: standing. neck: girth at its base. nape_to_waist: from
    the back neck point down to the waist. shoulder: neck point to shoulder tip. arm: shoulder tip
    to wrist. wrist, hand: girths, the hand over the knuckles. head: girth over the brow.
    `estimated` names what was not measured.

    Raises `DraftingError` for the first value outside `RANGES`, with the likely mend.
    """

    bust: float
    waist: float
    hip: float
    height: float
    neck: float
    nape_to_waist: float
    shoulder: float
    arm: float
    wrist: float
    hand: float
    head: float
    estimated: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for field in fields(self):
            if field.name in RANGES:
                fault = implausible(field.name, getattr(self, field.name))
                if fault:
                    raise DraftingError(f"body.{field.name}: {fault}")


def measured(body: Body) -> dict[str, float]:
    """What was measured, mm, without what was estimated."""
    return {name: getattr(body, name) for name in RANGES if name not in body.estimated}


def implausible(name: str, value: float) -> str | None:
    """Why a measurement (mm) cannot be a person's, with the likely mend; None when it can."""
    low, high = RANGES[name]
    if low <= value <= high:
        return None
    bound = f"below {low:g} mm" if value < low else f"above {high:g} mm"
    mends = [
        f'; did you mean "{value / scale:g} {unit}"?'
        for scale, factor, unit in ((1.0, 10.0, "cm"), (1.0, 25.4, "in"))
        if low <= value * factor <= high
    ]
    if not mends and low <= value / 10 <= high:
        mends = [f'; did you mean "{value / 10:g} mm"?']
    if not mends and low <= value * 2.54 <= high:
        mends = [f'; did you mean "{value / 10:g} in"?']
    return f"{value:g} mm is {bound}{mends[0] if mends else ''}"
