"""`shearlight boards`: what to project and what to print for a calibration."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from calibration.board import Board

__all__ = ["boards"]


def boards(
    out: Annotated[Path, typer.Option(help="Folder for the boards.")] = Path("boards"),
    screen: Annotated[
        str, typer.Option(help="The projector's pixels, WIDTHxHEIGHT.")
    ] = "1920x1080",
    paper: Annotated[str, typer.Option(help="A4, A3 or Letter.")] = "A4",
    sheets: Annotated[int, typer.Option(min=1, max=4, help="Printed boards, all different.")] = 1,
    hole: Annotated[
        str, typer.Option(help="Where the sheet lies: left,top,right,bottom in screen pixels.")
    ] = "",
    around: Annotated[
        Path | None,
        typer.Option(help="Find the hole in a photograph of the board lit without one."),
    ] = None,
    plain: Annotated[
        bool, typer.Option("--plain", help="A plain checkerboard with a mark, without codes.")
    ] = False,
    display: Annotated[
        int | None,
        typer.Option(min=0, help="Light the board on this display, the projector; its pixels."),
    ] = None,
) -> None:
    """Write the board to project, the boards and table marks to print (PDF, SVG), their corners.

    The inverse of the projected board is written too, for a camera that does not move.

    With --display the board is lit there, too, until its window is closed.

    Example: shearlight boards --display 1 --hole 700,380,1220,760
    """
    from calibration.board import drawn_on_screen, printed_board, screen_board
    from calibration.hole import hole_round
    from projector.commands.screen_options import lamp_on, parsed_hole, parsed_screen
    from projector.errors import ProjectorError
    from projector.photo import read_photo

    if around is not None and hole:
        raise ProjectorError("boards: wanted --hole or --around, not both")
    given = parsed_hole(hole)
    with lamp_on(display) as lamp:
        size = parsed_screen(screen) if lamp is None else lamp.size
        if around is not None:
            seen, named = (
                read_photo(around),
                [(paper, printed_board(paper, number=number)) for number in range(sheets)],
            )
            given = hole_round(seen.image, screen_board(size), named, size, seen.name)
        lit = screen_board(size, hole=given, plain=plain)
        shown = drawn_on_screen(lit, size)
        _write(out, lit, shown, given, size, paper, sheets)
        typer.echo(
            f"boards written to {out}; print printed-board-{paper} at 100 %, measure its two bars"
        )
        edges = ",".join(f"{edge:g}" for edge in given or ())
        if around is not None:
            typer.echo(f"the hole is {edges}; give calibrate --hole {edges}")
        if lamp is None:
            typer.echo(
                "show projected-board.png full screen on the projector, one pixel for one; "
                "or let --display light it"
            )
            return
        typer.echo(f"lit on display {display}; Escape or Q there darkens it")
        lamp.light(shown)
        lamp.stay()


def _write(
    out: Path,
    lit: Board,
    shown: npt.NDArray[np.uint8],
    hole: tuple[float, float, float, float] | None,
    size: tuple[int, int],
    paper: str,
    sheets: int,
) -> None:
    """Every file of the boards, and where their corners are."""
    import cv2

    from calibration.board import (
        PAPER,
        corner_screen_points,
        paper_corners,
        printed_board,
        whole_corners,
    )
    from calibration.dictionaries import MARKERS, projected_order
    from projector.board_sheet import (
        ACROSS_BAR,
        PNG_PX_PER_MM,
        SCALE_BAR,
        board_pdf,
        board_png,
        board_svg,
    )
    from projector.files.writing import write_bytes, write_text
    from projector.marks_sheet import marks_pdf, marks_svg

    out.mkdir(parents=True, exist_ok=True)
    for name, image in (("projected-board", shown), ("projected-board-inverse", 255 - shown)):
        write_bytes(out / f"{name}.png", cv2.imencode(".png", image)[1].tobytes())
    for number in range(sheets):
        stem = f"printed-board-{paper}" + (f"-{number + 1}" if sheets > 1 else "")
        write_bytes(out / f"{stem}.pdf", board_pdf(paper, number))
        write_bytes(out / f"{stem}.svg", board_svg(paper, number))
        write_bytes(out / f"{stem}.png", board_png(paper, number))
    write_bytes(out / f"table-marks-{paper}.pdf", marks_pdf(paper))
    write_bytes(out / f"table-marks-{paper}.svg", marks_svg(paper))
    corners = {
        "screen_size": list(size),
        "projected_px": corner_screen_points(lit).tolist(),
        "projected_in_hole": [not whole for whole in whole_corners(lit).tolist()],
        "hole_px": None if hole is None else list(hole),
        "printed_mm": paper_corners(printed_board(paper)).tolist(),
        "printed_mm_same_on_each_sheet": True,
        "printed_size_mm": list(PAPER[paper]),
        "printed_png_px_per_mm": PNG_PX_PER_MM,
        "bar_mm": SCALE_BAR,
        "bar_across_mm": ACROSS_BAR,
        "projected_markers": _markers("6X6_250", lit, projected_order(size).tolist()),
        "printed_markers": [
            _markers("4X4_1000", printed_board(paper), range(number * MARKERS, 1000))
            for number in range(sheets)
        ],
        "printed_frame": "origin at the upper left corner of the landscape sheet, x right, y up",
    }
    write_text(out / "corners.json", json.dumps(corners) + "\n")


def _markers(dictionary: str, board: Board, numbers: Sequence[int]) -> dict[str, object]:
    """Which markers of OpenCV's dictionary the white squares hold, row by row."""
    from calibration.board import marker_squares

    count = len(marker_squares(board)) if board.bits else 0
    return {"dictionary": dictionary, "ids": list(numbers[:count])}
