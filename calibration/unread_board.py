"""Why a board is not read in a photograph: the cause that it shows itself, and the mend.

Asked only when reading has failed. Where the crossings of a checkerboard are seen (`crossings`),
their squares tell a view too oblique, a blur, squares too small, or a board that is another one.
Where not, the brightness is asked.
"""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt

from calibration.board import Board
from calibration.crossings import Lattice, seen_lattice
from calibration.errors import CalibrationError
from calibration.exposure import LIMIT
from calibration.homography import Array

__all__ = ["covered_over", "oblique", "of_lattice", "unread"]

Grey = npt.NDArray[np.uint8]

OBLIQUE = 0.42
"""Height over width of squares as seen, below which markers are lost to the view: 65 degrees."""
LEANING = 0.6
"""Height over width, below which a view from higher up shows small squares larger."""
MOST_BLUR, LEAST_BLUR_PX = 0.4, 1.25
"""Blur, of a marker's cell, that makes it unreadable; what every camera's picture has."""
LEAST_CELL_PX = 2.5
DARK, BRIGHT_PART = 40.0, 0.12
MANY = 2.2
"""Times the corners of a board, with which its markers' own crossings are counted in."""
LEAST_CONTRAST = 0.3
"""Of black and white in light, under which room light has drowned the projector's."""


def unread(
    grey: Grey, board: Board, subject: str, found: int = 0, largest_px: float = np.inf
) -> CalibrationError:
    """The error that tells why a board cannot be read in a grey picture (h, w).

    `found` corners were read, too few of them; `largest_px` is the side above which squares are
    those of another board.
    """
    few = f"{subject}: found {found} corners of the board, wanted 8 or more"
    lattice = seen_lattice(grey)
    if lattice is not None and lattice.long_px > largest_px:
        lattice = None
    bright = float(np.percentile(grey[::4, ::4], 99.0))
    if bright < DARK:
        return CalibrationError(
            f"{few}: the photograph is dark, its brightest places reach {bright:.0f} of 255; "
            "expose longer, or make the projector brighter"
        )
    if lattice is not None and lattice.count > MANY * (board.columns - 1) * (board.rows - 1):
        return CalibrationError(
            f"{few}: {lattice.count} crossings of squares are seen, more than a board has; a "
            "checked or printed cloth hides the board: calibrate on the bare table, or on plain "
            "cloth or paper laid over it"
        )
    if lattice is not None:
        return CalibrationError(
            f"{few}: {of_lattice(lattice, board) or _of_others(lattice, board, found)}"
        )
    part = float((grey >= LIMIT).mean())
    if part > BRIGHT_PART:
        return CalibrationError(
            f"{few}: overexposed, {part:.0%} of the photograph is as white as the camera can tell; "
            "expose for the sheet, and on dark cloth calibrate on the bare table first"
        )
    return CalibrationError(
        f"{few}: no checkerboard is seen; show all of it, lit on the whole screen or printed, "
        "from well above the table, in focus, without glare"
    )


def of_lattice(lattice: Lattice, board: Board) -> str:
    """What the lattice shows to be wrong with a photograph of the board, empty for nothing."""
    share = board.cell / board.square if board.bits else 0.25
    long, short = max(lattice.long_px, lattice.short_px), min(lattice.long_px, lattice.short_px)
    seen = f" (squares of {long:.0f} px are {long * lattice.slant:.0f} px high)"
    if slanted := oblique(lattice.slant, seen):
        return slanted
    small = share * short < LEAST_CELL_PX
    if lattice.blur_px > max(MOST_BLUR * share * short, LEAST_BLUR_PX):
        return (
            f"blurred by about {lattice.blur_px:.1f} px on squares of {short:.0f} px; hold still, "
            "focus on the table, and give it more light"
        )
    if small:
        return (
            f"its squares are only {short:.0f} px wide, too small for their markers to be read; "
            + ("hold the camera higher above the table and " if lattice.slant < LEANING else "")
            + "move closer, or take the photograph with more pixels"
        )
    if lattice.contrast < LEAST_CONTRAST:
        return (
            f"black and white differ by only {lattice.contrast:.0%}; darken the room, and keep "
            "lamps from the table"
        )
    return ""


def oblique(slant: float, seen: str = "") -> str:
    """What is wrong with a view in which squares are so high, parts of their width; empty for
    nothing. `seen` is what shows it."""
    if slant >= OBLIQUE:
        return ""
    lean = np.rad2deg(np.arccos(max(slant, 0.0)))
    return (
        f"the view is too oblique, about {lean:.0f} degrees off the upright{seen}; hold the camera "
        "higher above the table"
    )


def _of_others(lattice: Lattice, board: Board, found: int) -> str:
    if found:
        return (
            f"a checkerboard is seen, with {lattice.count} crossings, but most of its markers are "
            "covered, in glare or out of the picture; show all of it, clear, and keep lamps away"
        )
    if board.bits == 0:
        return (
            f"a checkerboard is seen, with {lattice.count} crossings, but not the whole of this "
            "one; show all of it, to its four corners, or light the coded board"
        )
    return (
        f"a checkerboard is seen, with {lattice.count} crossings, but none of this board's markers "
        "are read: it is the board of another screen or paper (a plain one needs --plain), or "
        "printed cloth, hands or glare hide them; calibrate on the bare table, clear of them"
    )


def covered_over(grey: Grey, outline_px: Array) -> Grey:
    """The picture with what lies within points (n, 2), pixels, made an even grey."""
    hull = cv2.convexHull(np.asarray(outline_px, np.float32).reshape(-1, 1, 2))
    middle, size, turn = cv2.minAreaRect(hull)
    wider = cv2.boxPoints((middle, (1.5 * size[0] + 8.0, 1.5 * size[1] + 8.0), turn))
    out = grey.copy()
    cv2.fillConvexPoly(out, np.rint(wider).astype(np.int32), float(np.median(grey)))
    return out
