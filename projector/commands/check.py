"""`shearlight check`: everything a careful cutter would notice about a job before cutting."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["check"]


def check(
    job: Annotated[Path, typer.Argument(help="Job file: wearers, style, cloths, lays.")],
    every: Annotated[bool, typer.Option("--all", help="Also tell what is fine.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Findings for machines.")] = False,
) -> None:
    """Check seams, corners, neck, wrist, cloth width and lays; exit code 1 when work must stop.

    Example: shearlight check choir.yaml --all
    """
    from projector.commands.telling import finding_plain, show_findings, show_json
    from projector.files.job import read_job
    from projector.job_checks import job_findings

    known = read_job(job)
    groups = job_findings(known)
    if as_json:
        show_json(
            {
                "findings": [
                    {"about": about, **finding_plain(finding)}
                    for about, findings in groups
                    for finding in findings
                ]
            }
        )
    else:
        for about, findings in groups:
            shown = [f for f in findings if every or f.severity != "fine"]
            fine = len(findings) - len(shown)
            typer.echo(f"\n{about}" + (f": {fine} checks are fine" if fine else ""))
            show_findings(shown, known.units)
    if any(f.severity == "stop" for _, findings in groups for f in findings):
        raise typer.Exit(1)
