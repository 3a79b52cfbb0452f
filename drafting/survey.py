"""What was not measured is estimated, from a public body survey where it holds the measurement.

Survey: ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), 1,986 women, public release 2017:
least-squares regressions on bust and stature, computed from its rows. A military sample: its
"chest" stands for bust, its "buttock" for hip, its upper arm is flexed, which makes it rounder.
What the survey does not hold is estimated from figures of published block methods, or from
memory; `Estimate.source` tells which. No estimate covers children, men or a pregnant body.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from drafting.body import RANGES, Body
from drafting.errors import DraftingError
from drafting.measures import NEEDED

__all__ = ["ESTIMATES", "Estimate", "completed", "estimate", "estimated_body", "spread"]

_ANSUR = "ANSUR II women"


@dataclass(frozen=True, slots=True)
class Estimate:
    """constant + per_bust * bust + per_height * height, mm, and how far a person may be off.

    spread is one standard deviation in mm: two persons in three lie within it.
    """

    constant: float
    per_bust: float
    per_height: float
    spread: float
    source: str = _ANSUR


ESTIMATES: dict[str, Estimate] = {
    "waist": Estimate(-129.0109, 1.0166, 0.0168, 53.605),
    "hip": Estimate(36.7433, 0.6342, 0.2358, 48.6822),
    "neck": Estimate(109.9559, 0.1402, 0.0789, 14.0009),
    "nape_to_waist": Estimate(41.4673, 0.1162, 0.1682, 20.8321),
    # The survey's front length starts at the hollow of the neck and was taken sitting.
    "front_to_waist": Estimate(31.4673, 0.1662, 0.1682, 26.0, "back length and B/20 - 10, memory"),
    "shoulder": Estimate(31.0070, 0.0032, 0.0623, 9.4372),
    "across_back": Estimate(96.9132, 0.2205, 0.0415, 22.9271, f"{_ANSUR}, between the arm creases"),
    # Half chest is 12 to 15 mm less than half back: two published block methods.
    "across_chest": Estimate(69.9132, 0.2205, 0.0415, 26.0, "across back less 27, block methods"),
    "armscye_depth": Estimate(105.0, 0.1, 0.0, 12.0, "B/10 + 105 mm, from memory"),
    "bust_depth": Estimate(115.0, 1 / 6, 0.0, 20.0, "B/6 + 115 mm, from memory"),
    "bust_span": Estimate(5.0, 0.2, 0.0, 15.0, "B/5 + 5 mm, from memory"),
    "arm": Estimate(-54.9374, 0.0134, 0.3597, 17.8734),
    "upper_arm": Estimate(2.8355, 0.2719, 0.0278, 20.4131, f"{_ANSUR}, arm bent"),
    "wrist": Estimate(31.2626, 0.0389, 0.0532, 5.7922),
    # Mean 187 and 99th centile 207 mm: (207 - 187) / 2.326 is the spread.
    "hand": Estimate(187.0, 0.0, 0.0, 8.6, f"{_ANSUR}, the mean"),
    "head": Estimate(393.9395, 0.0316, 0.0843, 18.2133),
}
"""How each measurement is estimated from bust and height."""


def estimate(name: str, bust: float, height: float) -> tuple[float, float]:
    """The estimate of one measurement and its standard deviation, mm."""
    found = ESTIMATES[name]
    return found.constant + found.per_bust * bust + found.per_height * height, found.spread


def spread(name: str) -> float:
    """How far a person may be off the estimate of a measurement: one standard deviation, mm."""
    return ESTIMATES[name].spread


def estimated_body(measured: dict[str, float]) -> Body:
    """A body from what was measured (mm); the rest estimated and named in `Body.estimated`.

    Raises `DraftingError` when bust, waist, hip or height is missing, or a name is unknown.
    """
    unknown = [name for name in measured if name not in RANGES]
    if unknown:
        raise DraftingError(f"body.{unknown[0]} is not a measurement; known: {', '.join(RANGES)}")
    lacking = [name for name in NEEDED if name not in measured]
    if lacking:
        raise DraftingError(f"body.{lacking[0]} is missing; bust, waist, hip and height are needed")
    return completed(measured)


def completed(measured: dict[str, float]) -> Body:
    """As `estimated_body`, but bust and height are enough: waist and hip are estimated too."""
    values: dict[str, Any] = dict(measured)
    rest = tuple(name for name in RANGES if name in ESTIMATES and name not in measured)
    for name in rest:
        low, high = RANGES[name]
        expected = estimate(name, measured["bust"], measured["height"])[0]
        values[name] = min(max(expected, low), high)
    return Body(**values, estimated=rest)
