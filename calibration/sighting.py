"""What a photograph shows of the projected board and of printed boards lying in its light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from calibration.board import Board, corner_screen_points, paper_corners
from calibration.detection import Corners, found_corners
from calibration.errors import CalibrationError
from calibration.evidence import PhotoSight, ReferenceSight
from calibration.exposure import NOTHING_SEEN, part_at_limit
from calibration.homography import fitted, mapped

__all__ = ["Printed", "photo_sight", "references_seen", "with_references"]


@dataclass(frozen=True, slots=True)
class Printed:
    """A printed board on the table.

    Parameters
    ----------
    name
        The same in every photograph that shows the same sheet.
    board
        As it was drawn.
    scale, scale_sd
        Measured over nominal length of its scale bar, and how sure that is.
    """

    name: str
    board: Board
    scale: float = 1.0
    scale_sd: float = 0.0005


def photo_sight(
    photograph: npt.NDArray[np.uint8],
    screen: Board,
    printed: Sequence[Printed],
    focal_px: float | None = None,
    subject: str = "photograph",
    alone: bool = True,
) -> PhotoSight:
    """Find the projected board, and every printed one that is there, in one photograph.

    The photograph is (h, w) or (h, w, 3), BGR, as the sensor took it, not turned upright.

    Raises `CalibrationError` when the projected board cannot be found, or, of a photograph that
    is `alone`, every printed one; among others it helps without.
    """
    lit = found_corners(photograph, screen, f"{subject}, projected board")
    references, missing = references_seen(photograph, printed, subject)
    if alone and not references and missing:
        raise _overexposed(photograph, screen, lit, subject) or missing[0]
    height, width = photograph.shape[:2]
    return PhotoSight(
        corner_screen_points(screen)[lit.ids],
        lit.points_px,
        (width, height),
        references,
        focal_px,
        subject,
    )


def references_seen(
    photograph: npt.NDArray[np.uint8], printed: Sequence[Printed], subject: str
) -> tuple[tuple[ReferenceSight, ...], tuple[CalibrationError, ...]]:
    """The printed boards that a photograph shows, and of each other one why it is not found."""
    references, missing = [], []
    for sheet in printed:
        try:
            found = found_corners(photograph, sheet.board, f"{subject}, printed board")
        except CalibrationError as error:
            missing.append(error)
            continue
        references.append(
            ReferenceSight(
                sheet.name,
                paper_corners(sheet.board)[found.ids],
                found.points_px,
                sheet.scale,
                sheet.scale_sd,
                printer="printer",
            )
        )
    return tuple(references), tuple(missing)


def _overexposed(
    photograph: npt.NDArray[np.uint8], screen: Board, lit: Corners, subject: str
) -> CalibrationError | None:
    """Why no sheet is seen, when the field it lies in is too bright to show one."""
    places, field = corner_screen_points(screen)[lit.ids], lit.points_px
    if screen.hole is not None:
        left, top, right, bottom = screen.hole
        corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]]) - 0.5
        field = mapped(fitted(places, field), corners)
    part = part_at_limit(photograph, field)
    if part <= NOTHING_SEEN:
        return None
    return CalibrationError(
        f"{subject}: overexposed, {part:.0%} of the field the sheet lies in is as white as the "
        "camera can tell; expose for the sheet, and on dark cloth calibrate on the bare table first"
    )


def with_references(sight: PhotoSight, added: tuple[ReferenceSight, ...]) -> PhotoSight:
    """The same photograph with further references that it shows."""
    return replace(sight, references=(*sight.references, *added))
