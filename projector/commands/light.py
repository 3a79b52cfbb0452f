"""`shearlight light`: the pieces of a job on the table, at true scale."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["light"]


def light(
    job: Annotated[Path, typer.Argument(help="Job file: wearers, style, cloths, lays.")],
    table: Annotated[
        Path | None, typer.Option(help="Record of the calibration; the one used last otherwise.")
    ] = None,
    cloth: Annotated[str | None, typer.Option(help="Which cloth; the first when left out.")] = None,
    display: Annotated[int, typer.Option(min=0, help="Number of the projector's display.")] = 0,
    thickness: Annotated[
        str, typer.Option(help="Thickness of cloth and mat over what was calibrated.")
    ] = "0 mm",
    lens_height: Annotated[
        str, typer.Option(help="Height of the projector's lens over the table, by tape.")
    ] = "",
    left: Annotated[
        float, typer.Option(help="Cut end of the cloth from the left of the light, mm.")
    ] = 30.0,
    near: Annotated[
        float, typer.Option(help="Near edge of the cloth from the near edge of the light, mm.")
    ] = 30.0,
) -> None:
    """Light the pieces on the cloth; what was moved or ticked is kept in the job.

    Example: shearlight light choir.yaml --table table.yaml --display 1
    """
    from drafting.plane import Motion
    from projector.cloth.autolayout import arrange
    from projector.commands.record_in_use import record_in_use
    from projector.errors import ProjectorError
    from projector.files.opening import OpenJob
    from projector.files.table import read_record
    from projector.job import cloth_lies, layout_of, pieces_of, with_layout
    from projector.raised_cloth import on_cloth
    from projector.stage.displays import displays_open
    from projector.stage.keys import key_lines
    from projector.stage.loop import run
    from projector.stage.sections import lit_window
    from projector.stage.session import Session
    from projector.stage.steps import lies_now
    from projector.stage.window import StageWindow

    opened = OpenJob(job)
    for line in opened.told:
        print(line)
    known = opened.job
    try:
        pieces = pieces_of(known)
        record = read_record(record_in_use(table))
        table_map = on_cloth(record.table_map, thickness, lens_height, record.projector)
        layout = layout_of(known, pieces, cloth)
        if not layout.pieces:
            raise ProjectorError(
                f"{job}: cloth {layout.cloth.name!r} has no pieces to light; add wearers or pieces"
            )
        if not layout.placements:
            layout = arrange(layout)
        window = lit_window(table_map)
        on_table = Motion(0.0, window[0] + left, window[1] + near)
        lies = cloth_lies(known, layout.cloth.name)
        if lies != Motion():
            print(f"The cloth had been slid by {-lies.dx:.0f} mm; Page Up goes back")

        def note(session: Session) -> None:
            now = lies_now(on_table, session.table_from_cloth)
            try:
                opened.note(with_layout(known, session.layout, now))
            except ProjectorError as error:  # the light stays on; the end saves all of it
                typer.echo(str(error), err=True)

        with displays_open():
            first = Session(layout, on_table @ lies)
            stage = StageWindow(table_map, display)
            typer.echo("\n".join(key_lines()))
            end = run(first, [stage], note)
        note(end)
        opened.save_somewhere()
        if end.wants_calibration:
            print("Calibrate afresh: see shearlight calibrate --help")
    finally:
        opened.close()
