"""Corners of a board in a photograph, to a few hundredths of a pixel."""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import Board, corner_squares, whole_corners
from calibration.board_place import photo_from_squares
from calibration.corner_refinement import Plain, refined
from calibration.crossings import seen_lattice
from calibration.decoding import Decoded, decoded
from calibration.errors import CalibrationError
from calibration.homography import Array
from calibration.light import linear
from calibration.marker_places import agreement, likelier_columns
from calibration.other_boards import other_screen
from calibration.plain_detection import rough_plain_corners
from calibration.unread_board import of_lattice, unread

__all__ = ["FEWEST_CORNERS", "Corners", "found_corners", "grey_of", "refined_corners"]

FEWEST_CORNERS = 8
"""A homography needs four; eight leave something to judge it by."""
LEAST_AGREED = 0.5
"""Part of the corners read that one plane must hold: of another screen's board only a row does."""
FEWEST_READ = 6
"""From so many corners whose markers can be read, the others are found beside them."""
MANY_MARKERS = 12
"""Markers read without corners between them: they stand beside others than on this board."""
MOST_BLUR = 0.12
"""Blur, as a part of a square's side, above which a photograph is refused."""
FARTHEST = 0.15
"""Part of a square that a corner may lie from where its markers put it."""
LEAST_SLANT = 0.12
"""Short over long side of a square as it is seen, below which a view is too oblique."""

Ids = npt.NDArray[np.int64]
Grey = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class Corners:
    """Corners found: `ids` of shape (n,), `points_px` of shape (n, 2) in the photograph.

    Photograph points have their origin at the centre of the first pixel, y down. `sd_px` (n,) is
    how sure each is, each way; `blur_px` the photograph's blur there, standard deviation.
    """

    ids: Ids
    points_px: Array
    sd_px: Array = field(default_factory=lambda: np.zeros(0))
    blur_px: float = 0.0


def grey_of(photograph: Grey, subject: str) -> Grey:
    """The photograph (h, w) or (h, w, 3, BGR) as grey; `CalibrationError` when it is too small."""
    if photograph.ndim not in (2, 3) or min(photograph.shape[:2]) < 100:
        size = " x ".join(str(side) for side in photograph.shape[1::-1])
        raise CalibrationError(
            f"{subject}: a photograph of {size} pixels is too small; wanted 100 or more a side"
        )
    if photograph.ndim == 2:
        return photograph
    return np.asarray(cv2.cvtColor(photograph, cv2.COLOR_BGR2GRAY), dtype=np.uint8)


def found_corners(photograph: Grey, board: Board, subject: str) -> Corners:
    """Find a board's inner corners in a grey (h, w) or colour (h, w, 3, BGR) photograph.

    Markers are decoded at a reduced size, or in full where that shows too few; corners that no
    plane can hold are rejected (RANSAC on a homography, generous enough for a lens); every corner
    of the board near those is then looked for and refined on the photograph itself. Corners in
    the board's hole, or cut by it, are left out.

    Raises `CalibrationError`, naming the `subject`, when fewer than `FEWEST_CORNERS` are found,
    or when the photograph is blurred or the view too oblique to be worth anything.
    """
    grey = grey_of(photograph, subject)
    if board.bits == 0:
        return refined_corners(grey, board, *_plain_corners(grey, board, subject), subject)
    seen = decoded(grey, board)
    if agreement(board, seen.marker_ids, seen.quads_px) < LEAST_AGREED:
        raise _another(seen, board, subject)
    ids, points = seen.ids, seen.points_px
    if len(ids) < FEWEST_READ:
        if len(seen.marker_ids) > MANY_MARKERS:
            raise _another(seen, board, subject)
        mirrored = decoded(np.ascontiguousarray(grey[:, ::-1]), board)
        if len(mirrored.ids) > max(FEWEST_READ, len(ids)):
            raise CalibrationError(
                f"{subject}: the photograph is mirrored; wanted as the eye sees the table: switch "
                "mirroring off, or use the camera on the phone's back"
            )
        raise unread(grey, board, subject, len(ids))
    read = len(ids)
    ids, points = _in_one_plane(ids, points, board)
    if len(ids) < LEAST_AGREED * read:
        # One row of another board's squares would do for a plane, and make a map of nothing.
        raise CalibrationError(
            f"{subject}: {read} corners were read and only {len(ids)} lie where this board has "
            "them; a photograph of another screen or paper, or a board that is not flat: give "
            "--screen as it was lit, and lay it flat"
        )
    if len(ids) < FEWEST_READ:
        raise CalibrationError(
            f"{subject}: only {len(ids)} corners lie in one plane, wanted {FEWEST_CORNERS}; "
            "lay the board flat"
        )
    return refined_corners(grey, board, ids, points, subject)


def _plain_corners(grey: Grey, board: Board, subject: str) -> tuple[Ids, Array]:
    try:
        return rough_plain_corners(grey, board, subject)
    except CalibrationError as error:
        lattice = seen_lattice(grey)
        told = of_lattice(lattice, board) if lattice is not None else ""
        if told:
            raise CalibrationError(f"{subject}: the board is not seen whole: {told}") from error
        raise


