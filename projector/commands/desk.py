"""`shearlight desk`: the program's main door: draft, cloth, table and job in one window."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["desk"]


def desk(
    job: Annotated[
        Path | None, typer.Argument(help="Job file; without it the desk lists the latest.")
    ] = None,
    table: Annotated[
        Path | None, typer.Option(help="The table's map; the one used last when left out.")
    ] = None,
    display: Annotated[
        int | None, typer.Option(min=0, help="Number of the projector's display.")
    ] = None,
    window: Annotated[
        str, typer.Option(help="Size of the window, WIDTHxHEIGHT; 1280x800 where there is room.")
    ] = "",
) -> None:
    """Open the desk: draft, lay, calibrate, and light the stage from there.

    Example: shearlight desk choir.yaml --display 1
    """
    from projector.desk.desk import at_desk

    fault = at_desk(job, table, display, window)
    if fault:
        typer.echo(fault, err=True)
        raise typer.Exit(2)
