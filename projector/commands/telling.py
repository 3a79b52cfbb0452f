"""How every command shows findings and figures: a table for people, JSON for machines."""

from __future__ import annotations

import dataclasses
import json
import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from drafting.body import RANGES, Body
from drafting.finding import Finding, told_in
from drafting.seams import HEADINGS, Walk, table_of
from drafting.survey import ESTIMATES
from drafting.units import written_length

if TYPE_CHECKING:
    from rich.console import Console

__all__ = [
    "finding_plain", "show_findings", "show_json", "show_measures", "show_walks", "terminal",
]  # fmt: skip

_COLOURS = {"fine": "green", "note": "cyan", "warning": "yellow", "stop": "red"}


def terminal(errors: bool = False) -> Console:
    """The terminal. Words are shown as they stand: a name may look like markup, as "[/]" does."""
    from rich.console import Console

    return Console(stderr=errors, highlight=False, markup=False)


def show_json(plain: Any) -> None:
    """One JSON document on the standard output; not-a-number is an error, not a word."""
    json.dump(plain, sys.stdout, indent=2, ensure_ascii=False, allow_nan=False)
    sys.stdout.write("\n")


def finding_plain(finding: Finding) -> dict[str, str]:
    """A finding as plain data."""
    return {key: str(value) for key, value in dataclasses.asdict(finding).items()}


def show_findings(findings: Iterable[Finding], unit: str = "cm") -> None:
    """One line a finding with what was measured and wanted, the advice below it.

    `unit` is what she measures in, "cm" or "in".
    """
    from rich.padding import Padding
    from rich.text import Text

    console = terminal()
    for finding in (told_in(finding, unit) for finding in findings):
        line = Text(f"{finding.severity:<8} ", style=_COLOURS[finding.severity])
        line.append(f"{finding.subject}: ", style="bold")
        line.append(f"{finding.measured}, wanted {finding.wanted}", style="not bold default")
        console.print(line)
        if finding.advice and finding.severity != "fine":
            console.print(Padding(Text(finding.advice, style="italic"), (0, 0, 0, 9)))


def show_measures(body: Body) -> None:
    """Every measurement, in cm and inches; each estimated one with its ± and its source."""
    from rich.table import Table

    table = Table("measure", "cm", "in", "", box=None, pad_edge=False)
    for name in RANGES:
        value = getattr(body, name)
        mark = "measured"
        if name in body.estimated:
            guess = ESTIMATES[name]
            mark = f"estimated ± {guess.spread / 10:.1f} cm ({guess.source})"
        table.add_row(
            name,
            written_length(value, "cm").removesuffix(" cm"),
            written_length(value, "in").removesuffix(" in"),
            mark,
            style="dim" if name in body.estimated else "",
        )
    terminal().print(table)


def show_walks(walks: Iterable[Walk]) -> None:
    """The seams walked: what is sewn to what, both lengths, ease, and whether they fit."""
    from rich.table import Table

    table = Table(*HEADINGS, box=None, pad_edge=False, padding=(0, 1, 0, 0))
    rows = table_of(kept := tuple(walks))
    for column, cells in zip(table.columns, zip(HEADINGS, *rows, strict=True), strict=True):
        column.min_width = max(len(word) for cell in cells for word in cell.split() or [""])
    for walk, row in zip(kept, rows, strict=True):
        table.add_row(*row, style="" if walk.fits else "red")
    terminal().print(table)
