"""`shearlight lay`: how much cloth a draft takes, and where its pieces lie."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["lay"]


def lay(
    measures: Annotated[Path, typer.Argument(help="YAML file with body and style.")],
    width: Annotated[str, typer.Option(help="Width of the cloth, selvage to selvage.")] = "150 cm",
    flat: Annotated[bool, typer.Option("--flat", help="The cloth lies flat, not folded.")] = False,
    one_way: Annotated[bool, typer.Option("--one-way", help="Nap or one-way print.")] = False,
    seed: Annotated[int, typer.Option(min=0, help="Another seed tries other orders.")] = 0,
    tries: Annotated[int, typer.Option(min=1, max=10_000, help="Lays to try.")] = 12,
    as_json: Annotated[bool, typer.Option("--json", help="Figures for machines.")] = False,
) -> None:
    """Draft the pieces and lay them on the least cloth found.

    Example: shearlight lay singer.yaml --width "160 cm" --one-way
    """
    import dataclasses

    from rich.console import Console

    from drafting.draft import draft
    from drafting.units import parsed_length
    from projector.cloth.autolayout import arrange
    from projector.cloth.cloth import Cloth
    from projector.cloth.layout import Layout
    from projector.cloth.yardage import bought_length, efficiency, lower_bound, used_length
    from projector.commands.telling import show_json
    from projector.files.measures import read_measures

    given = read_measures(measures)
    made = draft(given.body, given.style, given.size)
    cloth = Cloth(width=parsed_length(width), folded=not flat, one_way=one_way)
    with Console(stderr=True).status("laying the pieces"):
        laid = arrange(Layout(cloth, made.pieces), seed, tries)
    bound, used = lower_bound(laid), used_length(laid)
    if as_json:
        show_json(
            {
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
