"""What lies on the table with a known size, from the options of `calibrate`."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from calibration.board import PAPER, Board, printed_board
from calibration.evidence import PhotoSight, ReferenceSight
from calibration.homography import Array, fitted
from calibration.paper_edges import sheet_corners
from calibration.sighting import Printed
from projector.board_sheet import SCALE_BAR
from projector.errors import ProjectorError
from projector.photo import Photo

__all__ = ["Added", "added_references", "printed_boards"]

PAPER_SD = 0.002
"""How far office paper may be from its size, each way: ISO 216 allows 2 mm in 297 (from memory)."""
CLICK_PX = 1.0
Added = Callable[[Photo, PhotoSight], tuple[ReferenceSight, ...]]


def printed_boards(
    papers: list[str] | None, bars: list[float] | None, bar_error: float, others: bool
) -> tuple[Printed, ...]:
    """Boards 1, 2, ... with the measured lengths of their bars; one of A4 unless told otherwise."""
    papers = papers or ([] if others else ["A4"])
    bars = bars or [SCALE_BAR] * len(papers)
    if len(bars) == 1:
        bars = bars * len(papers)
    if len(bars) != len(papers):
        raise ProjectorError(
            f"--bar: found {len(bars)} lengths for {len(papers)} boards; give one each, or one"
        )
    return tuple(
        Printed(
            f"board {number + 1}",
            printed_board(paper, number=number),
            bar / SCALE_BAR,
            bar_error / SCALE_BAR,
        )
        for number, (paper, bar) in enumerate(zip(papers, bars, strict=True))
    )


def added_references(
    sheets: list[str] | None, mat: str, clicks: list[str] | None, screen: Board
) -> Added:
    """A function from a photograph, and what was seen in it, to further references."""
    if sheets and (len(sheets) != 1 or sheets[0] not in PAPER):
        raise ProjectorError(f"--sheet: found {', '.join(sheets)}, wanted A4, A3 or Letter, once")
    if sheets and screen.hole is None:
        raise ProjectorError("--sheet: --hole is missing; a plain sheet is looked for in the hole")
    if bool(mat) != bool(clicks):
        raise ProjectorError("--mat and --click belong together; give both")
    corners = _rectangle(mat) if mat else None
    pending = [_places(text) for text in clicks or ()]

    def added(photo: Photo, sight: PhotoSight) -> tuple[ReferenceSight, ...]:
        references = []
        if sheets and screen.hole is not None:
            width, height = PAPER[sheets[0]]
            matrix = fitted(sight.screen_px, sight.photo_px)
            found = sheet_corners(photo.image, matrix, screen.hole, photo.name)
            plane = np.array([[0.0, 0.0], [width, 0.0], [width, -height], [0.0, -height]])
            references.append(
                ReferenceSight(
                    f"plain {sheets[0]}",
                    plane,
                    found.points_px,
                    scale_sd=PAPER_SD,
                    stretch_sd=PAPER_SD,
                    noise_px=found.sd_px,
                )
            )
        if corners is not None:
            if not pending:
                raise ProjectorError(f"--click: missing for {photo.name}; give one a photograph")
            references.append(ReferenceSight("mat", corners, pending.pop(0), noise_px=CLICK_PX))
        return tuple(references)

    return added


def _rectangle(text: str) -> Array:
    width, _, height = text.lower().partition("x")
    try:
        sides = float(width), float(height)
    except ValueError:
        sides = (0.0, 0.0)
    if not all(10.0 <= side <= 10_000.0 for side in sides):
        raise ProjectorError(f"--mat: found {text!r}, wanted WIDTHxHEIGHT in mm, such as 900x600")
    return np.array([[0.0, 0.0], [sides[0], 0.0], [sides[0], sides[1]], [0.0, sides[1]]])


def _places(text: str) -> Array:
    try:
        places = [[float(value) for value in part.split(",")] for part in text.split()]
        if len(places) == 4 and all(len(place) == 2 for place in places):
            return np.array(places)
    except ValueError:
        pass
    raise ProjectorError(
        f"--click: found {text!r}, wanted four corners, near left, near right, far right, far "
        'left, such as "410,2200 3300,2240 3010,800 690,790"'
    )
