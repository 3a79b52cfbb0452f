"""What lies on the table with a known size, from the options of `calibrate`."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from calibration.board import PAPER, Board, printed_board
from calibration.evidence import PhotoSight, ReferenceSight
from calibration.homography import Array, fitted
from calibration.paper_edges import sheet_corners
from calibration.places import rectangle_corners
from calibration.ruled_corners import ruled_corners
from calibration.sighting import Printed
from projector.board_sheet import SCALE_BAR
from projector.commands.board_statement import parsed_board
from projector.errors import ProjectorError
from projector.photo import Photo, on_sensor
from projector.printed_bars import parsed_bars, printed_as

__all__ = ["Added", "added_references", "printed_boards"]

PAPER_SD = 0.002
"""How far office paper may be from its size, each way: ISO 216 allows 2 mm in 297 (from memory)."""
MEASURED_SD = 0.3
"""Of a side of a sheet measured with a steel rule, mm; common practice, no source."""
Added = Callable[[Photo, PhotoSight], tuple[ReferenceSight, ...]]


def printed_boards(
    papers: list[str] | None,
    bars: list[str] | None,
    bar_error: float,
    others: bool,
    stated: list[str] | None = None,
) -> tuple[Printed, ...]:
    """Boards 1, 2, ... as their bars were measured; one of A4 unless told otherwise.

    `stated` are boards that others printed, whose squares were measured.
    """
    papers = papers or ([] if others or stated else ["A4"])
    bars = bars or [f"{SCALE_BAR:g}"] * len(papers)
    if len(bars) == 1:
        bars = bars * len(papers)
    if len(bars) != len(papers):
        raise ProjectorError(
            f"--bar: found {len(bars)} lengths for {len(papers)} boards; give one each, or one"
        )
    ours = tuple(
        printed_as(
            f"board {number + 1}",
            printed_board(paper, number=number),
            parsed_bars("--bar", bar, bar_error),
        )
        for number, (paper, bar) in enumerate(zip(papers, bars, strict=True))
    )
    others_boards = []
    for text in stated or ():
        board = parsed_board("--board", text)
        long = max(board.columns, board.rows) * board.square
        others_boards.append(Printed(f"stated {text}", board, 1.0, bar_error / long))
    return (*ours, *others_boards)


def added_references(
    sheets: list[str] | None, mat: str, clicks: list[str] | None, screen: Board
) -> Added:
    """A function from a photograph, and what was seen in it, to further references."""
    if sheets and len(sheets) != 1:
        raise ProjectorError(f"--sheet: found {', '.join(sheets)}, wanted one; a hole holds one")
    size, sheet_sd = _sheet_size(sheets[0]) if sheets else ((0.0, 0.0), 0.0)
    if sheets and screen.hole is None:
        raise ProjectorError("--sheet: --hole is missing; a plain sheet is looked for in the hole")
    if bool(mat) != bool(clicks):
        raise ProjectorError("--mat and --click belong together; give both")
    corners = _rectangle(mat) if mat else None
    pending = [_places(text) for text in clicks or ()]

    def added(photo: Photo, sight: PhotoSight) -> tuple[ReferenceSight, ...]:
        references = []
        if sheets and screen.hole is not None:
            width, height = size
            matrix = fitted(sight.screen_px, sight.photo_px)
            found = sheet_corners(photo.image, matrix, screen.hole, photo.name)
            plane = rectangle_corners(0.0, 0.0, width, -height)
            references.append(
                ReferenceSight(
                    f"plain {sheets[0]}",
                    plane,
                    found.points_px,
                    along_sd=sheet_sd,
                    across_sd=sheet_sd,
                    noise_px=found.sd_px,
                )
            )
        if corners is not None:
            if not pending:
                raise ProjectorError(f"--click: missing for {photo.name}; give one a photograph")
            clicks = on_sensor(photo, pending.pop(0))
            seen = ruled_corners(photo.image, clicks, f"{photo.name}, mat")
            references.append(ReferenceSight("mat", corners, seen.points_px, noise_px=seen.sd_px))
        return tuple(references)

    return added


def _sheet_size(text: str) -> tuple[tuple[float, float], float]:
    """Long and short side, mm, of a paper or as measured; the share each may be off, 1 sd."""
    if text in PAPER:
        return PAPER[text], PAPER_SD
    long, _, short = text.lower().partition("x")
    try:
        sides = sorted((float(long), float(short)))
    except ValueError:
        sides = [0.0, 0.0]
    if not all(50.0 <= side <= 3000.0 for side in sides):
        raise ProjectorError(
            f"--sheet: found {text!r}, wanted {', '.join(PAPER)}, or its sides as measured, mm, "
            "such as 297.3x210.1"
        )
    return (sides[1], sides[0]), MEASURED_SD / sides[1]


def _rectangle(text: str) -> Array:
    width, _, height = text.lower().partition("x")
    try:
        sides = float(width), float(height)
    except ValueError:
        sides = (0.0, 0.0)
    if not all(10.0 <= side <= 10_000.0 for side in sides):
        raise ProjectorError(f"--mat: found {text!r}, wanted WIDTHxHEIGHT in mm, such as 900x600")
    return rectangle_corners(0.0, 0.0, *sides)


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
