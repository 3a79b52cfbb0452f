"""`shearlight ready`: what is missing before work at the table can begin."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from typing import Annotated

import typer

__all__ = ["ready"]


def ready(
    camera: Annotated[int, typer.Option(help="Number of the camera to try, from 0.")] = 0,
    as_json: Annotated[bool, typer.Option("--json", help="Figures for machines.")] = False,
) -> None:
    """Tell what is missing (displays, camera, calibration) and how to mend it.

    Example: shearlight ready --camera 1
    """
    from projector.commands.telling import finding_plain, show_findings, show_json
    from projector.files.settings import read_settings
    from projector.readiness import calibration_age, camera_found, displays_found
    from projector.stage.displays import displays

    settings = read_settings()
    findings = (
        displays_found(displays(), settings.display),
        camera_found(_camera_size(camera), camera),
        calibration_age(_made(settings.table), datetime.now(UTC)),
    )
    if as_json:
        show_json({"findings": [finding_plain(finding) for finding in findings]})
    else:
        show_findings(findings)
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


def _made(table: str) -> datetime | None:
    from pathlib import Path

    # The file's own time stands for the calibration's until the record tells it.
    path = Path(table)
    if not table or not path.exists():
        return None
    return datetime.fromtimestamp(path.stat().st_mtime, UTC)
