"""`shearlight import`: pieces the worker already owns, out of SVG, DXF and PDF files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from projector.commands.piece_options import (
    Allowance,
    ClothName,
    Count,
    Edges,
    Notches,
    Paired,
    PieceName,
    Size,
)

__all__ = ["import_pieces"]


def import_pieces(
    file: Annotated[Path, typer.Argument(help="SVG, DXF or vector PDF.")],
    into: Annotated[Path | None, typer.Option(help="Job file that takes the pieces.")] = None,
    look: Annotated[bool, typer.Option("--look", help="Only tell what is in the file.")] = False,
    outline: Annotated[
        list[int] | None, typer.Option(help="Which outlines, by number; all when left out.")
    ] = None,
    layer: Annotated[list[str] | None, typer.Option(help="Only these layers.")] = None,
    colour: Annotated[list[str] | None, typer.Option(help="Only these colours, #rrggbb.")] = None,
    page: Annotated[list[int] | None, typer.Option(help="Only these pages of a PDF.")] = None,
    tiles: Annotated[
        str, typer.Option(help='Pages of a PDF are tiles: "COLUMNS OVERLAP MARGIN", as "3 10 12".')
    ] = "",
    dots: Annotated[float, typer.Option(help="Pixels an inch of an SVG without units.")] = 96.0,
    unit: Annotated[str, typer.Option(help="One unit of a DXF: mm, cm, in.")] = "",
    test_square: Annotated[
        str, typer.Option(help="Side of the test square in the file; the scale is set by it.")
    ] = "",
    accept_scale: Annotated[
        bool, typer.Option("--accept-scale", help="Take the scale the file does not state.")
    ] = False,
    tolerance: Annotated[float, typer.Option(help="Ends closer than this are joined, mm.")] = 0.5,
    name: PieceName = "",
    size: Size = "",
    count: Count = 1,
    paired: Paired = False,
    cloth: ClothName = "main",
    line: Annotated[str, typer.Option(help="The outline is this line: seam or cutting.")] = "seam",
    allowance: Allowance = "1 cm",
    edge: Edges = None,
    notch: Notches = None,
    grain: Annotated[
        str, typer.Option(help='Degrees clockwise from up in the file, or "free".')
    ] = "0",
    patience: Annotated[float, typer.Option(help="Seconds a file may take.")] = 3.0,
) -> None:
    """Read pieces from a file at true scale into a job; with --look tell what is in it.

    Example: shearlight import front.svg --into choir.yaml --line cutting --edge "4=fold"
    """
    import time
    from dataclasses import replace

    from drafting.exchange.completing import completed
    from drafting.exchange.linework import chosen, grown_by
    from drafting.exchange.scale_square import scale_by_square, without_squares
    from drafting.exchange.stated_pieces import stated_pieces
    from drafting.units import parsed_length
    from projector.commands.import_saying import said_of, show_linework, tiles_of, unit_of
    from projector.errors import ProjectorError
    from projector.file_reading import found_outlines, read_linework
    from projector.files.opening import changing

    began = time.monotonic()
    read = read_linework(
        file,
        patience,
        dots_an_inch=dots,
        unit=unit_of(unit),
        pages=tuple(page or ()),
        tiles=tiles_of(tiles),
    )

    def left() -> float:
        return patience - (time.monotonic() - began)

    if test_square:
        side = parsed_length(test_square)
        factor = scale_by_square(
            found_outlines(file, read.strokes, tolerance, left()).outlines, side
        )
        typer.echo(f"test square: {side / factor:.2f} mm in the file, {side:.2f} mm wanted")
        read = replace(grown_by(read, factor), stated=True)
        read = replace(read, strokes=without_squares(read, side))
    read = chosen(read, layer or (), colour or ())
    found = found_outlines(file, read.strokes, tolerance, left())
    if look or into is None:
        show_linework(read, found)
        return
    if not read.stated and not accept_scale:
        raise ProjectorError(
            f"{file}: {read.told[0]}; state it with --dots, --unit or --test-square, or take it "
            "with --accept-scale"
        )
    tops = [each for each in found.outlines if each.depth == 0] or list(found.outlines)
    picked = [found.outlines[n - 1] for n in _numbers(outline, len(found.outlines), file)] or tops
    if not picked:
        raise ProjectorError(f"{file}: no closed outline; see the open ends with --look")
    title = name or file.stem
    stated = () if outline or layer or colour or name else stated_pieces(read)
    pieces = stated or tuple(
        completed(
            each,
            said_of(
                title if len(picked) == 1 else f"{title} {k}", size, count, paired, cloth, line,
                allowance, edge or (), notch or (), grain,
            ),
        )
        for k, each in enumerate(picked, 1)
    )  # fmt: skip
    with changing(into) as opened:
        for told in opened.told:
            typer.echo(told, err=True)
        job = opened.job
        taken = {(piece.name, piece.size) for piece in job.pieces}
        doubled = next((p for p in pieces if (p.name, p.size) in taken), None)
        if doubled is not None:
            raise ProjectorError(f"{into}: it has a piece {doubled.name!r} already; give a --name")
        opened.note(replace(job, pieces=(*job.pieces, *pieces)))
    for piece in pieces:
        typer.echo(f"{piece.name}: {len(piece.edges)} edges, {len(piece.marks)} marks, kept")


def _numbers(outline: list[int] | None, have: int, file: Path) -> list[int]:
    from projector.errors import ProjectorError

    for number in outline or ():
        if not 1 <= number <= have:
            raise ProjectorError(f"{file}: there is no outline {number}; it has {have}")
    return outline or []
