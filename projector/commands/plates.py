"""`shearlight plates`: the construction step by step, to project on paper and teach from."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["plates"]


def plates(
    job: Annotated[Path, typer.Argument(help="Job file with wearers and style.")],
    out: Annotated[Path, typer.Option(help="Folder for the plates.")] = Path("plates"),
    scale: Annotated[str, typer.Option(help="true, half or quarter.")] = "true",
    wearer: Annotated[str | None, typer.Option(help="For this wearer; else the first.")] = None,
) -> None:
    """Write the construction as numbered plates: one PDF, and an SVG and a PNG of each.

    Example: shearlight plates choir.yaml --out plates --scale half
    """
    from dataclasses import replace

    from drafting.exchange.drawing_pdf import pdf_bytes
    from drafting.exchange.drawing_svg import svg_bytes
    from drafting.plates import SCALES
    from drafting.plates import plates as plates_of
    from projector.drawing_png import png_bytes
    from projector.files.job import read_job
    from projector.files.writing import write_bytes
    from projector.job import drafted, wearer_named

    known = read_job(job)
    (made,) = drafted(replace(known, wearers=(wearer_named(known, wearer),)))
    drawn = plates_of(made, scale)
    out.mkdir(parents=True, exist_ok=True)
    write_bytes(out / "plates.pdf", pdf_bytes(drawn, f"{known.name}: plates, {scale} scale"))
    for number, plate in enumerate(drawn, 1):
        write_bytes(out / f"plate-{number:02}.svg", svg_bytes(plate))
        pixels_a_mm = 1600.0 * max(1.0, SCALES[scale]) / max(plate.box.width, plate.box.height)
        write_bytes(out / f"plate-{number:02}.png", png_bytes(plate, pixels_a_mm))
    typer.echo(f"{len(drawn)} plates at {scale} scale: {out}")
