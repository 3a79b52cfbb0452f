"""`shearlight lay`: how much cloth a job takes, and where its pieces lie."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["lay"]


def lay(
    job: Annotated[Path, typer.Argument(help="Job file: wearers, style, cloths.")],
    cloth: Annotated[str | None, typer.Option(help="Which cloth; the first when left out.")] = None,
    keep: Annotated[bool, typer.Option("--keep", help="Keep the lay in the job file.")] = False,
    seed: Annotated[int, typer.Option(min=0, help="Another seed tries other orders.")] = 0,
    tries: Annotated[int, typer.Option(min=1, max=10_000, help="Lays to try.")] = 12,
    as_json: Annotated[bool, typer.Option("--json", help="Figures for machines.")] = False,
) -> None:
    """Lay the pieces of a job on the least of its cloth that was found.

    Example: shearlight lay choir.yaml --keep
    """
    import dataclasses

    from rich.console import Console

    from projector.cloth.autolayout import arrange
    from projector.cloth.yardage import bought_length, efficiency, lower_bound, used_length
    from projector.commands.telling import show_json
    from projector.errors import ProjectorError
    from projector.files.holding import held
    from projector.files.job import read_job, write_job
    from projector.job import layout_of, pieces_of, with_layout

    with held(job):
        known = read_job(job)
        layout = layout_of(known, pieces_of(known), cloth)
        if not layout.pieces:
            raise ProjectorError(
                f"{job}: nothing is cut from cloth {layout.cloth.name!r}; add wearers or pieces"
            )
        with Console(stderr=True).status("laying the pieces"):
            laid = arrange(layout, seed, tries)
        if keep:
            write_job(job, with_layout(known, laid))
    bound, used = lower_bound(laid), used_length(laid)
    if as_json:
        show_json(
            {
                "cloth": laid.cloth.name,
                "yardage_mm": used,
                "bought_mm": bought_length(used),
                "efficiency": efficiency(laid),
                "lower_bound_mm": bound.length,
                "lower_bound_reason": bound.reason,
                "placements": [dataclasses.asdict(placement) for placement in laid.placements],
            }
        )
        return
    typer.echo(
        f"cloth used: {used / 1000:.2f} m, to buy {bought_length(used) / 1000:.1f} m; "
        f"{efficiency(laid):.0%} of it is pieces"
    )
    typer.echo(f"no lay can be shorter than {bound.length / 1000:.2f} m: {bound.reason}")
