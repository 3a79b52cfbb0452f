"""What a careful cutter would notice, with the numbers and the advice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Finding", "Severity", "judged"]

Severity = Literal["fine", "note", "warning", "stop"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing measured against what was wanted.

    `severity`: "fine" passes, "note" informs, "warning" wants a decision, "stop" must be mended
    before cutting. `subject` names what it is about ("neckline", "sleeve and cloth width").
    `measured` and `wanted` are for reading, units included; `advice` is one sentence.
    """

    severity: Severity
    subject: str
    measured: str
    wanted: str
    advice: str = ""


def judged(
    fine: bool,
    subject: str,
    measured: str,
    wanted: str,
    advice: str,
    otherwise: Severity = "warning",
) -> Finding:
    """A finding that passes when `fine`, and else has the severity `otherwise` and the advice."""
    if fine:
        return Finding("fine", subject, measured, wanted)
    return Finding(otherwise, subject, measured, wanted, advice)
