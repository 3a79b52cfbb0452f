"""How far the lit lines lie from where they should, over the whole lit area."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from drafting.plane import Motion, Point
from projector.cloth.layout import Layout
from projector.cloth.shapes import placed_points
from projector.errors import ProjectorError
from projector.lit_lines import Array, Offsets, Sample, offsets, samples_along

__all__ = ["ScaleError", "check_grid", "expected_cutting", "expected_notches", "joined", "measured"]

LEAST_SEEN = 0.5
"""A picture in which fewer of the places are seen than this part says nothing."""


@dataclass(frozen=True, slots=True)
class ScaleError:
    """Distances across the lines, mm, with how many places were looked at and seen."""

    median: float
    p95: float
    max: float
    looked: int
    seen: int


def expected_cutting(
    layout: Layout,
    table_from_cloth: Motion,
    cutting_lines: Mapping[str, Sequence[Point]],
    spacing: float = 15.0,
    clear: float = 8.0,
) -> Sample:
    """Places on every cutting line of the lay, on the table, every `spacing` mm, none within
    `clear` mm of a corner or of another piece's line.

    `cutting_lines` are in the piece frame, by the name placements know a piece by; a closed one
    ends where it began.
    """
    lines = []
    for placement in layout.placements:
        line = cutting_lines[placement.piece]
        motion = table_from_cloth @ placement.cloth_from_piece
        lines.append(placed_points(line, motion))
    strings = [shapely.LineString(line) for line in lines]
    samples = []
    for number, lit in enumerate(lines):
        sample = samples_along(lit, spacing, clear)
        # Where a neighbour's line lies beside this one, the light cannot be told apart.
        others = shapely.union_all(strings[:number] + strings[number + 1 :])
        if not others.is_empty:
            away = np.asarray(shapely.distance(shapely.points(sample.points), others))
            sample = Sample(sample.points[away > clear], sample.normals[away > clear])
        samples.append(sample)
    return joined(samples)


def expected_notches(
    layout: Layout,
    table_from_cloth: Motion,
    notch_lines: Mapping[str, Sequence[tuple[Point, Point]]],
) -> Sample:
    """The middle of every notch line of the lay, looked across, on the table."""
    samples = []
    for placement in layout.placements:
        motion = table_from_cloth @ placement.cloth_from_piece
        for on_seam, on_cut in notch_lines[placement.piece]:
            ends = placed_points([on_seam, on_cut], motion)
            samples.append(samples_along(ends, 2.0 * float(np.hypot(*(ends[1] - ends[0])))))
    return joined(samples)


def check_grid(outline: Array, step: float = 100.0, margin: float = 20.0) -> tuple[Array, ...]:
    """Lines of a square grid over the lit area, each (2, 2), mm on the table.

    `outline` are the corners of the lit area, convex, in turn. Each line is cut off `margin` mm
    inside the outline.
    """
    lines = []
    for axis in (0, 1):
        low, high = outline[:, axis].min(), outline[:, axis].max()
        for level in np.arange(np.ceil((low + margin) / step) * step, high - margin, step):
            span = _span_at(outline, axis, float(level))
            if span is not None and span[1] - span[0] > 4.0 * margin:
                ends = np.empty((2, 2))
                ends[:, axis] = level
                ends[:, 1 - axis] = span[0] + margin, span[1] - margin
                lines.append(ends)
    return tuple(lines)


def _span_at(outline: Array, axis: int, level: float) -> tuple[float, float] | None:
    crossings = []
    for start, end in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        low, high = start[axis], end[axis]
        if (low - level) * (high - level) < 0.0:
            t = (level - low) / (high - low)
            crossings.append(float(start[1 - axis] + t * (end[1 - axis] - start[1 - axis])))
    return (min(crossings), max(crossings)) if len(crossings) == 2 else None


def joined(samples: Sequence[Sample]) -> Sample:
    """All places of several samples as one."""
    if not samples:
        return Sample(np.empty((0, 2)), np.empty((0, 2)))
    return Sample(
        np.concatenate([sample.points for sample in samples]),
        np.concatenate([sample.normals for sample in samples]),
    )


def measured(
    brightness: Array,
    picture_from_table: Callable[[Array], Array],
    sample: Sample,
    what: str,
    reach: float = 4.0,
) -> tuple[ScaleError, Offsets]:
    """The error over all places that are seen.

    Raises `ProjectorError` when fewer than half of them are: then the lines are not where they
    could be measured at all, and no figure is made up.
    """
    found = offsets(brightness, picture_from_table, sample, reach)
    seen = np.abs(found.across[np.isfinite(found.across)])
    looked = len(found.across)
    if looked == 0 or len(seen) < LEAST_SEEN * looked:
        raise ProjectorError(
            f"of {looked} places on {what} only {len(seen)} show a single lit line within "
            f"{reach:g} mm; the light is off by more, or the picture is too dark"
        )
    median, p95, most = np.percentile(seen, [50.0, 95.0, 100.0])
    return ScaleError(float(median), float(p95), float(most), looked, len(seen)), found
