"""Corners found in public photographs of a checkerboard, judged by OpenCV's own calibration.

    python -m tests.benchmarks.public_photographs FOLDER --inner 9x6

The folder holds photographs named left*.jpg and, of the same moments, right*.jpg, such as those in
`samples/data` of OpenCV's sources (13 pairs, 640 x 480, 9 x 6 inner corners; Apache licence 2.0).
They are not kept here. Printed is the rms error of reprojection, pixels, with our corners and with
OpenCV's `findChessboardCorners` and `cornerSubPix`; nothing of our estimate takes part.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np

from calibration.board import Board
from calibration.detection import refined_corners
from calibration.errors import CalibrationError
from calibration.plain_detection import checkerboard_corners

Corners = np.ndarray | None
STOP = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 200, 1e-9)


def ours(grey: np.ndarray, columns: int, rows: int) -> Corners:
    board = Board(columns + 1, rows + 1, 1.0, 0.0, 0)
    try:
        rough = checkerboard_corners(grey, columns, rows, "photograph")
        found = refined_corners(grey, board, np.arange(len(rough)), rough, "photograph")
    except CalibrationError as error:
        print("  ", error)
        return None
    points = rough.copy()
    points[found.ids] = found.points_px
    return points if len(found.ids) == len(rough) else None


def opencvs(grey: np.ndarray, columns: int, rows: int) -> Corners:
    seen, corners = cv2.findChessboardCorners(grey, (columns, rows))
    if not seen:
        return None
    corners = cv2.cornerSubPix(grey, corners, (11, 11), (-1, -1), (3, 30, 0.01))
    return corners.reshape(-1, 2).astype(np.float64)


def judged(
    name: str,
    finder: Callable[[np.ndarray, int, int], Corners],
    pairs: list[tuple[np.ndarray, ...]],
    inner: tuple[int, int],
) -> None:
    columns, rows = inner
    x, y = np.meshgrid(np.arange(columns), np.arange(rows))
    board = np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)]).astype(np.float32)
    seen: list[list[np.ndarray]] = []
    for pair in pairs:
        found = [finder(grey, columns, rows) for grey in pair]
        if all(points is not None for points in found):
            # A half turn between the two is undone: the eyes stand side by side.
            if len(found) == 2 and (found[0][-1] - found[0][0]) @ (found[1][-1] - found[1][0]) < 0:
                found[1] = found[1][::-1]
            seen.append([np.asarray(points, np.float32) for points in found])
    size = pairs[0][0].shape[::-1]
    boards = [board] * len(seen)
    lenses = []
    for eye, side in enumerate(("left", "right")[: len(pairs[0])]):
        points = [found[eye] for found in seen]
        rms, matrix, bent, _, _ = cv2.calibrateCamera(boards, points, size, None, None)
        lenses.append((matrix, bent))
        print(f"{name}: {side} {len(seen)} of {len(pairs)} photographs, rms {rms:.3f} px, "
              f"focal length {matrix[0, 0]:.1f} px")  # fmt: skip
    if len(lenses) == 2:
        rms = cv2.stereoCalibrate(
            boards, [f[0] for f in seen], [f[1] for f in seen], *lenses[0], *lenses[1], size,
            flags=cv2.CALIB_USE_INTRINSIC_GUESS, criteria=STOP,
        )[0]  # fmt: skip
        print(f"{name}: stereo rms {rms:.3f} px")


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("folder", type=Path)
    words.add_argument("--inner", default="9x6")
    given = words.parse_args()
    inner = tuple(int(part) for part in given.inner.split("x"))
    pairs = []
    for left in sorted(given.folder.glob("left*.jpg")):
        right = left.with_name(left.name.replace("left", "right"))
        both = [left, right] if right.exists() else [left]
        pairs.append(tuple(cv2.imread(str(path), cv2.IMREAD_GRAYSCALE) for path in both))
    if not pairs:
        raise SystemExit(f"{given.folder}: no photographs left*.jpg")
    for name, finder in (("ours", ours), ("OpenCV's", opencvs)):
        judged(name, finder, pairs, (inner[0], inner[1]))


if __name__ == "__main__":
    main()
