"""`shearlight ready`: what is missing before work at the table can begin."""

from __future__ import annotations

import os
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from drafting.finding import Finding

__all__ = ["ready"]


def ready(
    camera: Annotated[int, typer.Option(help="Number of the camera to try, from 0.")] = 0,
    table: Annotated[
        Path | None, typer.Option(help="Record of the calibration; as chosen before, otherwise.")
    ] = None,
    display: Annotated[
        int | None, typer.Option(min=0, help="Number of the projector's display.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Figures for machines.")] = False,
) -> None:
    """Tell what is missing (displays, camera, calibration, folders) and how to mend it.

    Example: shearlight ready --table table.yaml --display 1
    """
    from projector.commands.telling import finding_plain, show_findings, show_json
    from projector.files.settings import read_settings, settings_path
    from projector.readiness import (
        camera_found,
        displays_found,
        folder_found,
        letters_found,
        search_found,
    )
    from projector.stage.displays import displays

    settings = read_settings()
    sizes, chosen = displays(), settings.display if display is None else display
    findings = (
        displays_found(sizes, chosen),
        camera_found(_camera_size(camera), camera),
        *_calibration(str(table) if table else settings.table, sizes, chosen),
        folder_found("jobs", str(Path.cwd()), _folder_fault(Path.cwd())),
        folder_found("settings", str(settings_path().parent), _folder_fault(settings_path())),
        search_found(_search_kept()),
        letters_found(_missing_letters()),
    )
    if as_json:
        show_json({"findings": [finding_plain(finding) for finding in findings]})
    else:
        show_findings(findings)
        count = sum(finding.severity in ("stop", "warning") for finding in findings)
        one = "1 thing has" if count == 1 else f"{count} things have"
        typer.echo(f"\n{one} to be mended first." if count else "\nReady.")
    if any(finding.severity == "stop" for finding in findings):
        raise typer.Exit(1)


def _camera_size(number: int) -> tuple[int, int] | None:
    os.environ.setdefault("OPENCV_LOG_LEVEL", "OFF")  # a missing camera is told in our words
    import cv2

    capture = cv2.VideoCapture(number)
    try:
        seen, picture = capture.read()
    finally:
        capture.release()
    return (int(picture.shape[1]), int(picture.shape[0])) if seen else None


def _calibration(
    table: str, sizes: tuple[tuple[int, int], ...], chosen: int | None
) -> tuple[Finding, ...]:
    from calibration.errors import CalibrationError
    from calibration.uncertainty import metre_error
    from projector.errors import ProjectorError
    from projector.files.table import read_record
    from projector.readiness import calibration_age, calibration_fits, record_found

    now = datetime.now(UTC)
    if not table:
        return (calibration_age(None, now),)
    try:
        record = read_record(Path(table))
    except ProjectorError as error:
        return (record_found(table, str(error), None),)
    try:
        metre = metre_error(record.table_map)
    except CalibrationError:  # of a version that did not tell
        metre = None
    return (
        record_found(table, "", metre),
        calibration_age(_made(Path(table), record.date), now),
        *((calibration_fits(record.table_map.screen_size, sizes, chosen),) if sizes else ()),
    )


def _made(table: Path, date: str) -> datetime:
    """When a record was made, as it says itself; where it does not, when its file was written."""
    from projector.dated_record import DATE

    for form in (DATE, "%Y-%m-%d %H:%M"):
        try:
            return datetime.strptime(date, form).astimezone(UTC)
        except ValueError:
            continue
    return datetime.fromtimestamp(table.stat().st_mtime, UTC)


def _folder_fault(place: Path) -> str:
    """Why a file cannot be made in a folder, or in the first folder above that exists."""
    while not place.is_dir():
        place = place.parent
    try:
        with tempfile.NamedTemporaryFile(dir=place):
            return ""
    except OSError as error:
        return error.strerror or str(error)


def _search_kept() -> bool:
    from projector.cloth.search.compiled import kept

    return kept()


def _missing_letters() -> tuple[str, ...]:
    from importlib.resources import files

    names = ("NotoSans-Regular.ttf", "NotoSans-Bold.ttf")
    return tuple(name for name in names if not files("pygame_gui.data").joinpath(name).is_file())
