"""`shearlight height`: how high the projector is, and what thick cloth costs when it is ignored."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

__all__ = ["height"]


def height(
    table: Annotated[Path, typer.Argument(help="The record in use, made on the bare table.")],
    lens: Annotated[
        str, typer.Option(help="Height of the projector's lens over the table, by tape.")
    ] = "",
    lens_error: Annotated[str, typer.Option(help="How sure the taped height is, 1 sd.")] = "20 mm",
    upper: Annotated[
        Path | None, typer.Option(help="Or a record made on a board raised over the table.")
    ] = None,
    raised_by: Annotated[
        str, typer.Option(help="How much higher that board lay; 100 mm or more tells it well.")
    ] = "",
    thickness: Annotated[
        str, typer.Option(help="Cloth whose cost is told: what ignoring its thickness would do.")
    ] = "5 mm",
    out: Annotated[
        Path | None, typer.Option(help="Write the record with the height here (YAML).")
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Figures for machines, and the map on the cloth.")
    ] = False,
) -> None:
    """Tell the projector's height by tape or by two maps, and what thick cloth costs ignored.

    A picture made for the bare table is too small on raised cloth. With the height in the record,
    `light --thickness` needs no other word. Tape from a safe stand, by a competent person.

    Example: shearlight height table.yaml --lens "190 cm" --thickness "5 mm" --out table.yaml
    """
    import dataclasses

    from calibration.height import ProjectorHeight, cost_of_ignoring, height_of_two_maps, raised
    from calibration.uncertainty import metre_error
    from drafting.units import parsed_length
    from projector.commands.record_in_use import keep_record
    from projector.commands.telling import show_json
    from projector.errors import ProjectorError
    from projector.files.table import read_record, read_table
    from projector.map_figures import map_figures

    record = read_record(table)
    if sum((bool(lens), upper is not None)) > 1:
        raise ProjectorError("height: wanted --lens or --upper, found both")
    if upper is not None:
        if not raised_by:
            raise ProjectorError(
                "--upper: --raised-by is missing; tape how much higher the board lay"
            )
        found = height_of_two_maps(record.table_map, read_table(upper), parsed_length(raised_by))
    elif lens:
        found = ProjectorHeight(parsed_length(lens), parsed_length(lens_error))
    elif record.projector is not None:
        found = record.projector
    else:
        raise ProjectorError(
            "height: the record tells none; wanted --lens with the taped height, or --upper with "
            "a record made on a raised board"
        )
    cloth = parsed_length(thickness)
    cost = cost_of_ignoring(found, cloth)
    kept = raised(record.table_map, cloth, found)
    figures: dict[str, Any] = {
        "height_mm": found.height,
        "sd_mm": found.sd,
        "cost_of_ignoring_mm": cost,
    }
    told = [
        f"the projector is {found.height:.0f} ± {1.96 * found.sd:.0f} mm over the table (95 %)",
        f"ignoring {cloth:g} mm of cloth makes every metre {cost:.2f} mm too short",
    ]
    if kept.terms:
        figures["metre_error_mm"] = metre_error(kept)
        told.append(
            f"corrected for it, a length of 1 m is right to ± {figures['metre_error_mm']:.2f} mm "
            f"(± {metre_error(record.table_map):.2f} mm on the bare table)"
        )
    if out is not None:
        told.append(keep_record(out, dataclasses.replace(record, projector=found)))
    if as_json:
        on_cloth = map_figures(kept) if kept.terms else {}
        show_json({**figures, "thickness_mm": cloth, "on_cloth": on_cloth})
    else:
        typer.echo("\n".join(told))
