"""`shearlight draft`: from a measures file to finished pieces."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["draft"]


def draft(
    measures: Annotated[Path, typer.Argument(help="YAML file with body and style.")],
    out: Annotated[Path | None, typer.Option(help="Folder for an SVG of every piece.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Every figure, for machines.")] = False,
) -> None:
    """Draft back and front, tell what a careful cutter would notice, write the pieces.

    Example: shearlight draft singer.yaml --out pieces
    """
    import dataclasses

    from drafting.allowance import cutting_line, notch_lines
    from drafting.draft import draft as drafted
    from drafting.exchange.svg import written
    from projector.commands.telling import finding_plain, show_findings, show_json
    from projector.figures import piece_figures, point_figures
    from projector.files.measures import read_measures
    from projector.files.writing import write_bytes

    given = read_measures(measures)
    made = drafted(given.body, given.style, given.size)
    if out is not None:
        out.mkdir(parents=True, exist_ok=True)
        for piece in made.pieces:
            name = piece.name + ("" if not piece.size else f"-{piece.size}")
            write_bytes(
                out / f"{''.join(c for c in name if c.isalnum() or c in '-_')}.svg", written(piece)
            )
    if not as_json:
        show_findings(made.findings)
        if made.body.estimated:
            typer.echo(f"estimated from a body survey: {', '.join(made.body.estimated)}")
        return
    halves = {"back": made.block.back, "front": made.block.front}
    show_json(
        {
            "body": dataclasses.asdict(made.body),
            "style": dataclasses.asdict(made.style),
            "block": {
                name: {
                    field.name: point_figures(getattr(half, field.name))
                    for field in dataclasses.fields(half)
                    if field.name != "dart"
                }
                | {"dart": half.dart}
                for name, half in halves.items()
            },
            "plan": {
                field.name: point_figures(getattr(made.plan, field.name))
                for field in dataclasses.fields(made.plan)
            },
            "pieces": [
                piece_figures(
                    piece,
                    cutting_line(piece, 0.02),
                    [(seam, cut) for _, seam, cut in notch_lines(piece)],
                )
                for piece in made.pieces
            ],
            "findings": [finding_plain(finding) for finding in made.findings],
        }
    )
