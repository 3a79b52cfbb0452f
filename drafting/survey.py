"""What was not measured is estimated from a public body survey.

Source: ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), 1,986 women, public release 2017:
least-squares regressions on bust and stature, computed from its rows. A military sample; its
"chest" stands for bust. The hand is its mean, with the spread that its 99th centile implies.
"""

from __future__ import annotations

from typing import Any

from drafting.body import RANGES, Body
from drafting.errors import DraftingError

__all__ = ["REGRESSIONS", "estimate", "estimated_body"]

REGRESSIONS: dict[str, tuple[float, float, float, float]] = {
    "neck": (109.9559, 0.1402, 0.0789, 14.0009),
    "nape_to_waist": (41.4673, 0.1162, 0.1682, 20.8321),
    "shoulder": (31.0070, 0.0032, 0.0623, 9.4372),
    "arm": (-54.9374, 0.0134, 0.3597, 17.8734),
    "wrist": (31.2626, 0.0389, 0.0532, 5.7922),
    "hand": (187.0, 0.0, 0.0, 8.6),
    "head": (393.9395, 0.0316, 0.0843, 18.2133),
}
"""Constant (mm), per mm of bust, per mm of stature, residual standard deviation (mm)."""


def estimate(name: str, bust: float, height: float) -> tuple[float, float]:
    """The estimate of one measurement and its standard deviation, mm."""
    constant, per_bust, per_height, spread = REGRESSIONS[name]
    return constant + per_bust * bust + per_height * height, spread


def estimated_body(measured: dict[str, float]) -> Body:
    """A body from what was measured (mm); the rest estimated and named in `Body.estimated`.

    Raises `DraftingError` when bust, waist, hip or height is missing, or a name is unknown.
    """
    unknown = [name for name in measured if name not in RANGES]
    if unknown:
        raise DraftingError(f"body.{unknown[0]} is not a measurement; known: {', '.join(RANGES)}")
    lacking = [n for n in ("bust", "waist", "hip", "height") if n not in measured]
    if lacking:
        raise DraftingError(f"body.{lacking[0]} is missing; bust, waist, hip and height are needed")
    rest = tuple(name for name in REGRESSIONS if name not in measured)
    values: dict[str, Any] = dict(measured)
    for name in rest:
        values[name] = estimate(name, measured["bust"], measured["height"])[0]
    return Body(**values, estimated=rest)
