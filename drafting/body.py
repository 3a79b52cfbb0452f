"""The body a garment is drafted for. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass, fields

from drafting.errors import DraftingError
from drafting.measures import MEASURES

__all__ = ["RANGES", "Body", "implausible", "measured"]

RANGES: dict[str, tuple[float, float]] = {
    name: (measure.low, measure.high) for name, measure in MEASURES.items()
}
"""Plausible adult values in mm; `measures.MEASURES` tells where each is taken."""


@dataclass(frozen=True, slots=True)
class Body:
    """Measurements of one person, mm; where each is taken is told in `measures.MEASURES`.

    bust, waist, hip: full girths. height: standing. neck: girth at its base. nape_to_waist: down
    the back. front_to_waist: from the neck point over the bust. shoulder: neck point to shoulder
    tip. across_back, across_chest: whole widths between the arms. armscye_depth: nape to the
    level under the arms. bust_depth: neck point to bust point. bust_span: between the bust
    points. arm: shoulder tip to wrist. upper_arm, wrist, hand: girths, the hand over the
    knuckles. head: girth over the brow. `estimated` names what was not measured
    (`survey.spread` tells how far each of these may be off).

    Raises `DraftingError` for the first value outside `RANGES`, with the likely mend.
    """

    bust: float
    waist: float
    hip: float
    height: float
    neck: float
    nape_to_waist: float
    front_to_waist: float
    shoulder: float
    across_back: float
    across_chest: float
    armscye_depth: float
    bust_depth: float
    bust_span: float
    arm: float
    upper_arm: float
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
        unknown = [name for name in self.estimated if name not in RANGES]
        if unknown:
            raise DraftingError(f"body.estimated: {unknown[0]!r} is not a measurement")


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
    if not mends and low <= value / 2.54 <= high:
        mends = [f'; did you mean "{value / 25.4:g} cm"?']
    return f"{value:g} mm is {bound}{mends[0] if mends else ''}"
