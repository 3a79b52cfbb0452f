"""The markers of a board that can be read, and the corners between them, roughly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import Board, whole_corners
from calibration.homography import Array
from calibration.light import linear, whole_points

__all__ = ["Decoded", "decoded"]

WORKING_SIDE = 2400
"""Markers are first looked for at no more than this many pixels a side, then in full."""
ENOUGH = 0.5
"""Part of a board's corners that is enough to not look again in full."""
LEAST_MARKER_PX = 9.0

Ids = npt.NDArray[np.int64]
Grey = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class Decoded:
    """Corners whose markers can be read: `ids` (n,), rough places `points_px` (n, 2), and the
    markers themselves, `marker_ids` (m,) with their corners `quads_px` (m, 4, 2)."""

    ids: Ids
    points_px: Array
    marker_ids: Ids
    quads_px: Array


def decoded(grey: Grey, board: Board) -> Decoded:
    """The corners whose markers can be read, at the scale that shows more."""
    best = Decoded(
        np.zeros(0, np.int64), np.zeros((0, 2)), np.zeros(0, np.int64), np.zeros((0, 4, 2))
    )
    first = min(1.0, WORKING_SIDE / max(grey.shape))
    # Small markers are read better larger, and in light itself: levels make white cells wider.
    larger = [(1.0, True), (1.0, False)] if first < 1.0 else [(2.0, True), (3.0, True)]
    tries = [(first, False), *larger]
    wanted = int(whole_corners(board).sum())
    for scale, in_light in tries:
        small = (linear(grey) * 255.0).astype(np.uint8) if in_light else grey
        if scale != 1.0:
            way = cv2.INTER_AREA if scale < 1.0 else cv2.INTER_CUBIC
            small = cv2.resize(small, None, fx=scale, fy=scale, interpolation=way)
        read = _read(small, board)
        if (len(read.ids), len(read.marker_ids)) > (len(best.ids), len(best.marker_ids)):
            points, quads = (whole_points(seen, scale) for seen in (read.points_px, read.quads_px))
            best = Decoded(read.ids, points, read.marker_ids, quads)
        if len(best.ids) >= ENOUGH * wanted:
            break
    return best


def _read(grey: Grey, board: Board) -> Decoded:
    pattern = cv2.aruco.CharucoBoard(
        (board.columns, board.rows),
        board.square,
        board.cell * (board.bits + 2),
        board.dictionary,
    )
    pattern.setLegacyPattern(board.legacy)
    parameters = cv2.aruco.CharucoParameters()
    # The check rejects every corner in some dictionary set-ups; RANSAC does its work here.
    parameters.checkMarkers = False
    markers = cv2.aruco.DetectorParameters()
    # The default leaves out what is small beside the photograph, as a sheet on a table is.
    markers.minMarkerPerimeterRate = 4.0 * LEAST_MARKER_PX / max(grey.shape)
    # The middle of each cell is asked, since blur mixes its edges with its neighbours.
    markers.perspectiveRemovePixelPerCell = 8
    markers.perspectiveRemoveIgnoredMarginPerCell = 0.3
    detector = cv2.aruco.CharucoDetector(pattern, parameters, markers)
    points, ids, quads, marker_ids = detector.detectBoard(grey)
    none: Sequence[float] = ()
    return Decoded(
        np.asarray(none if ids is None else ids).reshape(-1).astype(np.int64),
        np.asarray(none if ids is None else points).reshape(-1, 2).astype(np.float64),
        np.asarray(none if marker_ids is None else marker_ids).reshape(-1).astype(np.int64),
        np.asarray(none if marker_ids is None else quads).reshape(-1, 4, 2).astype(np.float64),
    )
