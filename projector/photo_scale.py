"""The ways from a photograph to millimetres on the table, and where in it the piece may lie."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calibration.board import (
    PAPER,
    corner_screen_points,
    paper_corners,
    printed_board,
    screen_board,
)
from calibration.detection import found_corners
from calibration.places import rectangle_corners
from calibration.table_map import TableMap, screen_corners, table_points
from projector.errors import ProjectorError
from projector.paper_outline import paper_outline
from projector.photo_plane import PhotoPlane, plane_of_points, plane_of_scale
from projector.printed_bars import PrintedBars, printed_as
from projector.traced_outline import Tracing, traced

__all__ = [
    "COARSEST",
    "PhotoScale",
    "outlined_photo",
    "pixel_on_table",
    "scale_of_lit_board",
    "scale_of_scan",
    "scale_of_sheet",
    "traced_photo",
]

Array = npt.NDArray[np.float64]
Image = npt.NDArray[np.uint8]

COARSEST = 0.9
"""Millimetres of the table a pixel may show before small notches are lost."""
INWARD_PX = 6.0
"""How far inside the lit screen the piece is looked for, projector pixels."""
ROUND_SHEET = 4.0
"""Table round the printed board's sheet that is left out, mm: its shadow."""


@dataclass(frozen=True, slots=True, eq=False)
class PhotoScale:
    """Millimetres for the photograph's pixels; the area (n, 2) the piece lies in; what is none."""

    plane: PhotoPlane
    within: Array | None = None
    without: tuple[Array, ...] = ()


def scale_of_scan(image: Image, dots_an_inch: float) -> PhotoScale:
    """A scan, or a drawing as a picture, of known dots an inch."""
    return PhotoScale(plane_of_scale(_size(image), 25.4 / dots_an_inch))


def scale_of_sheet(image: Image, paper: str, bars: PrintedBars) -> PhotoScale:
    """A printed board lies beside the piece, its bars as measured.

    The nearer the board and the larger, the truer: nothing else holds the lens and the slant.
    """
    board = printed_board(paper)
    found = found_corners(image, board, "printed board")
    printed = printed_as(paper, board, bars)
    share = printed.scale * np.array([1.0, printed.across])
    plane = plane_of_points(found.points_px, paper_corners(board)[found.ids] * share, _size(image))
    width, depth = share * PAPER[paper]
    reach = ROUND_SHEET
    corners = [(-reach, reach), (width + reach, reach), (width + reach, -depth - reach),
               (-reach, -depth - reach)]  # fmt: skip
    return PhotoScale(plane, without=(plane.seen(np.array(corners)),))


def scale_of_lit_board(
    image: Image,
    lit: Image,
    table_map: TableMap,
    hole: tuple[float, float, float, float] | None = None,
) -> PhotoScale:
    """The projected board, photographed by the same camera from the same place, gives the map.

    The piece lies within the lit area of the calibrated table.
    """
    if lit.shape[:2] != image.shape[:2]:
        raise ProjectorError(
            f"the photograph of the lit board is {lit.shape[1]} x {lit.shape[0]} pixels, that of "
            f"the piece {image.shape[1]} x {image.shape[0]}; wanted both from one camera"
        )
    board = screen_board(table_map.screen_size, hole=hole)
    found = found_corners(lit, board, "projected board")
    screen = corner_screen_points(board)[found.ids]
    plane = plane_of_points(found.points_px, table_points(table_map, screen), _size(image))
    corners = screen_corners(table_map.screen_size)
    middle = corners.mean(axis=0)
    inward = corners + INWARD_PX * np.sign(middle - corners)
    return PhotoScale(plane, plane.seen(table_points(table_map, inward)))


def _size(image: Image) -> tuple[int, int]:
    return (image.shape[1], image.shape[0])


def traced_photo(
    image: Image, scale: PhotoScale, region: tuple[float, float, float, float] | None = None
) -> tuple[Tracing, Array]:
    """What was traced, in mm, and its points in the photograph.

    `region` is left, top, right and bottom in pixels, when the worker says where to look.
    """
    points_px = outlined_photo(image, scale, region)
    return traced(scale.plane(points_px)), points_px


def outlined_photo(
    image: Image,
    scale: PhotoScale,
    region: tuple[float, float, float, float] | None = None,
    coloured: bool = False,
) -> Array:
    """The outline (n, 2) in pixels of the paper, or of `coloured` cloth, in the photograph."""
    within = scale.within
    if region is not None:
        within = rectangle_corners(*region)
    return paper_outline(image, within, scale.without, coloured)


def pixel_on_table(scale: PhotoScale, points_px: Array) -> float:
    """How much of the table a pixel shows at the piece, mm; notches want 0.8 mm or less."""
    step = scale.plane(points_px + np.array([1.0, 0.0])) - scale.plane(points_px)
    return float(np.hypot(*step.T).max())
