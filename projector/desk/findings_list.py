"""Findings in a column: the worst first, each with its number, its figures and its advice."""

from __future__ import annotations

from collections.abc import Sequence

from drafting.finding import Finding, Severity
from projector.desk.areas import Area, Frame, cut_bottom, cut_left, cut_top, inset
from projector.desk.controls import Button, Item, Look, Panel, Tone, Words
from projector.desk.lettering import broken, line_height
from projector.desk.palette import LETTERS_PX
from projector.desk.view import View

__all__ = ["findings_items"]


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
    below, inner = cut_bottom(inner, frame.px(38), frame.px(6))
    if fine:
        text = f"{len(fine)} checks are fine" if len(fine) != 1 else "1 check is fine"
        look: Look = "chosen" if view.all_findings else "quiet"
        items.append(Button("findings:all", below, text, look, help="Show or hide them"))
    if fault:
        inner = _entry(items, "stop", "", "Cannot be drafted", fault, "", inner, frame)
    shown = [(str(number), finding) for number, finding in enumerate(worth, 1)]
    if view.all_findings:
        shown += [("", finding) for finding in fine]
    if not shown and not fault:
        items.append(Words(inner, "Nothing to mend.", "fine", wrapped=True))
    left_out = 0
    for number, finding in shown:
        figures = f"{finding.measured}; wanted {finding.wanted}"
        advice = "" if finding.severity == "fine" else finding.advice
        if inner.height < frame.px(60):
            left_out += 1
            continue
        inner = _entry(
            items, finding.severity, number, finding.subject, figures, advice, inner, frame
        )
    if left_out:
        items.append(Words(inner, f"and {left_out} more", "soft", 0.9, wrapped=True))
    return items


def _entry(
    items: list[Item],
    severity: Severity,
    number: str,
    subject: str,
    figures: str,
    advice: str,
    area: Area,
    frame: Frame,
) -> Area:
    """Add one finding at the top of the area; what is left of the area."""
    badge, text = cut_left(area, frame.px(26), frame.px(6))
    head = frame.px(24)
    mark = cut_top(badge, head)[0]
    signs = {"fine": "✓", "note": "i", "warning": "!", "stop": "!"}
    items.append(Words(mark, number or signs[severity], severity, 1.0, True, "middle"))
    parts: tuple[tuple[str, float, Tone, bool], ...] = (
        (subject[:1].upper() + subject[1:], 0.92, severity, True),
        (figures, 0.86, "ink", False),
        (advice, 0.86, "soft", False),
    )
    for words, size, tone, bold in parts:
        if not words:
            continue
        letters = round(size * LETTERS_PX * frame.scale)
        lines = broken(words, letters, text.width, bold)
        part, text = cut_top(text, line_height(letters) * len(lines))
        items.append(Words(part, words, tone, size, bold, wrapped=True))
    used = text.y - area.y + frame.px(12)
    return cut_top(area, used)[1]
