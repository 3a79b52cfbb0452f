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
    ctx: typer.Context,
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
    known_length: Annotated[
        str, typer.Option(help='An edge you measured sets the scale: "OUTLINE.EDGE=LENGTH".')
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
    afresh: Annotated[
        bool, typer.Option("--afresh", help="Only the outlines, whatever the file says of pieces.")
    ] = False,
    patience: Annotated[float, typer.Option(help="Seconds a file may take.")] = 3.0,
) -> None:
    """Read pieces from a file at true scale into a job; with --look tell what is in it.

    Example: shearlight import front.svg --into choir.yaml --line cutting --edge "4=fold"
    """
    import time
    from dataclasses import replace

    from drafting.exchange.linework import chosen, grown_by
    from drafting.exchange.scale_check import (
        AGREES,
        scale_by_length,
        scale_by_square,
        without_squares,
    )
    from drafting.units import parsed_length
    from projector.commands.import_saying import (
        edge_length_of,
        said_of,
        show_linework,
        tiles_of,
        unit_of,
    )
    from projector.commands.keeping import keep_pieces
    from projector.errors import ProjectorError
    from projector.file_reading import found_outlines, read_linework
    from projector.imported import imported_pieces

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

    if test_square and known_length:
        raise ProjectorError("import: wanted --test-square or --known-length, not both")
    if test_square or known_length:
        seen = found_outlines(file, read.strokes, tolerance, left()).outlines
        if test_square:
            wanted = parsed_length(test_square)
            factor, what = scale_by_square(seen, wanted), "test square"
        else:
            number, k, wanted = edge_length_of(known_length)
            factor, what = scale_by_length(seen, number, k, wanted), f"outline {number}, edge {k}"
        typer.echo(f"{what}: {wanted / factor:.2f} mm in the file, {wanted:.2f} mm wanted")
        if abs(factor - 1.0) <= AGREES:
            typer.echo("they agree; the scale is left as it is")
        else:
            read = grown_by(read, factor)
            typer.echo(f"everything is taken {factor:.5g} times as large as the file says")
        read = replace(read, stated=True)
        if test_square:
            read = replace(read, strokes=without_squares(read, wanted))
    read = chosen(read, layer or (), colour or ())
    found = found_outlines(file, read.strokes, tolerance, left())
    if look or into is None:
        show_linework(read, found, tolerance)
        if not look:
            typer.echo("nothing is kept; --into choir.yaml takes the pieces into that job")
        return
    if not read.stated and not accept_scale:
        raise ProjectorError(
            f"{file}: {read.told[0]}; state it with --dots, --unit, --test-square or "
            "--known-length, or take it with --accept-scale"
        )
    tops = [each for each in found.outlines if each.depth == 0] or list(found.outlines)
    picked = [found.outlines[n - 1] for n in _numbers(outline, len(found.outlines), file)] or tops
    if not picked:
        raise ProjectorError(f"{file}: no closed outline; see the open ends with --look")
    said = said_of(
        name or file.stem, size, count, paired, cloth, line, allowance, edge or (), notch or (),
        grain,
    )  # fmt: skip
    given = frozenset(
        each
        for each in ctx.params
        if getattr(ctx.get_parameter_source(each), "name", "DEFAULT") != "DEFAULT"
    )
    bare = afresh or bool(outline or layer or colour)
    pieces, granted = imported_pieces(read, picked, said, given, bare)
    for sentence in granted:
        typer.echo(f"note: {sentence}")
    keep_pieces(into, pieces)


def _numbers(outline: list[int] | None, have: int, file: Path) -> list[int]:
    from projector.errors import ProjectorError

    for number in outline or ():
        if not 1 <= number <= have:
            raise ProjectorError(f"{file}: there is no outline {number}; it has {have}")
    return outline or []
