"""`shearlight lifts`: what each lift of the sleeve costs in cloth and gives in movement."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["lifts"]


def lifts(
    job: Annotated[Path, typer.Argument(help="Job file with wearers, style and cloth.")],
    wearer: Annotated[str | None, typer.Option(help="This wearer, by name.")] = None,
    out: Annotated[Path | None, typer.Option(help="Folder for the two plots.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Figures for machines, mm.")] = False,
) -> None:
    """Compare lifts: width and length of cloth, and how far the hem rises when arms are lifted.

    The rise is an estimate from a simple model, good for comparing; see the plots.

    Example: shearlight lifts choir.yaml --wearer M --out plots
    """
    from drafting.exchange.drawing_svg import svg_bytes
    from projector.commands.telling import show_json, terminal
    from projector.files.job import read_job
    from projector.files.writing import write_bytes
    from projector.job import wearer_named
    from projector.lift_choice import ANGLES_DEG, lift_choices, movement_plot, yardage_plot

    known = read_job(job)
    chosen = wearer_named(known, wearer)
    choices = lift_choices(known, chosen)
    if out is not None:
        out.mkdir(parents=True, exist_ok=True)
        lift = known.style.lift
        drawing = movement_plot(choices, f"Movement, {chosen.name}", lift)
        write_bytes(out / "movement.svg", svg_bytes(drawing))
        if any(choice.length is not None for choice in choices):
            drawing = yardage_plot(choices, f"Cloth over lift, {chosen.name}", lift)
            write_bytes(out / "yardage.svg", svg_bytes(drawing))
    if as_json:
        show_json(
            {
                "wearer": chosen.name,
                "angles_deg": list(ANGLES_DEG),
                "lifts": [dataclasses.asdict(choice) for choice in choices],
            }
        )
        return
    from rich.table import Table

    rises = [f"hem rise at {angle:.0f}°" for angle in ANGLES_DEG]
    table = Table("lift", "half width", "cloth", *rises, box=None, pad_edge=False)
    for choice in choices:
        cloth = "does not fit" if choice.length is None else f"{choice.length / 10:.0f} cm"
        table.add_row(
            f"{choice.lift:.3g}",
            f"{choice.reach / 10:.1f} cm",
            cloth,
            *(f"{rise / 10:.1f} cm" for rise in choice.rises),
        )
    console = terminal()
    console.print(f"{chosen.name}, cloth for her alone; the job's own lift is {known.style.lift:g}")
    console.print(table)
