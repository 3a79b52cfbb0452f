"""A camera's lens, and the place of two cameras, from photographs of one board held many ways.

For cameras and public sets apart from any table: corners are found as for a table, the fit itself
is OpenCV's (Zhang, A flexible new technique for camera calibration, 2000; Brown's lens). `joint`
needs no such set: it finds the lens with the table.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import Board, corner_points
from calibration.detection import Corners, found_corners
from calibration.errors import CalibrationError
from calibration.homography import Array

__all__ = ["CameraLens", "CameraPair", "board_sights", "camera_lens", "camera_pair"]

FEWEST_PHOTOS = 3
STOP = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 200, 1e-9)


@dataclass(frozen=True, slots=True, eq=False)
class CameraLens:
    """A lens in OpenCV's terms.

    `matrix` (3, 3), pixels; `distortion` (5,): k1, k2, p1, p2, k3; `rms_px` of the distances from
    corners to where they should be, over all photographs, and `photo_rms_px` (n,) of each;
    `focal_sd_px` is how sure the focal length is, as far as residuals tell.
    """

    matrix: Array
    distortion: Array
    rms_px: float
    photo_rms_px: Array
    focal_sd_px: float


@dataclass(frozen=True, slots=True, eq=False)
class CameraPair:
    """Two cameras that took the same moments: their lenses, the rms over both (pixels), and the
    second's `turn` (3, 3) and `shift` (3,), mm: ``X2 = turn X1 + shift``."""

    first: CameraLens
    second: CameraLens
    rms_px: float
    turn: Array
    shift: Array


def board_sights(
    photographs: Sequence[tuple[str, npt.NDArray[np.uint8]]], board: Board
) -> tuple[tuple[Corners | None, ...], tuple[str, ...]]:
    """The corners of the board in each named photograph, None where it is not seen, and why."""
    seen: list[Corners | None] = []
    why = []
    for name, photograph in photographs:
        try:
            seen.append(found_corners(photograph, board, name))
        except CalibrationError as error:
            seen.append(None)
            why.append(str(error))
    return tuple(seen), tuple(why)


def camera_lens(sights: Sequence[Corners], board: Board, photo_size: tuple[int, int]) -> CameraLens:
    """The lens from one board seen in three photographs or more; its size only sets the scale.

    Raises `CalibrationError` for fewer photographs.
    """
    if len(sights) < FEWEST_PHOTOS:
        raise CalibrationError(
            f"the board is read in {len(sights)} photographs, wanted {FEWEST_PHOTOS} or more, held "
            "at different slants and turned by a quarter in some"
        )
    own, points = _matched(sights, board)
    rms, matrix, bent, _, _, sd, _, each = cv2.calibrateCameraExtended(
        own, points, photo_size, np.eye(3), np.zeros(5), criteria=STOP
    )
    return CameraLens(
        np.asarray(matrix, np.float64), np.asarray(bent, np.float64).ravel()[:5], float(rms),
        np.asarray(each, np.float64).ravel(), float(np.ravel(sd)[0]),
    )  # fmt: skip


def camera_pair(
    first: Sequence[Corners],
    second: Sequence[Corners],
    board: Board,
    photo_size: tuple[int, int],
    second_size: tuple[int, int] | None = None,
) -> CameraPair:
    """Two cameras from the same moments, in order; their photographs are of one size, or the
    second's of `second_size`.

    Corners that only one of both shows are left out of the pair. Raises `CalibrationError` for
    sets of different length, or fewer than three moments.
    """
    if len(first) != len(second):
        raise CalibrationError(
            f"{len(first)} photographs of the first camera and {len(second)} of the second; wanted "
            "pairs of the same moments, in the same order"
        )
    if board.bits == 0 and not board.marked:
        second = [_same_way(a, b) for a, b in zip(first, second, strict=True)]
    lenses = [
        camera_lens(first, board, photo_size),
        camera_lens(second, board, second_size or photo_size),
    ]
    both = []
    for a, b in zip(first, second, strict=True):
        shared = np.intersect1d(a.ids, b.ids)
        both.append([_chosen(sight, shared) for sight in (a, b)])
    own, left = _matched([pair[0] for pair in both], board)
    _, right = _matched([pair[1] for pair in both], board)
    rms, _, _, _, _, turn, shift, _, _ = cv2.stereoCalibrate(
        own, left, right, lenses[0].matrix, lenses[0].distortion, lenses[1].matrix,
        lenses[1].distortion, photo_size, flags=cv2.CALIB_USE_INTRINSIC_GUESS, criteria=STOP,
    )  # fmt: skip
    return CameraPair(
        lenses[0], lenses[1], float(rms), np.asarray(turn, np.float64),
        np.asarray(shift, np.float64).ravel(),
    )  # fmt: skip


def _matched(sights: Sequence[Corners], board: Board) -> tuple[list[Array], list[Array]]:
    places = corner_points(board)
    own = [
        np.column_stack([places[s.ids], np.zeros(len(s.ids))]).astype(np.float32) for s in sights
    ]
    points = [sight.points_px.astype(np.float32) for sight in sights]
    return own, points  # type: ignore[return-value]


def _chosen(sight: Corners, ids: npt.NDArray[np.int64]) -> Corners:
    kept = np.isin(sight.ids, ids)
    return Corners(sight.ids[kept], sight.points_px[kept])


def _same_way(first: Corners, second: Corners) -> Corners:
    """An unmarked board, counted from the end that is the first camera's: both stand alike."""
    ways = [sight.points_px[-1] - sight.points_px[0] for sight in (first, second)]
    if float(ways[0] @ ways[1]) > 0.0:
        return second
    last = max(int(first.ids.max()), int(second.ids.max()))
    return Corners(last - second.ids[::-1], second.points_px[::-1].copy())
