"""A board that others printed, as it is stated on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from projector.errors import ProjectorError

if TYPE_CHECKING:
    from calibration.board import Board

__all__ = ["BARS_HELP", "STATEMENT_HELP", "parsed_board"]

BARS_HELP = "The printed bars as measured, mm: the long one, 199.6, or better both, 199.6x149.8."
STATEMENT_HELP = (
    "COLUMNSxROWS of squares, side of a square in mm, and for a coded board the side of its "
    "markers and their dictionary: 10x7,25 or 5x7,40,20,6X6_250 (,legacy as before OpenCV 4.6)."
)


def parsed_board(option: str, text: str) -> Board:
    """A board from "5x7,40,20,6X6_250,legacy" or, plain, "10x7,25"; squares, not inner corners."""
    from calibration.board import stated_board  # slow to load, and its help is asked for first

    wrong = ProjectorError(f"{option}: found {text!r}, wanted {STATEMENT_HELP}")
    size, *rest = (part.strip() for part in text.split(","))
    legacy = bool(rest) and rest[-1].lower() == "legacy"
    lengths = rest[:-1] if legacy else rest
    if len(lengths) not in (1, 3):
        raise wrong
    columns, _, rows = size.lower().partition("x")
    try:
        counts = int(columns), int(rows)
        square = float(lengths[0])
        marker, dictionary = (float(lengths[1]), lengths[2]) if len(lengths) == 3 else (0.0, "")
    except ValueError as error:
        raise wrong from error
    if not (max(counts) <= 100 and 0.5 <= square <= 1000.0 and 0.0 <= marker < square):
        raise wrong
    return stated_board(*counts, square, marker, dictionary, legacy)
