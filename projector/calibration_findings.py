"""What to think of a calibration, in a cutter's words, and what would make it better."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from calibration.coverage import ROUGH_NOISE, covered, is_weak
from calibration.estimate import Estimate
from calibration.evidence import PhotoSight
from calibration.exposure import MOST_AT_LIMIT, part_at_limit
from calibration.record import Record
from calibration.table_map import TableMap, table_points
from calibration.uncertainty import NORMAL_95, error_map, length_error, metre_error, shares
from drafting.finding import Finding, judged
from projector.dated_record import dated_record, finding_lines

__all__ = ["camera_record", "exposure_findings", "findings_of", "taped_finding"]

ENOUGH_PHOTOGRAPHS = 3


def camera_record(found: Estimate, findings: Sequence[Finding]) -> Record:
    """The record of a map from photographs, with what was missed in them and what is told of it."""
    residuals = np.concatenate([part.residuals_px[~part.left_out] for part in found.missed])
    return dated_record(found.table_map, "camera", residuals, "px", finding_lines(findings))


def findings_of(
    found: Estimate, sights: Sequence[PhotoSight], tolerance: float
) -> tuple[Finding, ...]:
    """Length error, area, photographs, residuals, corners left out; `tolerance` in mm."""
    table_map = found.table_map
    metre, causes = metre_error(table_map), shares(table_map)
    radius = error_map(table_map).radius
    bad = float((radius > tolerance).mean())
    worse = "under 1%" if 0.0 < bad < 0.005 else f"{bad:.0%}"
    findings = [
        judged(
            metre <= tolerance,
            "a length of 1 m",
            f"right to ± {metre:.2f} mm (95 %), mostly from {causes[0].name}",
            f"± {tolerance:g} mm",
            _mend(causes[0].name, len(sights)),
        ),
        judged(
            bad == 0.0,
            "the lit area",
            f"± {float(np.median(radius)):.2f} mm at most places, ± {float(radius.max()):.2f} mm "
            f"at the worst; {worse} of it is worse than wanted",
            f"± {tolerance:g} mm everywhere",
            "Cut where the map is good, or add photographs.",
        ),
    ]
    around, weak = covered(found, sights), is_weak(found, sights)
    findings.append(
        judged(
            not weak,
            "photographs",
            f"{len(sights)}, with sheets around {around:.0%} of the lit area"
            + (": a weak map" if weak else ""),
            f"{ENOUGH_PHOTOGRAPHS} or more, or four sheets around a third of it",
            "Take 3 to 6 photographs from all around, some steep, some with "
            "the camera turned by a quarter, of two sheets or more, far apart."
            + (
                " One photograph cannot show a sheet that does not lie flat on the table."
                if len(sights) == 1
                else ""
            ),
        )
    )
    if found.noise_ratio > ROUGH_NOISE:
        findings.append(
            Finding(
                "warning",
                "residuals",
                f"{found.rms_px:.2f} px rms, {found.noise_ratio:.1f} times what corners should "
                "miss by",
                f"at most {ROUGH_NOISE:g} times",
                "Something is not flat or has moved, or the camera zoomed in between; smooth the "
                "sheet and photograph again.",
            )
        )
    for part in found.missed:
        lost = int(part.left_out.sum())
        if lost:
            findings.append(
                Finding(
                    "note",
                    f"{part.subject}, {part.board} board",
                    f"{lost} of {len(part.left_out)} corners were left out as gross",
                    "few",
                    "",
                )
            )
    if found.bow_gain is not None and table_map.bow is not None:
        findings.append(Finding("note", "table", "bowed; the bow is in the map", "flat", ""))
    return tuple(findings)


def exposure_findings(
    photographs: Sequence[tuple[npt.NDArray[np.uint8], PhotoSight]],
) -> tuple[Finding, ...]:
    """Of photographs in which a sheet is so bright that its edges cannot be trusted."""
    parts = [
        (sight.subject, part_at_limit(image, reference.photo_px))
        for image, sight in photographs
        for reference in sight.references
    ]
    return tuple(
        Finding(
            "warning",
            subject,
            f"overexposed: {part:.0%} of the sheet is as white as the camera can tell",
            f"at most {MOST_AT_LIMIT:.0%}",
            "Expose for the sheet; on dark cloth calibrate on the bare table first.",
        )
        for subject, part in parts
        if part > MOST_AT_LIMIT
    )


def taped_finding(
    table_map: TableMap,
    start_px: tuple[float, float],
    end_px: tuple[float, float],
    length: float,
    tape_sd: float = 0.7,
) -> Finding:
    """A distance between two lit pixels as the tape shows it, mm, against the map.

    `tape_sd` is a tape of class II read at both ends (common practice, no source).
    """
    ends = table_points(table_map, [start_px, end_px])
    mapped = float(np.hypot(*(ends[1] - ends[0])))
    allowed = float(np.hypot(length_error(table_map, ends[:1], ends[1:])[0], NORMAL_95 * tape_sd))
    return judged(
        abs(length - mapped) <= allowed,
        "the taped length",
        f"{length:.1f} mm by the tape, {mapped:.1f} mm by the map: {length - mapped:+.1f} mm",
        f"agreement to {allowed:.1f} mm",
        "Tape it again; if it stays, measure the sheet or the printed bar, and photograph "
        "again: the map is not to be cut by.",
        "stop",
    )


def _mend(cause: str, photographs: int) -> str:
    if "print" in cause:
        return "Measure the printed bar again with a steel rule, to a tenth of a millimetre."
    if photographs < ENOUGH_PHOTOGRAPHS:
        return "Take 3 to 6 photographs from all around the table."
    return "Add a second sheet far from the first, or photographs from the other sides."
