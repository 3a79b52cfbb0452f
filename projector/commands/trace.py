"""`shearlight trace`: a paper piece on the table, photographed, becomes a piece of the job."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from projector.commands.board_statement import BARS_HELP
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

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from projector.cloth.cloth import Cloth
    from projector.job import Job
    from projector.photo_scale import PhotoScale

__all__ = ["trace"]


def trace(
    photo: Annotated[Path, typer.Argument(help="The paper piece on a table of another shade.")],
    dots: Annotated[float, typer.Option(help="A scan: its dots an inch.")] = 0.0,
    sheet: Annotated[
        str,
        typer.Option(
            help="The printed board (shearlight boards) beside the piece: A4, A3 or Letter."
        ),
    ] = "",
    bar: Annotated[str, typer.Option(help=BARS_HELP)] = "200",
    table: Annotated[
        Path | None, typer.Option(help="Record of the calibration, with --lit.")
    ] = None,
    lit: Annotated[
        Path | None,
        typer.Option(help="The projected board from the same camera, which was not moved."),
    ] = None,
    hole: Annotated[str, typer.Option(help="The hole given to boards.")] = "",
    region: Annotated[
        str, typer.Option(help="Where the piece lies: left,top,right,bottom in pixels.")
    ] = "",
    into: Annotated[Path | None, typer.Option(help="Job file that takes the piece.")] = None,
    remnant: Annotated[
        str, typer.Option(help="It is no piece but a remnant: the cloth's name, with --into.")
    ] = "",
    picture: Annotated[
        Path | None, typer.Option(help="Write what was traced over the photograph (PNG).")
    ] = None,
    name: PieceName = "",
    size: Size = "",
    count: Count = 1,
    paired: Paired = False,
    cloth: ClothName = "main",
    line: Annotated[str, typer.Option(help="What the edge is: seam or cutting.")] = "cutting",
    allowance: Allowance = "1 cm",
    edge: Edges = None,
    notch: Notches = None,
    grain: Annotated[str, typer.Option(help='Degrees clockwise from up, or "free".')] = "0",
) -> None:
    """Trace a card block or paper piece in a photograph, corners, curves and notches told apart.

    A remnant of cloth lies with its grain along the lit rows, or the long side of the sheet; it is
    kept 3 mm inside its edge.

    Example: shearlight trace front.jpg --sheet A4 --bar 199.6 --picture traced.png
    """

    from drafting.chains import chain_length
    from drafting.curves import Line
    from drafting.exchange.completing import completed, edges_of
    from projector.commands.import_saying import said_of
    from projector.commands.keeping import keep_pieces
    from projector.commands.screen_options import parsed_hole
    from projector.files.writing import write_bytes
    from projector.paper_outline import overexposed
    from projector.photo import read_photo
    from projector.photo_scale import COARSEST, outlined_photo, pixel_on_table
    from projector.rehearsal_pictures import png, reduced
    from projector.remnant import remnant as remnant_of
    from projector.traced_outline import outline_of, traced

    image = read_photo(photo).image
    scale = _scale(image, dots, sheet, bar, table, lit, hole)
    points_px = outlined_photo(image, scale, parsed_hole(region), coloured=bool(remnant))
    if not dots:
        typer.echo(f"scale from known points: {scale.plane.rms:.2f} mm rms off one flat table")
    pixel = pixel_on_table(scale, points_px)
    if pixel > COARSEST:
        typer.echo(
            f"warning: a pixel shows {pixel:.1f} mm of the table, wanted {COARSEST:g} or less; "
            "small notches are not seen; come nearer, or take a camera with more pixels"
        )
    if overexposed(image, points_px):
        typer.echo(
            "warning: the piece is over-exposed, so that its edge is less sure, by up to a pixel, "
            "and small notches may be lost; tap on it in the camera and photograph it again"
        )
    if picture is not None:
        write_bytes(picture, png(reduced(_over(image, points_px))))
    if remnant:
        _keep_remnant(remnant_of(scale.plane(points_px), remnant), into)
        return
    tracing = traced(scale.plane(points_px))
    outline, notches = outline_of(tracing), tracing.notches
    edges, _ = edges_of(outline)
    for k, run in enumerate(edges, 1):
        kinds = "straight" if all(isinstance(s, Line) for s in run) else "curved"
        start = run[0].start
        total = chain_length(run)
        typer.echo(f"edge {k}: {total:.1f} mm, {kinds}, from ({start.x:.1f}, {start.y:.1f})")
    for cut in notches:
        typer.echo(f"notch at ({cut.place.x:.1f}, {cut.place.y:.1f}), {cut.depth:.1f} mm deep")
    if into is None:
        return
    said = said_of(
        name or photo.stem, size, count, paired, cloth, line, allowance, edge or (), notch or (),
        grain,
    )  # fmt: skip
    keep_pieces(into, (completed(outline, said, notches),))


def _keep_remnant(cloth: Cloth, into: Path | None) -> None:
    """Say how large it is; keep it among the job's cloths, in place of one of its name."""
    from dataclasses import replace

    import shapely

    from projector.commands.keeping import keep_change

    assert cloth.outline is not None
    area, long = shapely.Polygon(cloth.outline).area, max(x for x, _ in cloth.outline)
    typer.echo(
        f"remnant {cloth.name}: {long / 10:.1f} cm along the grain, {cloth.width / 10:.1f} cm "
        f"across, {area / 1e4:.0f} dm²"
    )
    if into is None:
        return

    def with_remnant(job: Job) -> Job:
        others = tuple(each for each in job.cloths if each.name != cloth.name)
        return replace(job, cloths=(*others, cloth))

    keep_change(into, with_remnant)
    typer.echo(f"kept; shearlight lay {into} --cloth {cloth.name}")


def _scale(
    image: npt.NDArray[np.uint8],
    dots: float,
    sheet: str,
    bar: str,
    table: Path | None,
    lit: Path | None,
    hole: str,
) -> PhotoScale:
    """The one way to millimetres that was given."""
    from projector.commands.screen_options import parsed_hole
    from projector.errors import ProjectorError
    from projector.files.table import read_table
    from projector.photo import read_photo
    from projector.photo_scale import scale_of_lit_board, scale_of_scan, scale_of_sheet
    from projector.printed_bars import parsed_bars

    ways = sum((bool(dots), bool(sheet), table is not None))
    if ways != 1 or (table is None) != (lit is None):
        raise ProjectorError(
            "trace: wanted one way to millimetres: --dots of a scan, --sheet of a printed board "
            "beside the piece, or --table with --lit"
        )
    if dots:
        return scale_of_scan(image, dots)
    if sheet:
        return scale_of_sheet(image, sheet, parsed_bars("--bar", bar))
    assert table is not None and lit is not None
    return scale_of_lit_board(image, read_photo(lit).image, read_table(table), parsed_hole(hole))


def _over(
    image: npt.NDArray[np.uint8], points_px: npt.NDArray[np.float64]
) -> npt.NDArray[np.uint8]:
    import cv2
    import numpy as np

    shown = np.ascontiguousarray(image[:, :, ::-1]).copy()
    rows = np.round(points_px).astype(np.int32)[:, None, :]
    cv2.polylines(shown, [rows], True, (255, 60, 0), max(1, image.shape[1] // 900), cv2.LINE_AA)
    return shown
