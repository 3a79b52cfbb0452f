"""`shearlight grade`: the style of a job over a run of standard sizes."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["grade"]


def grade(
    job: Annotated[Path, typer.Argument(help="Job file with the style.")],
    busts: Annotated[
        str, typer.Option(help="Bust classes in cm, commas between them.")
    ] = "84,88,92,96,100,104,110",
    height: Annotated[int, typer.Option(help="Height in cm: 160, 168 or 176.")] = 168,
    wearers: Annotated[
        bool, typer.Option("--wearers", help="Grade over the job's wearers instead.")
    ] = False,
    out: Annotated[Path | None, typer.Option(help="Folder for the nested sizes.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Figures for machines, mm.")] = False,
) -> None:
    """Draft one style over many sizes: a table of how each measure grows, and the sizes nested.

    Example: shearlight grade choir.yaml --busts 84,92,100 --height 168 --out nest
    """
    from drafting.exchange.drawing_svg import svg_bytes
    from drafting.exchange.piece_drawing import nested_drawing
    from drafting.grading import graded, growth_findings, growth_of, run_of_sizes
    from projector.commands.telling import finding_plain, show_findings, show_json, terminal
    from projector.errors import ProjectorError
    from projector.files.job import read_job
    from projector.files.writing import write_bytes
    from projector.job import drafted

    known = read_job(job)
    if wearers:
        drafts = drafted(known)
        if not drafts:
            raise ProjectorError(f"{job}: the job has no wearers to grade over")
    else:
        parts = [part.strip() for part in busts.split(",")]
        if not all(part.isdecimal() for part in parts):
            raise ProjectorError(f"--busts {busts!r}: whole centimetres were wanted: 84,92,100")
        drafts = graded(known.style, run_of_sizes(tuple(map(int, parts)), height))
    sizes = tuple(made.size for made in drafts)
    growths = growth_of(drafts)
    findings = growth_findings(growths, sizes)
    if out is not None:
        out.mkdir(parents=True, exist_ok=True)
        for number in range(min(len(made.pieces) for made in drafts)):
            pieces = [made.pieces[number] for made in drafts]
            name = f"{pieces[0].name}-nested.svg"
            write_bytes(out / name, svg_bytes(nested_drawing(pieces)))
    if as_json:
        show_json(
            {
                "sizes": list(sizes),
                "growth": [
                    {**dataclasses.asdict(growth), "steps": list(growth.steps)}
                    for growth in growths
                ],
                "findings": [finding_plain(finding) for finding in findings],
            }
        )
        return
    from rich.table import Table

    table = Table("measure, mm", *sizes, box=None, pad_edge=False)
    for growth in growths:
        cells = [f"{growth.values[0]:.1f}"]
        cells += [
            f"{value:.1f} ({round(step, 1) + 0.0:+.1f})"
            for value, step in zip(growth.values[1:], growth.steps, strict=True)
        ]
        table.add_row(growth.measure, *cells)
    terminal().print(table)
    wrong = [finding for finding in findings if finding.severity != "fine"]
    show_findings(wrong)
    if not wrong:
        typer.echo("Every measure grows, or shrinks, from each size to the next.")
