"""`shearlight tape` and `shearlight crosshairs`: the map without a camera."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from calibration.table_map import TableMap
    from projector.desk.lamp import ProjectedLamp

__all__ = ["crosshairs", "tape"]

ENOUGH_MARKS = 9
Out = Annotated[Path | None, typer.Option(help="Write the record here (YAML).")]
AsJson = Annotated[
    bool, typer.Option("--json", help="Record and error for machines; figures.about explains.")
]


def tape(
    file: Annotated[Path, typer.Argument(help="File of lengths; made anew when it is missing.")],
    screen: Annotated[
        str, typer.Option(help="The projector's pixels, for a new file.")
    ] = "1920x1080",
    display: Annotated[
        int | None, typer.Option(min=0, help="Light the marks on this display, the projector.")
    ] = None,
    out: Out = None,
    as_json: AsJson = False,
) -> None:
    """Find the map from lengths taped between lit marks.

    The first time this writes the file to fill in and, beside it, the picture to light. It names
    the length that contradicts the others, and the one to measure next to gain most. How well you
    read the tape (`tape_error` in the file, 1 sd) sets the error of the map.

    With --display the marks are lit there until that window is closed.

    Example: shearlight tape lengths.yaml --out table.yaml
    """
    from calibration.tape import TEN_LENGTHS, lit_marks, solve
    from projector.commands.screen_options import lamp_on, parsed_screen
    from projector.files.marks import lengths_text, read_lengths
    from projector.files.writing import write_bytes, write_text
    from projector.marks_picture import LETTERS, marks_png

    with lamp_on(display) as lamp:
        if new := not file.exists():
            size = parsed_screen(screen) if lamp is None else lamp.size
            places = lit_marks(size)
            marks = {
                letter: (float(x), float(y)) for letter, (x, y) in zip(LETTERS, places, strict=True)
            }
            pairs = [(LETTERS[first], LETTERS[second]) for first, second in TEN_LENGTHS]
            write_text(file, lengths_text(size, marks, pairs))
            picture = file.with_suffix(".png")
            write_bytes(picture, marks_png(size, marks))
            light = f"light {picture} full screen" if lamp is None else f"lit on display {display}"
            typer.echo(f"{light}, measure, fill in {file}, and run this again")
        if lamp is not None:
            _light(lamp, file)
        if new or lamp is not None:
            return
    given = read_lengths(file)
    found = solve(given.marks_px, given.lengths, given.screen_size, given.tape_error)

    def named(number: int) -> str:
        first, second, length = given.lengths[number]
        return f"{given.letters[first]} to {given.letters[second]}, {length:g} mm"

    told = [
        f"{named(number)} contradicts the others by {found.residuals[number]:+.1f} mm; "
        "measure it again"
        for number in found.suspects
    ]
    if found.next_length is not None:
        first, second = (given.letters[end] for end in found.next_length)
        told.append(
            f"most is gained by measuring {first} to {second} next: "
            f"{found.next_gain:.0%} less variance"
        )
    _tell(found.table_map, "tape", found.residuals[:, None], told, out, as_json)


def _light(lamp: ProjectedLamp, file: Path) -> None:
    """Show the marks of a file of lengths until the window is closed."""
    from projector.errors import ProjectorError
    from projector.files.marks import read_lengths
    from projector.marks_picture import marks_image

    given = read_lengths(file)
    size = given.screen_size
    if size != lamp.size:
        raise ProjectorError(
            f"{file}: its marks are for {size[0]} x {size[1]} pixels, this display has "
            f"{lamp.size[0]} x {lamp.size[1]}; begin a new file, or choose another display"
        )
    typer.echo("Escape or Q in the lit window darkens it")
    lamp.light(marks_image(size, dict(zip(given.letters, given.marks_px, strict=True))))
    lamp.stay()


def crosshairs(
    file: Annotated[Path, typer.Argument(help="File of crosshairs and the marks they lie on.")],
    out: Out = None,
    as_json: AsJson = False,
) -> None:
    """Find the map from crosshairs moved onto marks of a known grid, such as a cutting mat's.

    The file: `screen: 1920x1080`, then `crosshairs:` with rows such as
    `- {mark: [0 cm, 75 cm], px: [212.4, 108.0]}`; four or more, far apart. `placing_error: 0.4 mm`
    says how well they are placed (1 sd, each way), for the error of the map.

    Example: shearlight crosshairs mat.yaml --out table.yaml
    """
    from calibration.nudging import solve
    from projector.files.marks import read_crosshairs

    given = read_crosshairs(file)
    found = solve(given.marks, given.crosshairs_px, given.screen_size, given.placing_error)
    told = [
        f"the mark at {given.marks[number][0]:g}, {given.marks[number][1]:g} mm contradicts the "
        "others; move its crosshair again"
        for number in found.suspects
    ]
    if len(given.marks) < ENOUGH_MARKS:
        told.append(
            f"{len(given.marks)} marks tell neither a mistake nor the projector's lens; most is "
            f"gained with {ENOUGH_MARKS}, at the corners, the middles of the sides and the centre"
        )
    _tell(found.table_map, "by hand", found.residuals, told, out, as_json)


def _tell(
    table_map: TableMap,
    route: str,
    residuals: object,
    told: list[str],
    out: Path | None,
    as_json: bool,
) -> None:
    import numpy as np

    from calibration.record import to_plain
    from calibration.uncertainty import metre_error
    from projector.commands.record_in_use import keep_record
    from projector.commands.telling import show_json
    from projector.dated_record import dated_record
    from projector.map_figures import map_figures

    metre = metre_error(table_map)
    told = [f"a length of 1 m is right to ± {metre:.2f} mm (95 %)", *told]
    record = dated_record(table_map, route, np.asarray(residuals, np.float64), "mm", tuple(told))
    if out is not None:
        told.append(keep_record(out, record))
    if as_json:
        show_json({**to_plain(record), "figures": map_figures(table_map)})
    else:
        typer.echo("\n".join(told))
