"""`shearlight draft`: from measurements to finished pieces."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["draft"]


def draft(
    job: Annotated[Path, typer.Argument(help="Job file with wearers and style.")],
    wearer: Annotated[str | None, typer.Option(help="Only this wearer, by name.")] = None,
    out: Annotated[Path | None, typer.Option(help="Folder for an SVG of every piece.")] = None,
    every: Annotated[bool, typer.Option("--all", help="Also tell what is fine.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Every figure, for machines.")] = False,
) -> None:
    """Draft the pieces of every wearer, tell what a careful cutter would notice, write SVGs.

    Where each measurement is taken: shearlight measures

    Example: shearlight draft choir.yaml --out pieces
    """
    from dataclasses import replace
    from datetime import date

    from drafting.exchange.svg import written
    from drafting.labels import dated
    from drafting.seams import walked_all
    from projector.commands.telling import show_findings, show_json, show_measures, show_walks
    from projector.figures import draft_figures
    from projector.file_names import file_names
    from projector.files.job import read_job
    from projector.files.writing import write_bytes
    from projector.job import drafted, wearer_named

    known = read_job(job)
    first = wearer_named(known, wearer)
    made = drafted(known if wearer is None else replace(known, wearers=(first,)))
    if out is not None:
        out.mkdir(parents=True, exist_ok=True)
        pieces = [piece for one in made for piece in one.pieces]
        for piece, name in zip(pieces, file_names(pieces), strict=True):
            labelled = dated(piece, date.today().isoformat())
            write_bytes(out / f"{name}.svg", written(labelled))
    if as_json:
        show_json({"job": known.name, "drafts": [draft_figures(one) for one in made]})
        return
    for one in made:
        typer.echo(f"\n{known.name}, {one.size}")
        show_measures(one.body)
        show_walks(walked_all(one.pieces, one.seams))
        shown = [f for f in one.findings if every or f.severity != "fine"]
        fine = len(one.findings) - len(shown)
        if fine:
            typer.echo(f"{fine} checks are fine (--all tells which)")
        show_findings(shown, known.units)
    if out is not None:
        typer.echo(f"\n{sum(len(one.pieces) for one in made)} pieces written to {out}")
