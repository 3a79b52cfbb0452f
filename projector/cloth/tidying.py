"""Tidying by hand: a dropped piece slides out of overlap and up against its neighbours."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from drafting.plane import Motion
from projector.cloth.clearance import SLACK, crowded, overlaps, usable_area
from projector.cloth.fold_steps import blocked_shifts, first_free, joined, slabs_of
from projector.cloth.lay_problem import (
    forbidden,
    kept_clear,
    length_limit,
    part_of,
    slid,
    way_of,
)
from projector.cloth.layout import Layout, piece_of
from projector.cloth.search.problem import Array, Part, Problem, Way
from projector.cloth.shapes import orientations, placed_shape
from projector.cloth.stripes import stripe_rule

__all__ = ["tidied"]

REACH = 80.0
"""How far a piece slides at most in one step of the programme, mm along each axis."""


def tidied(layout: Layout, index: int, snug: bool = True, room: bool = False) -> Layout:
    """The layout after the placement `index` has slid to where it fits.

    The piece moves the least way out of any overlap; then, when `snug`, towards the cut end and
    the fold until it touches. Stripes and the fold hold it where they must. Nothing else moves,
    unless `room` is given: then pieces that are not locked make room for it. The layout is
    returned as it was when the piece is locked, lies at an angle the cloth does not allow, or
    finds no place near by.
    """
    from projector.cloth.search.compaction import compacted
    from projector.cloth.search.no_fit_table import table_of

    chosen = layout.placements[index]
    cloth = layout.cloth
    ways = [orientations(piece_of(layout, p), cloth, p.copy) for p in layout.placements]
    if chosen.locked or way_of(chosen.cloth_from_piece, ways[index]) is None:
        return layout
    known: dict[tuple[str, float, bool], Way] = {}
    parts: list[Part] = []
    obstacles = forbidden(cloth)
    movers: list[int] = []
    for k, placement in enumerate(layout.placements):
        piece = piece_of(layout, placement)
        way = way_of(placement.cloth_from_piece, ways[k])
        if placement.locked or way is None:
            obstacles.append(kept_clear(placed_shape(layout, placement), cloth.buffer))
        else:
            rule = stripe_rule(piece, cloth)
            parts.append(part_of(piece, ways[k][way : way + 1], cloth, rule, known))
            movers.append(k)
    problem = Problem(tuple(parts), tuple(obstacles), length_limit(cloth), cloth.buffer)
    table = table_of(problem, grids=False)
    form = np.concatenate((table.board.way_form, np.arange(table.first, len(table.forms))))
    place = np.zeros((len(form), 2))
    for row, k in enumerate(movers):
        motion = layout.placements[k].cloth_from_piece
        place[row] = motion.dx, motion.dy
    row = movers.index(index)
    before = place.copy()
    place[row] = _allowed(place[row], parts[row])
    free = np.arange(len(parts)) == row
    pull = (1e-3, 3e-4) if snug else (0.0, 0.0)
    width = float(table.board.span[:, 1].max() - table.board.span[:, 0].min())
    end = float((place[: len(parts), 0] + table.board.box[form[: len(parts)], 2]).max())
    if not snug and np.array_equal(place[row], before[row]) and not _overlaps(layout, index):
        return layout
    tries = [(reach, free) for reach in ((REACH,) if snug else (5.0, 20.0, REACH))]
    tries += [(REACH, None)] if room else []
    for reach, movable in tries:
        done = compacted(table, form, place, problem.limit, end, 5, reach, pull, movable)
        if done.overlap <= 1e-5 * width:
            break
    else:
        return _slipped(layout, index, parts[row], place[row]) or layout
    return slid(layout, movers, done.place[: len(movers)])


def _slipped(layout: Layout, index: int, part: Part, place: Array) -> Layout | None:
    """The piece in the nearest gap along the cloth, however narrow; None without one near by.

    Where pieces lie as close as they can, the only place may be one point, which no programme of
    inequalities slides into.
    """
    cloth, placement = layout.cloth, layout.placements[index]
    old = placement.cloth_from_piece
    x, y = _allowed(place, part)
    moved = replace(placement, cloth_from_piece=Motion(old.angle, x, y, old.mirrored))
    own = placed_shape(layout, moved)
    others = [placed_shape(layout, p) for k, p in enumerate(layout.placements) if k != index]
    # Round corners are polygons: a hair of room keeps a gap open that is there exactly.
    room = cloth.buffer - 0.1 * SLACK
    grown = [shapely.buffer(shape, room, quad_segs=64) for shape in others]
    corners = np.concatenate([shapely.get_coordinates(shape)[:, 1] for shape in (own, *grown)])
    heights = np.unique(corners)
    heights = heights[np.concatenate(([True], np.diff(heights) > 1e-6))]
    slabs = slabs_of(own, heights)
    begins, ends = joined([blocked_shifts(slabs_of(shape, heights), slabs) for shape in grown])
    back = [-end for end in reversed(ends)], [-begin for begin in reversed(begins)]
    step = max(float(part.step[0]), 0.0)
    least = max(0.0, -float(own.bounds[0]))
    shifts = (first_free((begins, ends), least, 0.0, step), -first_free(back, 0.0, 0.0, step))
    length = min(length_limit(cloth), float(own.bounds[2]) + REACH)
    area = shapely.buffer(usable_area(cloth, length), SLACK)
    for shift in sorted(shifts, key=abs):
        motion = Motion(old.angle, x + shift, y, old.mirrored)
        there = replace(placement, cloth_from_piece=motion)
        placements = (*layout.placements[:index], there, *layout.placements[index + 1 :])
        found = replace(layout, placements=placements)
        near = abs(shift) <= REACH and shapely.covers(area, placed_shape(found, there))
        if near and not _overlaps(found, index):
            return found
    return None


def _overlaps(layout: Layout, index: int) -> bool:
    chosen = layout.placements[index]
    return any(chosen in pair for pair in (*overlaps(layout), *crowded(layout)))


def _allowed(place: Array, part: Part) -> tuple[float, float]:
    """The place nearest to this one that fold and stripes allow."""
    found = []
    for axis in (0, 1):
        at, step, phase = float(place[axis]), part.step[axis], part.ways[0].phase[axis]
        if step > 0.0:
            at = phase + round((at - phase) / step) * step
        found.append(phase if step < 0.0 else at)
    return found[0], found[1]
