"""Tape against light: what was read along the lit ruler, and what that says of the calibration."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calibration.errors import CalibrationError
from calibration.table_map import TableMap
from calibration.uncertainty import length_error
from drafting.errors import DraftingError
from drafting.plane import distance
from drafting.units import parsed_length
from projector.decimal_point import with_point
from projector.errors import ProjectorError
from projector.stage.session import Reading, Ruler

__all__ = ["Verdict", "predicted_error", "read_tape", "verdict_of"]

TAPE_ERROR = 0.7
"""95 % of a reading by eye against a lit line, mm, beside the tape's own error
(common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a tape reading says.

    Parameters
    ----------
    off
        Tape less light, mm.
    allowed
        95 % bound of an honest difference: the map's own predicted error, a class II tape's
        (0.3 + 0.2 L mm, L in m: European directive 2014/32/EU, annex X) and the reading's.
    fine
        Whether the difference is within it.
    words
        The verdict in one line.
    """

    off: float
    allowed: float
    fine: bool
    words: str


def predicted_error(table_map: TableMap, ruler: Ruler | Reading) -> float | None:
    """95 % error of the ruler's length, mm; None for a map that does not say how sure it is."""
    try:
        error = length_error(
            table_map, [(ruler.start.x, ruler.start.y)], [(ruler.end.x, ruler.end.y)]
        )
    except CalibrationError:
        return None
    return float(error[0])


def read_tape(ruler: Ruler) -> Reading:
    """The reading typed so far: bare digits are millimetres, "100.2 cm" works too.

    Raises `ProjectorError` when it is no length, or so far off that it must be a slip of typing.
    """
    shown = distance(ruler.start, ruler.end)
    try:
        tape = parsed_length(with_point(ruler.typed), "mm")
    except DraftingError as error:
        raise ProjectorError(f"tape: {ruler.typed!r} is no length; type for example 1001.5") from (
            error
        )
    if not 0.8 * shown < tape < 1.25 * shown:
        raise ProjectorError(
            f"tape: {tape:g} mm against {shown:.0f} mm of light must be a slip; read and type again"
        )
    return Reading(ruler.start, ruler.end, tape)


def verdict_of(reading: Reading, error: float | None) -> Verdict:
    """What the reading says of the map; `error` is `predicted_error`, mm.

    For a map that does not say how sure it is, 1 mm in 1000 mm is asked of it.
    """
    shown = distance(reading.start, reading.end)
    own = error if error is not None else shown / 1000.0
    tape = 0.3 + 0.2 * shown / 1000.0
    allowed = float(np.sqrt(own**2 + tape**2 + TAPE_ERROR**2))
    off = reading.tape - shown
    fine = abs(off) <= allowed
    measured = f"{shown:.0f} mm of light, {reading.tape:.1f} mm of tape: {off:+.1f} mm"
    words = (
        f"{measured}, within ±{allowed:.1f} mm: cut"
        if fine
        else f"{measured}, more than ±{allowed:.1f} mm: press F5 to calibrate afresh"
    )
    return Verdict(off, allowed, fine, words)
