"""What a photograph shows of the projected board and of printed boards lying in its light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import Board, corner_screen_points, paper_corners
from calibration.crossings import seen_lattice
from calibration.decoding import decoded
from calibration.detection import FEWEST_CORNERS, Corners, found_corners, grey_of
from calibration.errors import CalibrationError
from calibration.evidence import PhotoSight, ReferenceSight
from calibration.exposure import MOST_AT_LIMIT, NOTHING_SEEN, part_at_limit
from calibration.homography import Array, fitted, mapped
from calibration.light import linear
from calibration.other_boards import coded_board_lit, other_sheet
from calibration.places import grid_points, rectangle_corners
from calibration.unread_board import covered_over, oblique, of_lattice, unread

__all__ = ["Printed", "photo_sight", "references_seen", "with_references"]

WHOLE = 0.8
"""Part of the hole in the photograph, below which a sheet in it cannot be expected to be read."""
LEAST_EVEN = 0.45
"""Darker over lighter places of the hole's rim, below which it is no white hole."""


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
    across
        Its scale up the sheet over that along it.
    along_sd, across_sd
        How sure each direction is by itself, beyond `scale_sd`.
    """

    name: str
    board: Board
    scale: float = 1.0
    scale_sd: float = 0.0005
    across: float = 1.0
    along_sd: float = 0.0
    across_sd: float = 0.0


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
    try:
        lit = found_corners(photograph, screen, f"{subject}, projected board")
    except CalibrationError as error:
        raise _unlit(photograph, screen, printed, subject) or error from error
    references, missing = references_seen(photograph, printed, subject)
    if alone and not references and missing:
        raise (
            _another_sheet(photograph, printed, subject)
            or _overexposed(photograph, screen, lit, subject)
            or _hole_elsewhere(photograph, screen, lit, printed[0], subject)
            or _unseen_sheet(photograph, screen, lit, printed[0], subject)
            or missing[0]
        )
    height, width = photograph.shape[:2]
    screen_px = corner_screen_points(screen)[lit.ids]
    unmarked = {sheet.name for sheet in printed if sheet.board.bits == 0 and not sheet.board.marked}
    if unmarked:
        to_screen = fitted(lit.points_px, screen_px)
        references = tuple(
            _one_way(reference, to_screen) if reference.name in unmarked else reference
            for reference in references
        )
    return PhotoSight(
        screen_px,
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
                paper_corners(sheet.board)[found.ids] * [1.0, sheet.across],
                found.points_px,
                sheet.scale,
                sheet.scale_sd,
                sheet.along_sd,
                sheet.across_sd,
                printer="printer",
            )
        )
    return tuple(references), tuple(missing)


def _unlit(
    photograph: npt.NDArray[np.uint8], screen: Board, printed: Sequence[Printed], subject: str
) -> CalibrationError | None:
    """Where a printed board is read and nothing else is like a board: no board is lit."""
    grey = grey_of(photograph, subject)
    if screen.bits == 0 and coded_board_lit(grey, screen.screen):
        return CalibrationError(
            f"{subject}, projected board: the coded board is lit, not the plain one; leave out "
            "--plain, or light the board that boards --plain writes"
        )
    for sheet in printed:
        seen = decoded(grey, sheet.board)
        if len(seen.ids) >= FEWEST_CORNERS:
            grey = covered_over(grey, seen.points_px)
            if seen_lattice(grey) is None:
                return CalibrationError(
                    f"{subject}, projected board: only the printed board is seen; light the board "
                    "that `boards` wrote on the whole screen, at its own size, and show all of it"
                )
    return None


def _another_sheet(
    photograph: npt.NDArray[np.uint8], printed: Sequence[Printed], subject: str
) -> CalibrationError | None:
    """Where another of our printed boards lies than any that was told."""
    told = other_sheet(grey_of(photograph, subject), [sheet.board for sheet in printed])
    if told is None:
        return None
    paper, number = told
    times = "" if number == 0 else f", {number + 1} times, once for each board up to this"
    return CalibrationError(
        f"{subject}, printed board: the one that lies there is board {number + 1} of {paper}, "
        f"which was not told; give --paper {paper}{times}"
    )


def _hole_elsewhere(
    photograph: npt.NDArray[np.uint8], screen: Board, lit: Corners, sheet: Printed, subject: str
) -> CalibrationError | None:
    """Where the rim of the hole is not the white that it should be, or there is no hole."""
    if screen.hole is None:
        lattice = seen_lattice(_beside(grey_of(photograph, subject), screen, lit))
        told = of_lattice(lattice, sheet.board) if lattice is not None else ""
        if told:
            return CalibrationError(f"{subject}, printed board: not read beside the light: {told}")
        return CalibrationError(
            f"{subject}, printed board: not seen, and the projected board has no hole; lay the "
            "sheet where its light leaves a white hole, and give that as --hole, or beside the "
            "light, all of it in the photograph and its squares 15 px wide or more"
        )
    field = _hole_seen(screen, lit)
    middle = field.mean(axis=0)
    around = []
    for start, end in zip(field, np.roll(field, -1, axis=0), strict=True):
        along = start + np.linspace(0.0, 1.0, 60)[:, None] * (end - start)
        around.append(middle + 0.96 * (along - middle))
    rim = np.rint(np.vstack(around)).astype(int)
    height, width = photograph.shape[:2]
    rim = rim[((rim >= 0) & (rim < (width, height))).all(axis=1)]
    if len(rim) < 60:
        return None
    light = linear(grey_of(photograph, subject))[rim[:, 1], rim[:, 0]]
    dark, white = np.percentile(light, [20.0, 80.0])
    if dark > LEAST_EVEN * white:
        return None
    return CalibrationError(
        f"{subject}, printed board: not seen, and no plain white hole is seen where it was told; "
        "give --hole and --screen as they were given to boards, and lay the sheet in the hole"
    )


def _beside(grey: npt.NDArray[np.uint8], screen: Board, lit: Corners) -> npt.NDArray[np.uint8]:
    """The picture with the projected board made an even grey, to its outermost edges."""
    (left, top), side = screen.origin, screen.square
    right, bottom = left + screen.columns * side, top + screen.rows * side
    ends = rectangle_corners(left, top, right, bottom)
    # A little more, since a lens bends the outer edges.
    ends = ends.mean(axis=0) + 1.03 * (ends - ends.mean(axis=0))
    seen = mapped(_photo_from_screen(screen, lit), ends)
    out = grey.copy()
    cv2.fillConvexPoly(out, np.rint(seen).astype(np.int32), float(np.median(grey)))
    return out


def _photo_from_screen(screen: Board, lit: Corners) -> Array:
    """The homography (3, 3) from the screen to the photograph, by the corners found."""
    return fitted(corner_screen_points(screen)[lit.ids], lit.points_px)


def _hole_seen(screen: Board, lit: Corners) -> Array:
    """The corners of the hole in the photograph, (4, 2), pixels."""
    assert screen.hole is not None
    return mapped(_photo_from_screen(screen, lit), rectangle_corners(*screen.hole) - 0.5)


def _hole_in_picture(screen: Board, lit: Corners, shape: tuple[int, ...]) -> float:
    assert screen.hole is not None
    left, top, right, bottom = screen.hole
    grid = grid_points(np.linspace(left, right, 9), np.linspace(top, bottom, 9))
    ends = np.column_stack([grid - 0.5, np.ones(81)])
    matrix = _photo_from_screen(screen, lit)
    seen = np.column_stack([corner_screen_points(screen)[lit.ids], np.ones(len(lit.ids))])
    # Beyond the horizon of a near, slanted view the sign changes.
    sign = np.sign(np.median(seen @ matrix[2]))
    places = ends @ matrix.T
    before = places[:, 2] * sign > 0.0
    inside = places[before, :2] / places[before, 2:]
    within = ((inside >= 0.0) & (inside < (shape[1], shape[0]))).all(axis=1)
    return float(within.sum()) / len(ends)


def _unseen_sheet(
    photograph: npt.NDArray[np.uint8], screen: Board, lit: Corners, sheet: Printed, subject: str
) -> CalibrationError | None:
    """Why the sheet is not read, looking at nothing but the hole it lies in."""
    name = f"{subject}, printed board"
    part = _hole_in_picture(screen, lit, photograph.shape)
    if part < WHOLE:
        return CalibrationError(
            f"{name}: only {part:.0%} of the hole it lies in is in the photograph; show all of it"
        )
    field = _hole_seen(screen, lit)
    across, down = field[1] - field[0], field[3] - field[0]
    assert screen.hole is not None
    left, top, right, bottom = screen.hole
    across, down = across / (right - left), down / (bottom - top)
    long = max(float(np.hypot(*across)), float(np.hypot(*down)))
    slant = abs(float(across[0] * down[1] - across[1] * down[0])) / long**2
    if slanted := oblique(slant):
        return CalibrationError(f"{name}: not seen: {slanted}")
    size = np.array(photograph.shape[1::-1])
    low = np.clip(np.floor(field.min(axis=0)), 0, size - 1).astype(int)
    high = np.clip(np.ceil(field.max(axis=0)), 1, size).astype(int)
    if part_at_limit(photograph, field) > MOST_AT_LIMIT:
        return _overexposed(photograph, screen, lit, subject, MOST_AT_LIMIT)
    cut = grey_of(photograph, subject)[low[1] : high[1], low[0] : high[0]]
    if min(cut.shape) < 40:
        return None
    inside = np.zeros(cut.shape, np.uint8)
    inner = field.mean(axis=0) + 0.97 * (field - field.mean(axis=0)) - low
    cv2.fillConvexPoly(inside, np.rint(inner).astype(np.int32), 1)
    cut = np.where(inside > 0, cut, np.uint8(np.median(cut[inside > 0])))
    if seen_lattice(cut) is None and part_at_limit(photograph, field) <= NOTHING_SEEN:
        return CalibrationError(
            f"{name}: none is seen in the hole of the projected board; lay it there, face up, "
            "flat and whole, with nothing on it"
        )
    return unread(cut, sheet.board, name, largest_px=0.8 * long * screen.square)


def _overexposed(
    photograph: npt.NDArray[np.uint8],
    screen: Board,
    lit: Corners,
    subject: str,
    most: float = NOTHING_SEEN,
) -> CalibrationError | None:
    """Why no sheet is seen, when the field it lies in is too bright to show one."""
    field = lit.points_px if screen.hole is None else _hole_seen(screen, lit)
    part = part_at_limit(photograph, field)
    if part <= most:
        return None
    return CalibrationError(
        f"{subject}: overexposed, {part:.0%} of the field the sheet lies in is as white as the "
        "camera can tell; expose for the sheet, and on dark cloth calibrate on the bare table first"
    )


def _one_way(sheet: ReferenceSight, screen_from_photo: Array) -> ReferenceSight:
    """An unmarked board counted from the same one of its ends in every photograph."""
    ends = mapped(screen_from_photo, sheet.photo_px[[0, -1]])
    if float((ends[1] - ends[0]) @ [1.0, 0.37]) > 0.0:
        return sheet
    return replace(sheet, photo_px=sheet.photo_px[::-1].copy())


def with_references(sight: PhotoSight, added: tuple[ReferenceSight, ...]) -> PhotoSight:
    """The same photograph with further references that it shows."""
    return replace(sight, references=(*sight.references, *added))
