"""The two bars of a printed board as a steel rule found them, and the board as it was printed."""

from __future__ import annotations

from dataclasses import dataclass

from calibration.board import Board
from calibration.sighting import Printed
from drafting.errors import DraftingError
from drafting.units import parsed_length
from projector.board_sheet import ACROSS_BAR, SCALE_BAR
from projector.decimal_point import with_point
from projector.errors import ProjectorError

__all__ = [
    "AS_DRAWN",
    "BARS_ASKED",
    "BAR_ERROR",
    "PrintedBars",
    "parsed_bars",
    "printed_as",
    "told_bars",
]

BAR_ERROR = 0.1
"""Of a bar read with a steel rule, mm, standard deviation."""
UNEVEN_SD = 0.001
"""Share by which a printer's two directions differ, of a sheet whose second bar was not measured:
the rollers carry the paper one way, the beam or the head goes the other; common practice, no
source."""
KNOWN_TRUE = 0.02
"""Surer than this of a bar, mm, than any rule can tell: a sheet known to be true, as drawn ones."""
BARS_ASKED = "Both printed bars, measured with a steel rule to a tenth of a mm: 199.6 x 149.8"
BAR_LIMITS = (0.9, 1.1)


@dataclass(frozen=True, slots=True)
class PrintedBars:
    """Measured lengths, mm: of the long bar, of the one up the sheet (None: not measured)."""

    along: float = SCALE_BAR
    across: float | None = None
    error: float = BAR_ERROR


AS_DRAWN = PrintedBars()


def parsed_bars(option: str, text: str, error: float = BAR_ERROR) -> PrintedBars:
    """The bars from "199.6" or "199.6x149.8", mm where no unit is told."""
    parts = text.lower().replace("\u00d7", "x").split("x")
    try:
        lengths = [parsed_length(with_point(part), "mm") for part in parts]
    except DraftingError:
        lengths = []
    low, high = BAR_LIMITS
    nominal = (SCALE_BAR, ACROSS_BAR)
    if not 1 <= len(lengths) <= 2 or not all(
        low <= length / drawn <= high for length, drawn in zip(lengths, nominal, strict=False)
    ):
        raise ProjectorError(
            f"{option}: found {text!r}, wanted the printed bars as measured in mm, such as 199.6 "
            f"or 199.6x149.8 (they are drawn {SCALE_BAR:g} and {ACROSS_BAR:g} mm long)"
        )
    return PrintedBars(lengths[0], lengths[1] if len(lengths) == 2 else None, error)


def told_bars(bars: PrintedBars) -> str:
    """In mm, as `parsed_bars` reads them."""
    return f"{bars.along:g}" + ("" if bars.across is None else f" x {bars.across:g}")


def printed_as(name: str, board: Board, bars: PrintedBars) -> Printed:
    """The board at the size that its bars tell.

    With both bars each direction has its own scale. With the long one alone the other direction
    is taken to be the same, as sure as `UNEVEN_SD`, unless the bar is surer than `KNOWN_TRUE`.
    """
    along, of_bar = bars.along / SCALE_BAR, bars.error / SCALE_BAR
    if bars.across is None:
        uneven = UNEVEN_SD if bars.error > KNOWN_TRUE else 0.0
        return Printed(name, board, along, of_bar, across_sd=uneven)
    across, of_second = bars.across / ACROSS_BAR, bars.error / ACROSS_BAR
    return Printed(name, board, along, 0.0, across / along, of_bar, of_second)
