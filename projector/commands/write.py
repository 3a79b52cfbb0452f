"""`shearlight write`: pieces, lays, nested sizes and plans as SVG, DXF, PDF and JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["write"]


def write(
    job: Annotated[Path, typer.Argument(help="Job file.")],
    kind: Annotated[str, typer.Option("--as", help="svg, dxf, pdf or json.")] = "pdf",
    what: Annotated[str, typer.Option(help="pieces, lay, nested or plates.")] = "pieces",
    paper: Annotated[
        str, typer.Option(help="A4, A3, A0 or Letter in tiles, or one-page.")
    ] = "one-page",
    scale: Annotated[str, typer.Option(help="full, half or quarter; the last two teach.")] = "full",
    overlap: Annotated[str, typer.Option(help="What neighbouring tiles both show.")] = "10 mm",
    out: Annotated[Path, typer.Option(help="Folder for the files.")] = Path(),
) -> None:
    """Write a job's pieces, lay, nested sizes or plates for other programs and for the printer.

    Example: shearlight write choir.yaml --as pdf --paper A4 --out printed
    """
    from drafting.errors import DraftingError
    from drafting.units import parsed_length
    from projector.errors import ProjectorError
    from projector.files.job import read_job
    from projector.files.writing import write_bytes
    from projector.written_job import written_job

    try:
        shared = parsed_length(overlap)
    except DraftingError as error:
        raise ProjectorError(f"--overlap: {error}") from None
    made = written_job(read_job(job), kind, what, paper, scale, shared)
    out.mkdir(parents=True, exist_ok=True)
    for file in made:
        write_bytes(out / file.name, file.content)
        typer.echo(f"{out / file.name}: {len(file.content) / 1000:.0f} kB")
    for line in dict.fromkeys(line for file in made for line in file.left_out):
        typer.echo(f"note: {line}")
    if kind == "pdf":
        typer.echo("print at 100 %, without fitting to the page, and measure the square first")
