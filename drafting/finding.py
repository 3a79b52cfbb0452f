"""What a careful cutter would notice, with the numbers and the advice."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

from drafting.units import written_length

__all__ = ["Finding", "Severity", "judged", "told_in"]

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


_WHOLE = re.compile(r"(?<![\d.])(\d+)(?: (to|and) (\d+))? mm\b")
_CENTIMETRES = re.compile(r"(\d+\.\d) cm\b")


def told_in(finding: Finding, unit: str) -> Finding:
    """The finding for someone who measures in `unit`, "cm" or "in".

    In inches whole millimetres and centimetres are told in sixteenths of an inch; what is told to
    a tenth of a millimetre is finer than those, and stays.
    """
    if unit != "in":
        return finding
    return replace(
        finding,
        measured=_in_inches(finding.measured),
        wanted=_in_inches(finding.wanted),
        advice=_in_inches(finding.advice),
    )


def _in_inches(text: str) -> str:
    def whole(found: re.Match[str]) -> str:
        first, word, second = found.groups()
        if second is None:
            return written_length(float(first), "in")
        low = written_length(float(first), "in").removesuffix(" in")
        return f"{low} {word} {written_length(float(second), 'in')}"

    text = _WHOLE.sub(whole, text)
    return _CENTIMETRES.sub(lambda found: written_length(float(found[1]) * 10.0, "in"), text)
