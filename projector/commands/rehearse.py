"""`shearlight rehearse`: the whole job on a simulated table."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["rehearse"]


def rehearse(
    out: Annotated[Path, typer.Option(help="Folder for pictures and figures.")] = Path("rehearsal"),
    seed: Annotated[int, typer.Option(min=0, help="Which simulated hall, rig and noise.")] = 1,
    as_json: Annotated[bool, typer.Option("--json", help="Figures for machines.")] = False,
) -> None:
    """Do the whole job on a simulated table and measure what is lit.

    Example: shearlight rehearse --out rehearsal --seed 7
    """
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    from projector.commands.telling import show_json, terminal
    from projector.rehearsal import STEPS
    from projector.rehearsal import rehearse as whole_job

    columns = (SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn())
    with Progress(*columns, console=terminal(errors=True), transient=True) as progress:
        task = progress.add_task("begin", total=len(STEPS))
        figures = whole_job(
            out, seed, lambda step: progress.update(task, description=step, advance=1)
        )
    if as_json:
        show_json(figures)
        return
    error = figures["true_scale_error_mm"]
    console = terminal()
    console.print(
        f"lit lines lie within {error['p95']:.2f} mm of where they should at 95 % of the places "
        f"(median {error['median']:.2f}, worst {error['max']:.2f})"
    )
    console.print(f"cloth used: {figures['yardage_mm'] / 1000:.2f} m")
    console.print(f"pictures and figures: {out} ({figures['seconds']:.0f} s)", soft_wrap=True)
