"""A layout as a problem of plain polygons, with every rule of the cloth in it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from drafting.piece import Piece
from drafting.plane import Motion
from projector.cloth.cloth import CLEAR_OF_FOLD, Cloth, usable_span
from projector.cloth.fold_pieces import fold_pieces, row_on_fold
from projector.cloth.layout import Layout, Placement, piece_key, piece_of
from projector.cloth.search.first_lay import first_lay
from projector.cloth.search.problem import Array, Part, Problem, Spot, Way, outline_array
from projector.cloth.search.verification import faults
from projector.cloth.shapes import (
    lay_shape,
    lies_on_fold,
    moved_shape,
    off_grain,
    orientations,
    placed_shape,
    tilt_allowed,
    wanted_copies,
)
from projector.cloth.stripes import StripeRule, stripe_rule
from projector.errors import ProjectorError

__all__ = [
    "LayProblem",
    "forbidden",
    "kept_clear",
    "laid_at",
    "lay_problem",
    "length_limit",
    "lying",
    "part_of",
    "row_start",
    "slid",
    "spots_now",
    "way_of",
]


MOST_PIECES = 5_000
"""A first lay of so many takes some seconds where they are alike, a minute where they are not."""


@dataclass(frozen=True, slots=True, eq=False)
class LayProblem:
    """The problem, and what each of its parts and ways stands for.

    `copies[i]` is the piece and copy of part i, `turns[i]` its ways as (turn, mirrored).
    """

    layout: Layout
    problem: Problem
    copies: tuple[tuple[Piece, int], ...]
    turns: tuple[tuple[tuple[float, bool], ...], ...]


def lay_problem(layout: Layout, enough: float = 0.0) -> LayProblem:
    """What is to be laid on the cloth of a layout; locked placements are obstacles.

    Raises `ProjectorError` where a rule of the cloth cannot be obeyed by one of its pieces.
    """
    cloth = layout.cloth
    wanted = (cloth.shrinkage_along, cloth.shrinkage_across)
    for piece in layout.pieces:
        if piece.shrinkage != wanted:
            raise ProjectorError(
                f"cloth {cloth.name!r}: {piece_key(piece)} is not enlarged for what the cloth "
                "shrinks; lay the pieces that `allowed_for` returns"
            )
    locked = [placement for placement in layout.placements if placement.locked]
    there = {(placement.piece, placement.copy) for placement in locked}
    copies = tuple(c for c in wanted_copies(layout) if (piece_key(c[0]), c[1]) not in there)
    if len(copies) > MOST_PIECES:
        raise ProjectorError(
            f"cloth {cloth.name!r}: {len(copies)} pieces are more than the {MOST_PIECES} that are "
            "laid at a time; divide the job"
        )
    rules = {piece_key(piece): stripe_rule(piece, cloth) for piece, _ in copies}
    known: dict[tuple[str, float, bool], Way] = {}
    parts, turns = [], []
    lying = {(p.piece, p.copy): p.cloth_from_piece for p in layout.placements}
    for piece, copy in copies:
        ways = orientations(piece, cloth, copy)
        motion = lying.get((piece_key(piece), copy))
        if motion is not None and 0.0 < abs(off_grain(motion.angle)) <= tilt_allowed(piece, cloth):
            ways = (*ways, (motion.angle, motion.mirrored))  # it may stay as it lies
        turns.append(ways)
        parts.append(part_of(piece, ways, cloth, rules[piece_key(piece)], known))
    ends, obstacles = [], forbidden(cloth)
    for placement in locked:
        shape = placed_shape(layout, placement)
        ends.append(float(shape.bounds[2]))
        obstacles.append(kept_clear(shape, cloth.buffer))
    problem = Problem(
        tuple(parts),
        tuple(obstacles),
        length_limit(cloth),
        cloth.buffer,
        max(ends, default=0.0),
        enough,
    )
    return LayProblem(layout, problem, copies, tuple(turns))


def part_of(
    piece: Piece,
    ways: tuple[tuple[float, bool], ...],
    cloth: Cloth,
    rule: StripeRule,
    known: dict[tuple[str, float, bool], Way],
) -> Part:
    """A copy of a piece as the search knows it; `known` keeps ways that were made before."""
    low, high = usable_span(cloth)
    on_fold = lies_on_fold(piece, cloth)
    if cloth.folded and not on_fold:
        low += CLEAR_OF_FOLD
    along = cloth.repeat_along if rule.along is not None else 0.0
    across = cloth.repeat_across if rule.across is not None else 0.0
    made = []
    for turn, mirrored in ways:
        key = (piece_key(piece), turn, mirrored)
        if key not in known:
            motion = Motion(turn, 0.0, 0.0, mirrored)
            outline = outline_array(moved_shape(lay_shape(piece, cloth), motion).exterior.coords)
            x = y = 0.0
            if rule.along is not None:
                x = cloth.phase_along - motion(rule.along).x
            if rule.across is not None and not on_fold:
                y = cloth.phase_across - motion(rule.across).y
            known[key] = Way(outline, (x, y))
        made.append(known[key])
    return Part(tuple(made), (along, -1.0 if on_fold else across), low, high)


def length_limit(cloth: Cloth) -> float:
    """Length there is, mm; infinite for as much as is needed."""
    limit = cloth.length or math.inf
    if cloth.outline is not None:
        limit = min(limit, max(x for x, _ in cloth.outline))
    return limit


def forbidden(cloth: Cloth) -> list[Array]:
    """Outlines of the flaws, and of what a remnant lacks of its bounding strip."""
    shapes: list[shapely.Geometry] = [shapely.Polygon(flaw) for flaw in cloth.flaws]
    if cloth.outline is not None:
        low, high = usable_span(cloth)
        remnant = shapely.Polygon(cloth.outline)
        if not remnant.is_valid:
            raise ProjectorError(f"cloth {cloth.name!r}: the outline of the remnant crosses itself")
        left, _, right, _ = remnant.bounds
        middle = (left + right) / 2
        # Cut in two, so that no part is a ring with the remnant for its hole.
        for box in (
            shapely.box(min(0.0, left) - 1.0, low - 1.0, middle, high + 1.0),
            shapely.box(middle, low - 1.0, right + 1.0, high + 1.0),
        ):
            lacking = shapely.difference(box, remnant)
            shapes += list(getattr(lacking, "geoms", [lacking]))
    found = []
    for shape in shapes:
        if isinstance(shape, shapely.Polygon) and shape.area > 1e-3:
            found.append(outline_array(shape.exterior.coords))
    return found


def row_start(of: LayProblem, seed: int = 0) -> tuple[Spot, ...] | None:
    """A first lay with the pieces on the fold in their shortest row and the others round them."""
    row = row_on_fold(of.layout)
    if row is None or math.isinf(row.reached):
        return None
    names = [piece_key(piece) for piece in fold_pieces(of.layout)]
    waiting: dict[str, list[tuple[int, float]]] = {name: [] for name in names}
    for kind, way, shift in row.places:
        waiting[names[kind]].append((way, shift))
    spots: dict[int, Spot] = {}
    for i, (piece, _) in enumerate(of.copies):
        if waiting.get(piece_key(piece)):
            spots[i] = Spot(*waiting[piece_key(piece)].pop(0), 0.0)
    problem = of.problem
    rest = [i for i in range(len(of.copies)) if i not in spots]
    taken = max(problem.taken, row.reached)
    others = replace(
        problem,
        parts=tuple(problem.parts[i] for i in rest),
        obstacles=(*problem.obstacles, *(lying(problem, i, spot) for i, spot in spots.items())),
        taken=taken,
    )
    laid = first_lay(others, seed)
    if laid is None:
        return None
    spots |= dict(zip(rest, laid, strict=True))
    whole = tuple(spots[i] for i in range(len(of.copies)))
    return None if faults(problem, whole) else whole


def lying(problem: Problem, i: int, spot: Spot) -> Array:
    """The outline of a part where it lies, with the buffer round it, as an obstacle."""
    outline: Array = problem.parts[i].ways[spot.way].outline + np.array((spot.x, spot.y))
    return kept_clear(shapely.Polygon(outline), problem.buffer) if problem.buffer else outline


def kept_clear(shape: shapely.Polygon, buffer: float) -> Array:
    """The outline of what lies still, with the buffer round it, as an obstacle."""
    grown = shapely.buffer(shape, buffer, join_style="mitre") if buffer else shape
    return outline_array(grown.exterior.coords)


def slid(
    layout: Layout, rows: Sequence[int], places: Array, angles: Mapping[int, float] | None = None
) -> Layout:
    """The layout with the placements `rows` at `places` (n, 2), mm, some of them at new angles.

    What lies on the fold stays on it.
    """
    placements = list(layout.placements)
    for k, place in zip(rows, places, strict=True):
        old = placements[k].cloth_from_piece
        on_fold = lies_on_fold(piece_of(layout, placements[k]), layout.cloth)
        x, y = float(place[0]), 0.0 if on_fold else float(place[1])
        motion = Motion((angles or {}).get(k, old.angle), x, y, old.mirrored)
        placements[k] = replace(placements[k], cloth_from_piece=motion)
    return replace(layout, placements=tuple(placements))


def laid_at(of: LayProblem, spots: tuple[Spot, ...]) -> Layout:
    """The layout with every part where the search put it; locked placements first."""
    locked = tuple(placement for placement in of.layout.placements if placement.locked)
    kept = {(p.piece, p.copy): p for p in of.layout.placements}
    placed = []
    for (piece, copy), ways, spot in zip(of.copies, of.turns, spots, strict=True):
        turn, mirrored = ways[spot.way]
        y = 0.0 if lies_on_fold(piece, of.layout.cloth) else spot.y
        motion = Motion(turn, spot.x, y, mirrored)
        before = kept.get((piece_key(piece), copy))
        if before is None:
            placed.append(Placement(piece_key(piece), copy, motion))
        else:
            placed.append(replace(before, cloth_from_piece=motion))
    return replace(of.layout, placements=(*locked, *placed))


def spots_now(of: LayProblem) -> tuple[Spot, ...] | None:
    """Where the parts lie in the layout as it was given; None when not all of them lie so."""
    lying = {(p.piece, p.copy): p.cloth_from_piece for p in of.layout.placements}
    spots = []
    for (piece, copy), ways in zip(of.copies, of.turns, strict=True):
        motion = lying.get((piece_key(piece), copy))
        if motion is None:
            return None
        way = way_of(motion, ways)
        if way is None:
            return None
        spots.append(Spot(way, motion.dx, motion.dy))
    return tuple(spots)


def way_of(motion: Motion, ways: tuple[tuple[float, bool], ...]) -> int | None:
    """Which of the ways a piece lies in; None for another angle or side."""
    for way, (turn, mirrored) in enumerate(ways):
        same = math.isclose(math.cos(motion.angle - turn), 1.0, abs_tol=1e-9)
        if same and mirrored == motion.mirrored:
            return way
    return None
