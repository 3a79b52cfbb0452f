"""Findings told to someone who measures in inches."""

from __future__ import annotations

from drafting.finding import Finding, told_in

FINDING = Finding(
    "warning", "neck", "508 mm around", "400 to 500 mm", "Leave 254 mm, or 25.4 cm; 12.7 mm stays."
)


def test_whole_millimetres_become_inches_of_25_4_mm() -> None:
    told = told_in(FINDING, "in")
    assert told.measured == "20 in around"
    assert told.wanted == "15 3/4 to 19 11/16 in"
    assert told.advice == "Leave 10 in, or 10 in; 12.7 mm stays."


def test_in_centimetres_findings_stay_as_they_are() -> None:
    assert told_in(FINDING, "cm") is FINDING