def _another(seen: Decoded, board: Board, subject: str) -> CalibrationError:
    size = other_screen(seen, board) if board.bits == 6 and not board.markers else None
    if size is not None:
        width, height = size
        return CalibrationError(
            f"{subject}: the board in the photograph is of a screen of {width}x{height}, wanted "
            f"{board.screen[0]}x{board.screen[1]}; it is a photograph of another screen: give "
            f"--screen {width}x{height} if it was lit so, or light the board that is told"
        )
    columns = likelier_columns(board, seen.marker_ids, seen.quads_px)
    told = f"has {columns} columns of squares" if columns else "has its markers elsewhere"
    return CalibrationError(
        f"{subject}: the board in the photograph {told}, wanted {board.columns}; it is a "
        "photograph of another screen or paper: give --screen as it was lit, or light and "
        "print the board that is told"
    )


def _in_one_plane(ids: Ids, points: Array, board: Board) -> tuple[Ids, Array]:
    flat = corner_squares(board)[ids]
    side = _typical_side(flat, points)
    _, inside = cv2.findHomography(flat, points, cv2.RANSAC, max(3.0, 0.25 * side))
    if inside is None:
        return ids[:0], points[:0]
    keep = inside.reshape(-1).astype(bool)
    return ids[keep], points[keep]


def _typical_side(squares: Array, points: Array) -> float:
    """Of a square in the photograph, pixels, from the distances of all pairs of corners."""
    between = np.hypot(*(squares[:, None] - squares[None]).transpose(2, 0, 1))
    apart = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    near = (between > 0.0) & (between < 1.5)
    if not near.any():
        near = between > 0.0
    return float(np.median(apart[near] / between[near]))


def refined_corners(grey: Grey, board: Board, ids: Ids, points_px: Array, subject: str) -> Corners:
    """Refine corners that are roughly known, and find those beside them, out to the last."""
    squares = corner_squares(board)
    whole = whole_corners(board)
    light = linear(grey)
    plain = Plain(board.margin, board.cell / board.square if board.bits else 0.0)
    known = np.zeros(len(squares), np.bool_)
    known[ids] = True
    points = np.full((len(squares), 2), np.nan)
    points[ids] = points_px
    sd, blur = np.full(len(squares), np.inf), np.full(len(squares), np.nan)
    tried = np.zeros(len(squares), np.bool_)
    for _ in range(6):
        place = photo_from_squares(squares[known], points[known])
        apart = np.abs(squares[:, None] - squares[None, known]).max(axis=2).min(axis=1)
        chosen = np.flatnonzero((apart < 1.5) & whole & ~tried)
        tried[chosen] = True
        if not len(chosen):
            break
        result = refined(light, place, squares[chosen], plain)
        good = result.good
        points[chosen[good]], sd[chosen[good]] = result.points_px[good], result.sd_px[good]
        blur[chosen[good]] = result.blur_px[good]
        if int(np.isfinite(sd).sum()) < FEWEST_CORNERS:
            break
        known = np.isfinite(sd)
    found = np.flatnonzero(np.isfinite(sd))
    if len(found) < max(FEWEST_CORNERS, len(ids) // 2):
        # A strong tone curve or compression bends every edge; gradients still tell the corners.
        return _by_gradients(grey, board, ids, points_px, subject)
    found = found[_smooth(squares[found], points[found])]
    _check(squares[found], points[found], float(np.median(blur[found])), subject)
    return Corners(found.astype(np.int64), points[found], sd[found], float(np.median(blur[found])))


def _by_gradients(grey: Grey, board: Board, ids: Ids, points_px: Array, subject: str) -> Corners:
    squares = corner_squares(board)[ids]
    side = _typical_side(squares, points_px)
    window = int(np.clip(board.margin * side, 2, 15))
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 60, 0.001)
    start = points_px.astype(np.float32).reshape(-1, 1, 2)
    points = cv2.cornerSubPix(grey, start, (window, window), (-1, -1), stop).reshape(-1, 2)
    kept = (np.hypot(*(points - points_px).T) < FARTHEST * side) & whole_corners(board)[ids]
    if int(kept.sum()) >= FEWEST_CORNERS:
        # Another edge of a print draws a corner away; its neighbours tell.
        kept[kept] = _smooth(squares[kept], points[kept].astype(np.float64))
    if int(kept.sum()) < FEWEST_CORNERS:
        raise CalibrationError(
            f"{subject}: {len(ids)} corners of the board are there but only {int(kept.sum())} are "
            f"sharp, wanted {FEWEST_CORNERS}; hold still, in focus, without glare"
        )
    return Corners(ids[kept], points[kept].astype(np.float64))


def _smooth(squares: Array, points: Array) -> npt.NDArray[np.bool_]:
    """Corners that lie where the others put them, to a sixteenth of a square."""
    miss = np.hypot(*(points - photo_from_squares(squares, points)(squares)).T)
    out: npt.NDArray[np.bool_] = miss < max(0.06 * _typical_side(squares, points), 1.0)
    return out


def _check(squares: Array, points: Array, blur: float, subject: str) -> None:
    place = photo_from_squares(squares, points)
    across, down = (place(squares + way) - place(squares - way) for way in np.eye(2) / 2)
    wide, high = np.hypot(*across.T), np.hypot(*down.T)
    area = np.abs(across[:, 0] * down[:, 1] - across[:, 1] * down[:, 0])
    slant = float(np.median(area / np.maximum(wide, high) ** 2))
    side = min(float(np.median(wide)), float(np.median(high)))
    if slant < LEAST_SLANT:
        raise CalibrationError(
            f"{subject}: the view is too oblique (squares are seen {1 / slant:.0f} times as wide "
            "as high); hold the camera higher above the table"
        )
    if blur > MOST_BLUR * side:
        raise CalibrationError(
            f"{subject}: blurred by {blur:.1f} px on squares of {side:.0f} px; hold still, "
            "focus on the table, and give it more light"
        )
