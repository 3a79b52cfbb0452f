"""A last refinement: pieces tilted a little off the grain, where the worker allows it.

One piece after another is tried at some angles within the tolerance of the cloth, and all pieces
slide together by the search's own linear programme; what makes the lay shorter is kept.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from drafting.plane import Motion
from projector.cloth.clearance import may_be_cut, violations
from projector.cloth.lay_problem import forbidden, kept_clear, length_limit, part_of, slid
from projector.cloth.layout import Layout, piece_of
from projector.cloth.search.problem import Array, Part, Problem, Way
from projector.cloth.shapes import near_turn, placed_shape, tilt_allowed
from projector.cloth.stripes import stripe_rule
from projector.cloth.yardage import MET, lower_bound, used_length

__all__ = ["tilted_lays"]

SHARES = (0.0, 0.5, -0.5, 1.0, -1.0)
"""Parts of the tolerance at which a piece is tried, after the angle at which it lies."""
ROUNDS = 3
"""How often every piece is tried at most."""
MOST_TRIED = 600
"""Pieces that are tried, times pieces that slide with each: it bounds what many pieces take."""
GAIN = 0.2
"""A lay that is not shorter by so much, mm, is not worth a tilt."""


def tilted_lays(layout: Layout) -> Iterator[Layout]:
    """Lays shorter than this one, each than the last, with pieces tilted within the tolerance.

    Locked and cut pieces stay, pieces on the fold or matched to stripes keep the grain. Nothing
    comes of a cloth without a tolerance, or of a lay that may not be cut.
    """
    cloth = layout.cloth
    loose = [k for k, p in enumerate(layout.placements) if not (p.locked or p.cut)]
    may = [k for k in loose if tilt_allowed(piece_of(layout, layout.placements[k]), cloth) > 0.0]
    if not may or not may_be_cut(layout):
        return
    enough = lower_bound(layout).length + MET
    tries = max(4, MOST_TRIED // len(loose))
    for _ in range(ROUNDS):
        before = used_length(layout)
        for k in sorted(may, key=lambda k: -placed_shape(layout, layout.placements[k]).bounds[2]):
            if used_length(layout) <= enough or tries == 0:
                return
            tries -= 1
            better = _tilted(layout, loose, k)
            if better is not None:
                layout = better
                yield layout
        if used_length(layout) > before - GAIN:
            return


def _tilted(layout: Layout, loose: list[int], index: int) -> Layout | None:
    """The shortest lay with one piece at another angle; None when none is shorter."""
    from projector.cloth.search.compaction import compacted
    from projector.cloth.search.no_fit_table import table_of

    cloth = layout.cloth
    known: dict[tuple[str, float, bool], Way] = {}
    parts: list[Part] = []
    turns: list[float] = []
    for k in loose:
        placement = layout.placements[k]
        piece, motion = piece_of(layout, placement), placement.cloth_from_piece
        angles = [motion.angle]
        if k == index:
            turns = [*angles, *_angles(motion, tilt_allowed(piece, cloth))]
            angles = turns
        ways = tuple((angle, motion.mirrored) for angle in angles)
        parts.append(part_of(piece, ways, cloth, stripe_rule(piece, cloth), known))
    obstacles = forbidden(cloth)
    taken = 0.0
    for k, placement in enumerate(layout.placements):
        if k not in loose:
            shape = placed_shape(layout, placement)
            taken = max(taken, float(shape.bounds[2]))
            obstacles.append(kept_clear(shape, cloth.buffer))
    problem = Problem(tuple(parts), tuple(obstacles), length_limit(cloth), cloth.buffer, taken)
    table = table_of(problem, grids=False)
    first = [table.board.way_form[table.board.ways[row]] for row in range(len(parts))]
    form = np.array([*first, *range(table.first, len(table.forms))], np.int64)
    place = np.zeros((len(form), 2))
    for row, k in enumerate(loose):
        motion = layout.placements[k].cloth_from_piece
        place[row] = motion.dx, motion.dy
    row, shortest, best = loose.index(index), used_length(layout) - GAIN, None
    middle = _middle(table.board.box[form[row]])
    for way, angle in enumerate(turns[1:], start=1):
        form[row] = table.board.way_form[table.board.ways[row] + way]
        at = place.copy()
        at[row] += middle - _middle(table.board.box[form[row]])  # it turns about its middle
        done = compacted(table, form, at, problem.limit, taken)
        if done.length < shortest:
            found = slid(layout, loose, done.place[: len(loose)], {index: angle})
            if used_length(found) < shortest and not violations(found):
                shortest, best = used_length(found), found
    return best


def _angles(motion: Motion, tilt: float) -> list[float]:
    turn = near_turn(motion.angle)
    angles = [turn + share * tilt for share in SHARES]
    return [angle for angle in angles if abs(angle - motion.angle) > 1e-9]


def _middle(box: Array) -> Array:
    middle: Array = (box[:2] + box[2:]) / 2
    return middle
