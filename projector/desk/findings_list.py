"""Findings in a column: the worst first, each with its number, its figures and its advice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from drafting.finding import Finding, Severity
from projector.desk.areas import Area, Frame, cut_bottom, cut_left, cut_top, inset
from projector.desk.controls import Button, Item, Look, Panel, Tone, Words
from projector.desk.lettering import broken, line_height
from projector.desk.palette import LETTERS_PX
from projector.desk.view import View

__all__ = ["findings_items"]

GAP = 12
"""Between two findings, pixels of a window as designed."""


def findings_items(
    findings: Sequence[Finding], view: View, area: Area, frame: Frame, fault: str = ""
) -> list[Item]:
    """The list of findings; what was checked and is fine is counted, and listed on demand.

    Numbers count the findings that are not fine in the order given, as in the figure.
    """
    items: list[Item] = [Panel(area)]
    inner = inset(area, frame.px(12), frame.px(8))
    title, inner = cut_top(inner, frame.px(34), frame.px(4))
    items.append(Words(title, "Findings", bold=True))
    fine = [finding for finding in findings if finding.severity == "fine"]
    worth = [finding for finding in findings if finding.severity != "fine"]
    shown = [_Entry("stop", "", "Cannot be drafted", fault, "")] if fault else []
    shown += [_entry(str(number), finding) for number, finding in enumerate(worth, 1)]
    if view.all_findings:
        shown += [_entry("", finding) for finding in fine]
    if fine:
        below, inner = cut_bottom(inner, frame.px(38), frame.px(6))
        text = f"{len(fine)} checks are fine" if len(fine) != 1 else "1 check is fine"
        look: Look = "chosen" if view.all_findings else "quiet"
        items.append(Button("findings:all", below, text, look, help="Show or hide them"))
    if not shown:
        items.append(Words(inner, "Nothing to mend.", "fine", wrapped=True))
    pages = _pages(shown, inner, frame)
    if len(pages) > 1:
        below, inner = cut_bottom(inner, frame.px(38), frame.px(6))
        pages = _pages(shown, inner, frame)
    page = view.findings_page % len(pages)
    if len(pages) > 1:
        text = f"More, {page + 1} of {len(pages)} ›"
        items.append(Button("findings:on", below, text, help="The next page of findings"))
    for entry in pages[page]:
        inner = _shown(items, entry, inner, frame)
    return items


@dataclass(frozen=True, slots=True)
class _Entry:
    """One finding as it is written."""

    severity: Severity
    number: str
    subject: str
    figures: str
    advice: str


def _entry(number: str, finding: Finding) -> _Entry:
    figures = f"{finding.measured}; wanted {finding.wanted}"
    advice = "" if finding.severity == "fine" else finding.advice
    return _Entry(finding.severity, number, finding.subject, figures, advice)


def _pages(shown: Sequence[_Entry], area: Area, frame: Frame) -> list[list[_Entry]]:
    """The entries in pages that fit the area; one that is longer stands alone."""
    pages: list[list[_Entry]] = [[]]
    left = area.height
    for entry in shown:
        deep = area.height - _shown([], entry, area, frame).height
        if pages[-1] and deep - frame.px(GAP) > left:
            pages.append([])
            left = area.height
        pages[-1].append(entry)
        left -= deep
    return pages


def _shown(items: list[Item], entry: _Entry, area: Area, frame: Frame) -> Area:
    """Add one finding at the top of the area; what is left of the area."""
    severity, subject = entry.severity, entry.subject
    badge, text = cut_left(area, frame.px(26), frame.px(6))
    head = frame.px(24)
    mark = cut_top(badge, head)[0]
    signs = {"fine": "✓", "note": "i", "warning": "!", "stop": "!"}
    items.append(Words(mark, entry.number or signs[severity], severity, 1.0, True, "middle"))
    parts: tuple[tuple[str, float, Tone, bool], ...] = (
        (_headed(subject), 0.92, severity, True),
        (entry.figures, 0.86, "ink", False),
        (entry.advice, 0.86, "soft", False),
    )
    for words, size, tone, bold in parts:
        if not words:
            continue
        letters = round(size * LETTERS_PX * frame.scale)
        lines = broken(words, letters, text.width, bold)
        part, text = cut_top(text, line_height(letters) * len(lines))
        items.append(Words(part, words, tone, size, bold, wrapped=True))
    return cut_top(area, text.y - area.y + frame.px(GAP))[1]


def _headed(subject: str) -> str:
    """A subject as a heading; the name of a file stays as it is."""
    return subject if "." in subject.split(",")[0] else subject[:1].upper() + subject[1:]
