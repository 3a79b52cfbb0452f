"""`shearlight boards`: what to project and what to print for a calibration."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["boards"]


def boards(
    out: Annotated[Path, typer.Option(help="Folder for the boards.")] = Path("boards"),
    screen: Annotated[
        str, typer.Option(help="The projector's pixels, WIDTHxHEIGHT.")
    ] = "1920x1080",
    paper: Annotated[str, typer.Option(help="A4, A3 or Letter.")] = "A4",
    hole: Annotated[
        str, typer.Option(help="Where the sheet lies: left,top,right,bottom in screen pixels.")
    ] = "",
) -> None:
    """Write the board to project (PNG, corners as JSON) and the board to print (PDF).

    Example: shearlight boards --screen 1920x1080 --hole 700,380,1220,760
    """
    import cv2

    from calibration.board import (
        corner_screen_points,
        drawn_on_screen,
        paper_corners,
        printed_board,
        screen_board,
    )
    from projector.board_sheet import board_pdf
    from projector.commands.screen_options import parsed_hole, parsed_screen
    from projector.files.writing import write_bytes, write_text

    size = parsed_screen(screen)
    lit, sheet = screen_board(size, hole=parsed_hole(hole)), printed_board(paper)
    corners = {
        "projected_px": corner_screen_points(lit).tolist(),
        "printed_mm": paper_corners(sheet).tolist(),
    }
    out.mkdir(parents=True, exist_ok=True)
    write_bytes(
        out / "projected-board.png", cv2.imencode(".png", drawn_on_screen(lit, size))[1].tobytes()
    )
    write_bytes(out / f"printed-board-{paper}.pdf", board_pdf(paper))
    write_text(out / "corners.json", json.dumps(corners) + "\n")
    typer.echo(f"boards written to {out}; print at 100 % and measure the bar")
