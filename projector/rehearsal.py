"""The whole job on a simulated table: draft, check, lay, calibrate, light, and measure what is lit.

The judge of true scale is a second simulated photograph, of the lit lay. Where the table truly is
in it comes from the rig's own geometry; nothing of the map that lit the lines is known there.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from calibration.homography import mapped
from calibration.light import linear
from calibration.rig import Rig, photo_points
from calibration.table_map import Array, TableMap, lit_outline, screen_points
from drafting.allowance import cut_run, notch_strokes
from drafting.draft import Draft
from drafting.exchange.svg import written
from drafting.plan_drawing import plan_drawing
from drafting.plane import Motion
from projector.cloth.autolayout import arrange
from projector.cloth.lay_drawing import lay_drawing
from projector.cloth.layout import Layout, piece_key
from projector.cloth.yardage import used_length
from projector.demonstration import demonstration_job
from projector.drawing_png import png_bytes
from projector.errors import ProjectorError
from projector.file_names import file_names
from projector.files.writing import write_bytes, write_text
from projector.job import drafted, layout_of, pieces_of, with_layout
from projector.job_checks import job_findings
from projector.lit_lines import Sample, samples_along
from projector.rehearsal_pictures import png, reduced, with_corners
from projector.rehearsal_table import (
    Sighted,
    calibrated,
    judge_rig,
    lit_photograph,
    rehearsal_rig,
)
from projector.stage.canvas import drawn
from projector.stage.composition import compose
from projector.stage.picture import Picture, bounds_of
from projector.stage.session import LAYERS, Session
from projector.true_scale import (
    ScaleError,
    check_grid,
    expected_cutting,
    expected_notches,
    joined,
    measured,
)

__all__ = ["STEPS", "rehearse"]

STEPS = (
    "draft the pieces",
    "lay them on the cloth",
    "check the job",
    "photograph the boards and calibrate",
    "light the lay and photograph it",
    "measure what is lit",
)
GRID_STEP = 100.0
GRID_CLEAR = 14.0
EDGE_CLEAR = 12.0
"""Lines this near to the edge of the light, mm, are not judged."""
FLATNESS = 0.05
MARGIN = 30.0
PICTURE_WIDTH = 1800.0


@dataclass(frozen=True, slots=True)
class _Lit:
    """How far what was lit lies off, mm."""

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
    drafts = drafted(job)
    _write_drafts(out, drafts)
    tell(STEPS[1])
    layout = arrange(layout_of(job, pieces_of(job)), seed)
    drawing = lay_drawing(layout, job.name)
    write_bytes(out / "lay.png", png_bytes(drawing, PICTURE_WIDTH / drawing.box.width))
    tell(STEPS[2])
    findings = [
        {"about": about, **asdict(finding)}
        for about, found in job_findings(with_layout(job, layout))
        for finding in found
    ]
    tell(STEPS[3])
    rig = rehearsal_rig(seed)
    seen = calibrated(rig, seed)
    _write_calibration(out, seen)
    tell(STEPS[4])
    lit = _lit(out, judge_rig(rig), seen, layout, seed, lambda: tell(STEPS[5]))
    figures = {
        "seed": seed,
        **_lit_figures(lit),
        "yardage_mm": used_length(layout),
        "findings": findings,
        "seconds": time.perf_counter() - began,
    }
    write_text(out / "rehearsal.json", json.dumps(figures, indent=2, allow_nan=False) + "\n")
    return figures


def _write_drafts(out: Path, drafts: tuple[Draft, ...]) -> None:
    for made in drafts:
        drawing = plan_drawing(made)
        write_bytes(out / f"plan-{made.size}.png", png_bytes(drawing, 1.6))
        for piece, name in zip(made.pieces, file_names(made.pieces), strict=True):
            write_bytes(out / f"{name}.svg", written(piece))


def _write_calibration(out: Path, seen: Sighted) -> None:
    for number, (photo, projected, printed) in enumerate(seen.photographs, 1):
        marked = with_corners(photo, projected, (255, 96, 0))
        marked = with_corners(marked, printed, (0, 200, 120))
        write_bytes(out / f"calibration-{number}.png", png(reduced(marked)))


def _lit_figures(lit: _Lit) -> dict[str, Any]:
    worst = {
        name: max(getattr(part, name) for part in (lit.cutting, lit.notches, lit.grid))
        for name in ("median", "p95", "max")
    }
    return {
        "true_scale_error_mm": worst,
        "measured_on": {
            "cutting_lines": asdict(lit.cutting),
            "notches": asdict(lit.notches),
            "check_grid": asdict(lit.grid),
        },
    }


def _lit(
    out: Path, rig: Rig, seen: Sighted, layout: Layout, seed: int, tell: Callable[[], None]
) -> _Lit:
    area = lit_outline(seen.table_map)
    low = area.min(axis=0)
    on_table = Motion(0.0, float(low[0]) + MARGIN + 20.0, float(low[1]) + MARGIN + 20.0)
    session = Session(layout, on_table)
    shown = {
        "all": replace(session, layers=frozenset(LAYERS)),
        "lines": replace(session, layers=frozenset(("cutting line", "notches"))),
        "grid": replace(_bare(session), layers=frozenset(("100 mm squares",))),
    }
    pictures = {what: compose(state, seen.table_map) for what, state in shown.items()}
    photos = {
        what: lit_photograph(rig, drawn(picture), (seed, shot))
        for shot, (what, picture) in enumerate(pictures.items(), 2)
    }
    write_bytes(out / "lit-table.png", png(reduced(photos["all"])))
    tell()
    lines = {}
    for piece in layout.pieces:
        run, closed = cut_run(piece, FLATNESS)
        lines[piece_key(piece)] = (*run, run[0]) if closed else run
    notches = {
        piece_key(piece): tuple((inner, outer) for _, inner, outer in notch_strokes(piece))
        for piece in layout.pieces
    }
    in_light = _inside(seen.table_map)
    grid = _off_words(_off_crossings(check_grid(area, GRID_STEP)), pictures["grid"], seen.table_map)

    def judged(photo: str, sample: Sample, what: str) -> ScaleError:
        brightness = linear(photos[photo]).mean(axis=2).astype(np.float64)
        return measured(brightness, lambda t: _in_photo(rig, seen, t), sample, what)[0]

    return _Lit(
        judged("lines", in_light(expected_cutting(layout, on_table, lines)), "the cutting lines"),
        judged("lines", in_light(expected_notches(layout, on_table, notches)), "the notches"),
        judged("grid", grid, "the check grid"),
    )


def _off_words(sample: Sample, picture: Picture, table_map: TableMap) -> Sample:
    """Places whose line no words of the picture run into."""
    x, y = screen_points(table_map, sample.points).T
    clear = np.ones(len(x), dtype=bool)
    for part in picture.parts:
        for writing in part.writings:
            left, top, right, bottom = bounds_of(picture.screen_size, (), (writing,))
            clear &= (x < left) | (x > right) | (y < top) | (y > bottom)
    return Sample(sample.points[clear], sample.normals[clear])


def _bare(session: Session) -> Session:
    return replace(session, layout=replace(session.layout, placements=()))


def _in_photo(rig: Rig, seen: Sighted, table: Array) -> Array:
    """Points of the map's table frame, which is that of the sheet, in the rig's photograph."""
    return photo_points(rig, mapped(seen.table_from_sheet, table))


def _inside(table_map: TableMap) -> Callable[[Sample], Sample]:
    well_lit = shapely.Polygon(lit_outline(table_map)).buffer(-EDGE_CLEAR, join_style="mitre")

    def kept(sample: Sample) -> Sample:
        inside = np.asarray(shapely.contains_xy(well_lit, sample.points))
        return Sample(sample.points[inside], sample.normals[inside])

    return kept


def _off_crossings(grid: tuple[Array, ...]) -> Sample:
    samples = []
    for line in grid:
        sample = samples_along(line, 10.0, GRID_CLEAR)
        from_crossing = np.abs((sample.points + GRID_STEP / 2) % GRID_STEP - GRID_STEP / 2)
        clear = from_crossing.max(axis=1) > GRID_CLEAR
        samples.append(Sample(sample.points[clear], sample.normals[clear]))
    return joined(samples)
