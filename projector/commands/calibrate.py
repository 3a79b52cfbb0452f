"""`shearlight calibrate`: photographs of the boards on the table become the map in millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from projector.commands.board_statement import BARS_HELP, STATEMENT_HELP
from projector.commands.prompting import prompted

if TYPE_CHECKING:
    from calibration.estimate import Estimate
    from calibration.sighting import Printed
    from projector.desk.lamp import ProjectedLamp
    from projector.live_board import LiveSight
    from projector.photo import Photo

__all__ = ["calibrate"]


def calibrate(
    photos: Annotated[
        list[Path] | None, typer.Argument(help="Photographs of both boards, 3 to 6 are best.")
    ] = None,
    camera: Annotated[
        str, typer.Option(help="Number of a live camera, or a video or frames/%04d.png, instead.")
    ] = "",
    display: Annotated[
        int | None,
        typer.Option(min=0, help="The projector's display: lights the boards for --camera."),
    ] = None,
    shots: Annotated[int, typer.Option(min=1, max=20, help="Pictures to take with it.")] = 3,
    screen: Annotated[
        str, typer.Option(help="The projector's pixels, WIDTHxHEIGHT.")
    ] = "1920x1080",
    paper: Annotated[
        list[str] | None, typer.Option(help="A printed board on the table: A4, A3 or Letter.")
    ] = None,
    board: Annotated[
        list[str] | None, typer.Option(help="A board others printed: " + STATEMENT_HELP)
    ] = None,
    sheet: Annotated[
        list[str] | None,
        typer.Option(help="A plain sheet in the hole, by its edges: A4 or measured 297.3x210.1."),
    ] = None,
    mat: Annotated[
        str, typer.Option(help="A ruled rectangle WIDTHxHEIGHT in mm, with --click.")
    ] = "",
    click: Annotated[
        list[str] | None,
        typer.Option(help="Its corners in one photograph: x,y x,y x,y x,y from near left round."),
    ] = None,
    plain: Annotated[
        bool, typer.Option("--plain", help="The projected board is plain (boards --plain).")
    ] = False,
    hole: Annotated[
        str, typer.Option(help="The hole given to boards: left,top,right,bottom in pixels.")
    ] = "",
    bar: Annotated[
        list[str] | None, typer.Option(help=BARS_HELP + " One for all boards, or one each.")
    ] = None,
    bar_error: Annotated[
        float, typer.Option(help="How sure that is, 1 sd, mm; 0 for boards known to be exact.")
    ] = 0.1,
    taped: Annotated[
        str, typer.Option(help='Cross-check: two lit pixels and the mm between, "x,y x,y 1200.5".')
    ] = "",
    tolerance: Annotated[
        float, typer.Option(help="Error you can cut with, mm; worse places are told.")
    ] = 1.0,
    out: Annotated[Path | None, typer.Option(help="Write the record here (YAML).")] = None,
    pictures: Annotated[
        Path | None, typer.Option(help="Folder for found corners and the error map (PNG).")
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Record and error for machines; figures.about explains.")
    ] = False,
) -> None:
    """Find the map from the projector's pixels to millimetres, and how sure it is.

    With --camera and --display the boards are lit one after the other for a camera that stands
    still, from each of some places; no hole is needed then.

    Example: shearlight calibrate one.jpg two.jpg three.jpg --bar 199.6 --out table.yaml
    """
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    from calibration.board import screen_board
    from calibration.coverage import is_weak
    from calibration.estimate import joint
    from calibration.record import to_plain
    from calibration.sighting import photo_sight, with_references
    from projector.calibration_findings import (
        camera_record,
        exposure_findings,
        findings_of,
        taped_finding,
    )
    from projector.commands.record_in_use import keep_record
    from projector.commands.references import added_references, printed_boards
    from projector.commands.screen_options import lamp_on, parsed_hole, parsed_screen, parsed_taped
    from projector.commands.telling import show_findings, show_json, terminal
    from projector.errors import ProjectorError
    from projector.map_figures import map_figures
    from projector.photo import Photo

    if bool(photos) == bool(camera):
        raise ProjectorError("calibrate: wanted photographs, or --camera, one of the two")
    if display is not None and not camera:
        raise ProjectorError("calibrate: --display lights the boards for --camera; wanted both")
    ends = parsed_taped(taped) if taped else ((0.0, 0.0), (0.0, 0.0), 0.0)
    printed = printed_boards(paper, bar, bar_error, bool(sheet or mat), board)
    columns = (TextColumn("{task.description}", markup=False), BarColumn(), TimeElapsedColumn())
    with ExitStack() as opened:
        lamp = opened.enter_context(lamp_on(display))
        size = parsed_screen(screen) if lamp is None else lamp.size
        lit = screen_board(size, hole=parsed_hole(hole), plain=plain)
        added = added_references(sheet, mat, click, lit)
        taken, sights = [], []
        if lamp is not None:
            for seen in _lit_for(camera, lamp, shots, printed, plain):
                taken.append(Photo(seen.sight.subject, seen.picture))
                sights.append(seen.sight)
        else:
            taken += _taken(photos or [], camera, shots)
        progress = Progress(*columns, console=terminal(errors=True), transient=True)
        opened.enter_context(progress)
        task = progress.add_task("looking for corners", total=len(taken) + 1.0)
        for photo in taken[len(sights) :]:
            progress.update(task, description=f"looking at {photo.name}")
            alone = len(taken) == 1
            sights.append(photo_sight(photo.image, lit, printed, photo.focal_px, photo.name, alone))
            progress.advance(task)
        if lamp is None and not (sheet or mat or any(sight.references for sight in sights)):
            # None shows a sheet; the first is asked why.
            photo_sight(taken[0].image, lit, printed, subject=taken[0].name)
        sights = [
            with_references(sight, added(photo, sight))
            for photo, sight in zip(taken, sights, strict=True)
        ]
        found = joint(
            sights,
            size,
            progress=lambda what, part: progress.update(
                task, description=what, completed=len(taken) + part
            ),
        )
    findings = findings_of(found, sights, tolerance)
    findings += exposure_findings(
        [(photo.image, sight) for photo, sight in zip(taken, sights, strict=True)]
    )
    if taped:
        findings += (taped_finding(found.table_map, *ends),)
    record = camera_record(found, findings)
    written = keep_record(out, record) if out is not None else ""
    if pictures is not None:
        _write_pictures(pictures, taken, found, tolerance)
    if as_json:
        figures = {
            **map_figures(found.table_map),
            "residual_rms_px": found.rms_px,
            "photographs": len(taken),
            "weak": is_weak(found, sights),
        }
        show_json({**to_plain(record), "figures": figures})
        return
    show_findings(findings)
    if written:
        typer.echo(written)


def _lit_for(
    source: str, lamp: ProjectedLamp, shots: int, printed: tuple[Printed, ...], plain: bool
) -> Iterator[LiveSight]:
    """Boards lit for a live camera from one place after the other."""
    from projector import camera
    from projector.live_board import live_sight

    frames = camera.camera_frames(source)
    try:
        for number in range(1, shots + 1):
            prompted(f"hold the camera still for place {number} of {shots}", lamp.wait)
            told = f"camera {source}, place {number}"
            yield live_sight(
                frames, lamp, lamp.size, printed, plain, told,
                lambda what, part: typer.echo(f"  {what}", err=True),
            )  # fmt: skip
    finally:
        frames.release()


def _taken(photos: list[Path], camera: str, shots: int) -> tuple[Photo, ...]:
    from projector.camera import frames
    from projector.photo import read_photo

    def wait(number: int) -> None:
        prompted(f"hold the camera still for picture {number}")

    return frames(camera, shots, wait) if camera else tuple(map(read_photo, photos))


def _write_pictures(
    folder: Path, taken: Sequence[Photo], found: Estimate, tolerance: float
) -> None:
    from projector.drawing_png import png_bytes
    from projector.error_drawing import error_drawing
    from projector.files.writing import write_bytes
    from projector.rehearsal_pictures import png, reduced, with_corners

    folder.mkdir(parents=True, exist_ok=True)
    for number, photo in enumerate(taken, 1):
        image = photo.image[:, :, ::-1]
        for part in found.missed:
            if part.subject == photo.name:
                colour = (255, 96, 0) if part.board == "projected" else (0, 200, 120)
                image = with_corners(image, part.seen_px[~part.left_out], colour)
                image = with_corners(image, part.seen_px[part.left_out], (255, 0, 90))
        write_bytes(folder / f"corners-{number}.png", png(reduced(image)))
    drawing = error_drawing(found.table_map, tolerance)
    write_bytes(folder / "error-map.png", png_bytes(drawing, 1400 / drawing.box.width))
