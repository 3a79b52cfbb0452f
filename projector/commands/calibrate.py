"""`shearlight boards` and `shearlight calibrate`: what to project and print, and the map found."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["boards", "calibrate"]

Screen = Annotated[str, typer.Option(help="The projector's pixels, WIDTHxHEIGHT.")]
Paper = Annotated[str, typer.Option(help="A4, A3 or Letter.")]
Hole = Annotated[
    str, typer.Option(help="Where the sheet lies: left,top,right,bottom in screen pixels.")
]


def boards(
    out: Annotated[Path, typer.Option(help="Folder for the boards.")] = Path("boards"),
    screen: Screen = "1920x1080",
    paper: Paper = "A4",
    hole: Hole = "",
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
    from projector.files.writing import write_bytes, write_text

    size = _size(screen)
    lit, sheet = screen_board(size, hole=_hole(hole)), printed_board(paper)
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
    print(f"boards written to {out}; print at 100 % and measure the bar")


def calibrate(
    photo: Annotated[Path, typer.Argument(help="A photograph of both boards on the table.")],
    screen: Screen = "1920x1080",
    paper: Paper = "A4",
    hole: Hole = "",
    bar: Annotated[float, typer.Option(help="Measured length of the printed bar, mm.")] = 200.0,
    picture: Annotated[Path | None, typer.Option(help="Write the found corners here.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="The map for machines.")] = False,
) -> None:
    """Find the map from the projector's pixels to millimetres in one photograph.

    Example: shearlight calibrate table.jpg --hole 700,380,1220,760 --bar 199.6 --json
    """
    import cv2
    import numpy as np

    from calibration.board import printed_board, screen_board
    from calibration.sighting import sighted
    from projector.board_sheet import SCALE_BAR
    from projector.commands.telling import show_json
    from projector.files.writing import write_bytes
    from projector.photo import read_photo

    size, image = _size(screen), read_photo(photo)
    found = sighted(
        image, screen_board(size, hole=_hole(hole)), size, printed_board(paper),
        bar / SCALE_BAR, str(photo),
    )  # fmt: skip
    if picture is not None:
        for corners, colour in ((found.projected, (0, 96, 255)), (found.printed, (90, 160, 0))):
            for x, y in np.rint(corners.points_px).astype(int).tolist():
                cv2.circle(image, (x, y), max(4, image.shape[1] // 300), colour, 2, cv2.LINE_AA)
        write_bytes(picture, cv2.imencode(".png", image)[1].tobytes())
    if as_json:
        show_json(
            {
                "table_from_screen": found.table_map.table_from_screen.tolist(),
                "screen_size": list(size),
                "residual_rms_px": found.rms_px,
                "projected_corners": len(found.projected.ids),
                "printed_corners": len(found.printed.ids),
            }
        )
        return
    print(
        f"{len(found.projected.ids)} projected and {len(found.printed.ids)} printed corners, "
        f"residual {found.rms_px:.2f} px; one photograph is a weak map: check a taped length"
    )


def _size(text: str) -> tuple[int, int]:
    from projector.errors import ProjectorError

    width, _, height = text.lower().partition("x")
    if not (width.isdecimal() and height.isdecimal() and len(text) < 13):
        raise ProjectorError(f"--screen: found {text!r}, wanted WIDTHxHEIGHT such as 1920x1080")
    return int(width), int(height)


def _hole(text: str) -> tuple[float, float, float, float] | None:
    from projector.errors import ProjectorError

    if not text:
        return None
    try:
        left, top, right, bottom = (float(part) for part in text.split(","))
    except ValueError:
        raise ProjectorError(
            f"--hole: found {text!r}, wanted left,top,right,bottom in pixels"
        ) from None
    return left, top, right, bottom
