"""Options of commands that turn an outline into a piece: what the outline itself does not say."""

from __future__ import annotations

from typing import Annotated

import typer

__all__ = ["Allowance", "ClothName", "Count", "Edges", "Notches", "Paired", "PieceName", "Size"]

PieceName = Annotated[str, typer.Option(help="Name of the piece.")]
Size = Annotated[str, typer.Option(help="Size written on it.")]
Count = Annotated[int, typer.Option(min=1, max=1000, help="How many are cut.")]
Paired = Annotated[bool, typer.Option("--paired", help="Half of them mirrored.")]
ClothName = Annotated[str, typer.Option(help="Cloth it is cut from.")]
Allowance = Annotated[str, typer.Option(help="Allowance of edges without their own.")]
Edges = Annotated[
    list[str] | None, typer.Option(help='NUMBER=ROLE [LENGTH] [NAME], as "1=hem 3 cm bottom".')
]
Notches = Annotated[list[str] | None, typer.Option(help='EDGE=LENGTH [double], as "2=120 mm".')]
