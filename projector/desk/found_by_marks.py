"""Maps found at the desk without a camera: by crosshairs on known marks, and by taped lengths."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from calibration import nudging, tape
from calibration.table_map import TableMap
from calibration.uncertainty import metre_error
from drafting.finding import Finding, judged
from projector.dated_record import dated_record, finding_lines
from projector.desk.calibrating import TOLERANCE, Found
from projector.desk.mark_routes import known_marks, screen_places
from projector.desk.table_part import TablePart

__all__ = ["found_by_hand", "found_by_tape"]

NEAR = 0.8
"""How far crosshairs may miss their marks by, mm rms, before the worker is to go round again;
common practice, no source."""


def found_by_hand(part: TablePart, size: tuple[int, int]) -> Found:
    """The map of crosshairs put onto the known marks, on a screen of this size in pixels."""
    found = nudging.solve(known_marks(part), screen_places(part, size), size)
    findings = [_metre(found.table_map)]
    if found.suspects:
        wrong = ", ".join(str(index + 1) for index in found.suspects)
        findings.append(
            Finding("warning", f"mark {wrong}", "contradicts the others", "marks that agree",
                    "Put its crosshair again, or check the mark.")
        )  # fmt: skip
    findings.append(
        judged(
            found.rms < NEAR,
            "crosshairs",
            f"miss their marks by {found.rms:.2f} mm rms",
            f"at most {NEAR:g} mm",
            "Go round once more with the fine step.",
        )
    )
    return _found(found.table_map, "by hand", found.residuals, findings)


def found_by_tape(part: TablePart, size: tuple[int, int]) -> Found:
    """The map of lengths taped between the lit marks of a screen of this size in pixels."""
    lengths = [(first, second, length) for (first, second), length in part.lengths]
    found = tape.solve(tape.lit_marks(size), lengths, size)
    findings = [_metre(found.table_map)]
    for index in found.suspects:
        first, second, length = lengths[index]
        findings.append(
            Finding("warning", f"{first + 1} to {second + 1}", f"{length:.1f} mm does not fit",
                    "lengths that agree", "Measure it again.")
        )  # fmt: skip
    typable = {frozenset(pair) for pair in tape.TEN_LENGTHS}
    if found.next_length is not None and frozenset(found.next_length) in typable:
        first, second = found.next_length
        findings.append(
            Finding("note", "one more length", f"{first + 1} to {second + 1} would help most",
                    "none", "Measure it when the error is too large.")
        )  # fmt: skip
    return _found(found.table_map, "tape", np.reshape(found.residuals, (-1, 1)), findings)


def _metre(table_map: TableMap) -> Finding:
    error = metre_error(table_map)
    return judged(
        error <= TOLERANCE,
        "a length of 1 m",
        f"right to ± {error:.2f} mm (95 %)",
        f"± {TOLERANCE:g} mm",
        "Measure more, or calibrate by camera.",
    )


def _found(
    table_map: TableMap,
    route: str,
    residuals: npt.NDArray[np.float64],
    findings: list[Finding],
) -> Found:
    record = dated_record(table_map, route, residuals, "mm", finding_lines(findings))
    return Found(record, tuple(findings))
