"""`shearlight measures`: what to measure, where each measurement is taken, what is estimated."""

from __future__ import annotations

from typing import Annotated

import typer

__all__ = ["measures"]


def measures(
    size: Annotated[
        str | None, typer.Option(help="Show the figures of a standard size, such as 92/168.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="For machines, mm.")] = False,
) -> None:
    """Tell where each measurement is taken; bust, waist, hip and height are needed.

    Example: shearlight measures --size 92/168
    """
    from drafting.measures import MEASURES, NEEDED
    from drafting.sizes import standard_body
    from projector.commands.telling import show_json, show_measures, terminal
    from projector.figures import body_figures

    body = standard_body(size) if size is not None else None
    if as_json:
        plain = {
            name: {
                "term": measure.term,
                "where": measure.where,
                "from": measure.low,
                "to": measure.high,
                "needed": name in NEEDED,
            }
            for name, measure in MEASURES.items()
        }
        show_json({"measures": plain} | ({"body": body_figures(body)} if body else {}))
        return
    if body is not None:
        show_measures(body)
        return
    from rich.table import Table

    table = Table("in the file", "term", "where it is taken", show_lines=True)
    for name, measure in MEASURES.items():
        needed = " (needed)" if name in NEEDED else ""
        table.add_row(f"{name}{needed}", measure.term, measure.where)
    terminal().print(table)
    typer.echo("What is not given is estimated from a body survey and marked so everywhere.")
