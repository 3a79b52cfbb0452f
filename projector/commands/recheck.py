"""`shearlight recheck`: does the map still hold?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from projector.commands.board_statement import BARS_HELP

__all__ = ["recheck"]


def recheck(
    table: Annotated[Path, typer.Argument(help="The record in use.")],
    photo: Annotated[Path | None, typer.Option(help="One fresh photograph of both boards.")] = None,
    fresh: Annotated[Path | None, typer.Option(help="Or a fresh record.")] = None,
    tape: Annotated[
        str, typer.Option(help="Or what the tape shows along the sides of the lit 600 mm square.")
    ] = "",
    paper: Annotated[str, typer.Option(help="The printed board: A4, A3 or Letter.")] = "A4",
    hole: Annotated[str, typer.Option(help="The hole given to boards, in pixels.")] = "",
    bar: Annotated[str, typer.Option(help=BARS_HELP)] = "200",
    as_json: Annotated[bool, typer.Option("--json", help="The verdict for machines.")] = False,
) -> None:
    """Tell whether the map still holds, and by how much it has moved; exit code 1 when it has.

    Example: shearlight recheck table.yaml --tape "600.5, 599.5, 600, 600"
    """
    import dataclasses

    from calibration.board import printed_board, screen_board
    from calibration.estimate import joint
    from calibration.recheck import lit_square, of_lengths, of_maps
    from calibration.sighting import photo_sight
    from projector.commands.screen_options import parsed_hole
    from projector.commands.telling import show_json
    from projector.errors import ProjectorError
    from projector.files.table import read_table
    from projector.photo import read_photo
    from projector.printed_bars import parsed_bars, printed_as

    used = read_table(table)
    if sum((photo is not None, fresh is not None, bool(tape))) != 1:
        raise ProjectorError("recheck: wanted one of --photo, --fresh and --tape")
    if tape:
        square = lit_square(used)
        sides = ((0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3))
        try:
            read = [float(part) for part in tape.split(",")]
        except ValueError:
            read = []
        if not 1 <= len(read) <= len(sides):
            raise ProjectorError(
                f"--tape: found {tape!r}, wanted up to four sides and two diagonals in mm, such as "
                '"600.5, 599.5, 600, 600"'
            )
        lengths = [(a, b, size) for (a, b), size in zip(sides, read, strict=False)]
        verdict = of_lengths(used, square, lengths)
    elif fresh is not None:
        verdict = of_maps(used, read_table(fresh))
    else:
        assert photo is not None
        seen = read_photo(photo)
        board = screen_board(used.screen_size, hole=parsed_hole(hole))
        sheet = printed_as(paper, printed_board(paper), parsed_bars("--bar", bar))
        sight = photo_sight(seen.image, board, (sheet,), seen.focal_px, seen.name)
        verdict = of_maps(used, joint([sight], used.screen_size).table_map)
    if as_json:
        show_json(dataclasses.asdict(verdict))
    else:
        typer.echo(verdict.told)
    if not verdict.holds:
        raise typer.Exit(1)
