"""Corners of a coded board in a photograph, to a part of a pixel."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import Board, corner_points
from calibration.errors import CalibrationError

__all__ = ["FEWEST_CORNERS", "Corners", "found_corners"]

FEWEST_CORNERS = 8
"""A homography needs four; eight leave something to judge it by."""

WORKING_SIDE = 2400
"""Markers are looked for at no more than this many pixels a side; corners are refined in full."""

SMALLEST_MARKER = 0.012
"""Least perimeter of a marker, as a part of the photograph's longer side."""


@dataclass(frozen=True, slots=True, eq=False)
class Corners:
    """Corners found: `ids` of shape (n,), `points_px` of shape (n, 2) in the photograph.

    Photograph points have their origin at the centre of the first pixel, y down.
    """

    ids: npt.NDArray[np.int64]
    points_px: npt.NDArray[np.float64]


def found_corners(photograph: npt.NDArray[np.uint8], board: Board, subject: str) -> Corners:
    """Find a board's inner corners in a grey (h, w) or colour (h, w, 3, BGR) photograph.

    Markers are decoded at a reduced size, corners that no plane can hold are rejected (RANSAC
    on a homography, generous enough for a lens's distortion), and the rest are refined on the
    photograph itself in a window that stays inside the neighbouring squares.

    Raises `CalibrationError`, naming the `subject`, when fewer than `FEWEST_CORNERS` are found.
    """
    if photograph.ndim not in (2, 3) or min(photograph.shape[:2]) < 100:
        raise CalibrationError(f"{subject}: a photograph of shape {photograph.shape} is too small")
    grey = photograph if photograph.ndim == 2 else cv2.cvtColor(photograph, cv2.COLOR_BGR2GRAY)
    scale = min(1.0, WORKING_SIDE / max(grey.shape))
    small = (
        grey
        if scale == 1.0
        else cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    )
    ids, points = _decoded(small, board)
    if len(ids) < FEWEST_CORNERS:
        raise CalibrationError(
            f"{subject}: found {len(ids)} corners of the board, wanted {FEWEST_CORNERS} or more; "
            "show all of it, in focus, without glare"
        )
    # Pixel centres are whole numbers, so that a reduced image is shifted by half a pixel.
    points = (points + 0.5) / scale - 0.5
    ids, points = _in_one_plane(ids, points, board)
    if len(ids) < FEWEST_CORNERS:
        raise CalibrationError(
            f"{subject}: only {len(ids)} corners lie in one plane, wanted {FEWEST_CORNERS}; "
            "lay the board flat"
        )
    return Corners(ids, _refined(grey, ids, points, board))


def _decoded(
    grey: npt.NDArray[np.uint8], board: Board
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.float64]]:
    pattern = cv2.aruco.CharucoBoard(
        (board.columns, board.rows),
        board.square,
        board.cell * (board.bits + 2),
        board.dictionary,
    )
    parameters = cv2.aruco.CharucoParameters()
    # The check rejects every corner in some dictionary set-ups; RANSAC does its work here.
    parameters.checkMarkers = False
    markers = cv2.aruco.DetectorParameters()
    # A sheet of A4 in a photograph of the whole table has markers of an 80th of its side.
    markers.minMarkerPerimeterRate = SMALLEST_MARKER
    detector = cv2.aruco.CharucoDetector(pattern, parameters, markers)
    points, ids, _, _ = detector.detectBoard(grey)
    if ids is None or len(ids) == 0:
        return np.zeros(0, np.int64), np.zeros((0, 2))
    return ids.reshape(-1).astype(np.int64), points.reshape(-1, 2).astype(np.float64)


def _in_one_plane(
    ids: npt.NDArray[np.int64], points: npt.NDArray[np.float64], board: Board
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.float64]]:
    flat = corner_points(board)[ids]
    side = float(np.median(_sides(points, ids, board)))
    _, inside = cv2.findHomography(flat, points, cv2.RANSAC, max(3.0, 0.25 * side))
    if inside is None:
        return ids[:0], points[:0]
    keep = inside.reshape(-1).astype(bool)
    return ids[keep], points[keep]


def _sides(
    points: npt.NDArray[np.float64], ids: npt.NDArray[np.int64], board: Board
) -> npt.NDArray[np.float64]:
    """The shortest distance from each corner to a neighbouring corner that was found, pixels."""
    place = np.full((board.rows - 1, board.columns - 1, 2), np.nan)
    place.reshape(-1, 2)[ids] = points
    across = np.linalg.norm(np.diff(place, axis=1), axis=2)
    along = np.linalg.norm(np.diff(place, axis=0), axis=2)
    side = np.full(place.shape[:2], np.inf)
    for gaps, near, far in (
        (across, np.s_[:, :-1], np.s_[:, 1:]),
        (along, np.s_[:-1, :], np.s_[1:, :]),
    ):
        filled = np.where(np.isnan(gaps), np.inf, gaps)
        side[near] = np.minimum(side[near], filled)
        side[far] = np.minimum(side[far], filled)
    own: npt.NDArray[np.float64] = side.reshape(-1)[ids]
    known = own[np.isfinite(own)]
    own[~np.isfinite(own)] = known.min() if len(known) else 12.0
    return own


def _refined(
    grey: npt.NDArray[np.uint8],
    ids: npt.NDArray[np.int64],
    points: npt.NDArray[np.float64],
    board: Board,
) -> npt.NDArray[np.float64]:
    # The window must not reach the markers, which begin at this part of a square.
    margin = (board.square - (board.bits + 2) * board.cell) / 2 / board.square
    sides = _sides(points, ids, board)
    refined = points.copy()
    windows = np.clip((margin * sides).astype(int), 2, 15)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 60, 0.001)
    for window in np.unique(windows):
        chosen = np.flatnonzero(windows == window)
        start = points[chosen].astype(np.float32).reshape(-1, 1, 2)
        size = (int(window), int(window))
        refined[chosen] = cv2.cornerSubPix(grey, start, size, (-1, -1), stop).reshape(-1, 2)
    return refined
