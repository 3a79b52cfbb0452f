"""The whole job on a simulated table: draft, calibrate, lay, light, and measure what is lit.

The judge of true scale is the simulated camera above the table: it knows where the table truly is
in its picture and nothing of the map that lit the lines.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from calibration.homography import mapped
from calibration.table_map import Array, TableMap, lit_outline, screen_points
from drafting.allowance import cutting_line, notch_lines
from drafting.draft import draft
from drafting.exchange.svg import written
from drafting.plane import Motion
from drafting.style import Style
from drafting.survey import estimated_body
from projector import rehearsal_pictures as pictures
from projector import rehearsal_stand_in as parts
from projector.cloth.autolayout import arrange
from projector.cloth.layout import Layout, piece_key
from projector.cloth.shapes import placed_points
from projector.cloth.yardage import used_length
from projector.demonstration import demonstration_job
from projector.errors import ProjectorError
from projector.files.writing import write_bytes, write_text
from projector.job import layout_of
from projector.lit_lines import Sample, samples_along
from projector.true_scale import (
    ScaleError,
    check_grid,
    expected_cutting,
    expected_notches,
    joined,
    measured,
)

__all__ = ["STEPS", "rehearse"]

STEPS = ("draft the pieces", "lay them on the cloth", "calibrate", "light the lay", "measure")
GRID_STEP = 100.0
GRID_CLEAR = 14.0
FLATNESS = 0.05
SIZE = "S"
WEARER = {"bust": 840.0, "waist": 680.0, "hip": 920.0, "height": 1600.0}
"""An invented singer of the choir, mm."""
STYLE = Style(lift=0.5, sleeve=360.0, length=120.0, front_lower=40.0)
TABLE_FROM_CLOTH = Motion(0.0, 40.0, 70.0)


@dataclass(frozen=True, slots=True)
class _Lit:
    """What was lit and how far off it lies."""

    photo: pictures.Image
    cutting: ScaleError
    notches: ScaleError
    grid: ScaleError


def rehearse(
    out: Path, seed: int, tell: Callable[[str], None] = lambda step: None
) -> dict[str, Any]:
    """Do the whole job and write pictures and figures into a folder.

    Returns the figures of `rehearsal.json`. `tell` hears each of `STEPS` as it begins. Raises
    the errors of the packages when a part fails; nothing is made up in its place.
    """
    began = time.perf_counter()
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ProjectorError(f"{out}: cannot be made ({error.strerror or error})") from error
    tell(STEPS[0])
    job = demonstration_job()
    made = draft(estimated_body(dict(WEARER)), STYLE, SIZE)
    pieces = made.pieces
    for piece in pieces:
        write_bytes(out / f"{piece.name}-{SIZE}.svg", written(piece))
    tell(STEPS[1])
    layout = arrange(layout_of(job, pieces), seed)
    tell(STEPS[2])
    rig = parts.rig(seed)
    table_map = _calibrated(rig, out)
    tell(STEPS[3])
    lit = _lit(rig, table_map, layout)
    tell(STEPS[4])
    write_bytes(out / "lit-table.png", pictures.png(lit.photo))
    figures = {
        "seed": seed,
        "true_scale_error_mm": {
            name: max(
                getattr(lit.cutting, name), getattr(lit.notches, name), getattr(lit.grid, name)
            )
            for name in ("median", "p95", "max")
        },
        "measured_on": {
            "cutting_lines": asdict(lit.cutting),
            "notches": asdict(lit.notches),
            "check_grid": asdict(lit.grid),
        },
        "yardage_mm": used_length(layout),
        "findings": [asdict(finding) for finding in made.findings],
        "seconds": time.perf_counter() - began,
    }
    write_text(out / "rehearsal.json", json.dumps(figures, indent=2, allow_nan=False) + "\n")
    return figures


def _calibrated(rig: parts.Rig, out: Path) -> TableMap:
    white = np.ones((parts.SCREEN[1], parts.SCREEN[0], 3), np.float32)
    of_reference = parts.photograph(rig, white, True, 0)
    of_lit = parts.photograph(rig, parts.lit_board(), False, 1)
    table_map, reference, lit = parts.solved(of_reference, of_lit)
    marked = pictures.with_corners(of_lit, lit, (255, 96, 0))
    write_bytes(out / "calibration-projected.png", pictures.png(marked))
    marked = pictures.with_corners(of_reference, reference, (0, 160, 90))
    write_bytes(out / "calibration-printed.png", pictures.png(marked))
    return table_map


def _lit(rig: parts.Rig, table_map: TableMap, layout: Layout) -> _Lit:
    lines = {piece_key(piece): cutting_line(piece, FLATNESS) for piece in layout.pieces}
    on_table = [
        placed_points([*lines[p.piece], lines[p.piece][0]], TABLE_FROM_CLOTH @ p.cloth_from_piece)
        for p in layout.placements
    ]
    notches = {
        piece_key(piece): tuple((seam, cut) for _, seam, cut in notch_lines(piece))
        for piece in layout.pieces
    }
    on_table += [
        placed_points(line, TABLE_FROM_CLOTH @ p.cloth_from_piece)
        for p in layout.placements
        for line in notches[p.piece]
    ]
    photo = _photograph_of(rig, table_map, on_table, 2)
    cutting = expected_cutting(layout, TABLE_FROM_CLOTH, lines)
    marks = expected_notches(layout, TABLE_FROM_CLOTH, notches)
    area = lit_outline(TableMap(rig.table_from_screen, parts.SCREEN))
    grid = check_grid(area, GRID_STEP, 30.0)
    of_grid = _photograph_of(rig, table_map, grid, 3)
    return _Lit(
        photo,
        _judged(rig, photo, cutting, "the cutting lines"),
        _judged(rig, photo, marks, "the notches"),
        _judged(rig, of_grid, _off_crossings(grid), "the check grid"),
    )


def _photograph_of(
    rig: parts.Rig, table_map: TableMap, lines: Sequence[Array], shot: int
) -> pictures.Image:
    on_screen = [screen_points(table_map, line) for line in lines]
    screen = pictures.with_lines(parts.SCREEN, on_screen)
    return parts.photograph(rig, screen, False, shot)


def _off_crossings(grid: Sequence[Array]) -> Sample:
    samples = []
    for line in grid:
        sample = samples_along(line, 10.0)
        from_crossing = np.abs((sample.points + GRID_STEP / 2) % GRID_STEP - GRID_STEP / 2)
        clear = from_crossing.max(axis=1) > GRID_CLEAR
        samples.append(Sample(sample.points[clear], sample.normals[clear]))
    return joined(samples)


def _judged(rig: parts.Rig, photo: pictures.Image, sample: Sample, what: str) -> ScaleError:
    brightness = parts.linear(photo).mean(axis=2)
    return measured(brightness, lambda table: mapped(rig.photo_from_table, table), sample, what)[0]
