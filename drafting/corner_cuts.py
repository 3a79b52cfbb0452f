"""The geometry of the corner rules: how two cutting lines are led into each other.

A corner has two arms, the edges beside it, both seen as running away from it. Places are complex
numbers, x + i y in mm. Every function returns both cutting lines, trimmed or run on, and what
lies between them on the way from the first arm to the second.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from drafting.offset import Path

__all__ = ["MITRE_LIMIT", "Arm", "Joined", "at_fold", "blunt", "mirrored", "mitred", "squared"]

MITRE_LIMIT = 4.0
"""A corner reaching further than this many times the wider allowance is cut straight across."""

STRAIGHT = 0.01
"""Edges within this many radians of each other count as parallel."""


@dataclass(frozen=True, slots=True, eq=False)
class Arm:
    """One side of a corner: its cutting line from the corner on, and its directions there.

    `away` runs along the seam line away from the corner, `outward` square to it off the piece.
    """

    line: Path
    away: complex
    outward: complex
    allowance: float


Joined = tuple[Path, tuple[complex, ...], Path]


def _cross(a: complex, b: complex) -> float:
    return (a.conjugate() * b).imag


def _convex(first: Arm, second: Arm) -> bool:
    # The first arm ends at the corner in the sense of travel, the second begins there.
    return _cross(-first.away, second.away) > 0.0


def _cut(arm: Arm, place: complex, along: complex) -> Path | None:
    """The arm's line from where it meets a straight line on; run on to it where it falls short.

    None when the two are parallel or the whole arm lies beyond the line.
    """
    rise = _cross(along, arm.away)
    if abs(rise) <= STRAIGHT * abs(along):
        return None
    side = (np.conj(along) * (arm.line - place)).imag * np.sign(rise)
    if side[0] >= 0.0:
        foot = arm.line[0] - side[0] / abs(rise) * arm.away
        return np.concatenate([[foot], arm.line])
    kept = int(np.argmax(side >= 0.0))
    if kept == 0:
        return None
    part = side[kept - 1] / (side[kept - 1] - side[kept])
    foot = arm.line[kept - 1] + part * (arm.line[kept] - arm.line[kept - 1])
    return np.concatenate([[foot], arm.line[kept:]])


def blunt(first: Arm, second: Arm, corner: complex) -> Joined:
    """Straight across; at a hollow corner by the corner itself, where the allowances overlap."""
    between = () if _convex(first, second) else (corner,)
    return first.line, between, second.line


def mitred(first: Arm, second: Arm, corner: complex) -> Joined:
    """Both lines run on until they meet, at most `MITRE_LIMIT` allowances from the corner."""
    across = first.line, (), second.line
    a, b = first.line[0], second.line[0]
    rise = _cross(first.away, second.away)
    widest = max(first.allowance, second.allowance)
    limit = MITRE_LIMIT * widest
    if abs(rise) < STRAIGHT:
        if (first.away / second.away).real < 0.0:
            return across
        if rise > 0.0:
            return first.line, (corner,), second.line
        return _limited(first, second, corner, corner - first.away, limit)
    reach_a = _cross(second.away, b - a) / rise
    reach_b = _cross(first.away, b - a) / rise
    # The lines meet at a - reach_a * away: positive where a line is run on, negative trimmed.
    meet = a - reach_a * first.away
    if not _convex(first, second):
        return _hollow(first, second, corner, (meet, reach_a, reach_b))
    if reach_a >= -1e-9 and reach_b >= -1e-9:
        if abs(meet - corner) <= limit:
            return first.line, (meet,), second.line
        return _limited(first, second, corner, meet, limit)
    if abs(meet - corner) > limit:
        return across
    if reach_a < 0.0:
        cut = _cut(first, b, second.away)
        return across if cut is None else (cut, (), second.line)
    cut = _cut(second, a, first.away)
    return across if cut is None else (first.line, (), cut)


def _hollow(first: Arm, second: Arm, corner: complex, met: tuple[complex, float, float]) -> Joined:
    """Both straight beginnings are trimmed to where they meet; bent ones overlap at the corner."""
    meet, reach_a, reach_b = met
    sizes = (abs(arm.line[1] - arm.line[0]) for arm in (first, second))
    if all(0.0 < -reach < size for reach, size in zip((reach_a, reach_b), sizes, strict=True)):
        return np.append(meet, first.line[1:]), (), np.append(meet, second.line[1:])
    return first.line, (corner,), second.line


def _limited(first: Arm, second: Arm, corner: complex, meet: complex, limit: float) -> Joined:
    """Cut square to the way to the point, `limit` mm from the corner."""
    along = (meet - corner) / abs(meet - corner)
    ends = []
    for arm in (first, second):
        short = limit - ((arm.line[0] - corner) * along.conjugate()).real
        run = -(arm.away * along.conjugate()).real
        ends.append(arm.line[0] - max(0.0, short / run) * arm.away)
    return first.line, (ends[0], ends[1]), second.line


def squared(first: Arm, second: Arm, corner: complex, sewn_first: bool) -> Joined:
    """The arm that is sewn first runs on at its full width and ends square.

    Its end stands where the other cutting line crosses its seam line, which is the same distance
    from the corner on both pieces when their angles make a straight contour.
    """
    sewn, other = (first, second) if sewn_first else (second, first)
    cut = _cut(other, corner, sewn.away) if _convex(first, second) else None
    if cut is None:
        return mitred(first, second, corner)
    beyond = ((corner - cut[0]) / sewn.away).real
    limit = MITRE_LIMIT * max(sewn.allowance, other.allowance)
    if not -1e-9 <= beyond <= limit:
        return mitred(first, second, corner)
    end = corner - beyond * sewn.away + sewn.allowance * sewn.outward
    return (sewn.line, (end,), cut) if sewn_first else (cut, (end,), sewn.line)


def mirrored(first: Arm, second: Arm, corner: complex, hem_first: bool) -> Joined:
    """The hem ends along the cutting line beside it, mirrored in the hem's seam line."""
    hem, beside = (first, second) if hem_first else (second, first)
    turn = _cut(beside, corner, hem.away) if _convex(first, second) else None
    if turn is None:
        return mitred(first, second, corner)
    image = corner + np.conj((turn - corner) / hem.away) * hem.away
    depth = ((image - corner) / hem.outward).real
    deep = np.flatnonzero(depth[1:] >= hem.allowance)
    last = int(deep[0]) + 1 if deep.size else len(image) - 1
    foot = _cut(hem, image[last - 1], image[last] - image[last - 1])
    if foot is None or depth[last] <= depth[last - 1]:
        return mitred(first, second, corner)
    between = tuple(complex(p) for p in image[1:last])
    return (foot, between[::-1], turn) if hem_first else (turn, between, foot)


def at_fold(arm: Arm, corner: complex, along: complex) -> Path:
    """The arm's line from the fold on: it meets its own mirror image there.

    A sharp point is cut square to the fold, `MITRE_LIMIT` allowances from the corner.
    """
    line = _cut(arm, corner, along)
    if line is None:
        return np.append(corner, arm.line)
    limit = MITRE_LIMIT * arm.allowance
    tip = line[0] - corner
    if abs(tip) <= limit or (arm.away / tip).real > 0.0:
        return line
    out = tip / abs(tip)
    square = _cut(replace(arm, line=line), corner + limit * out, 1j * out)
    return line if square is None else np.append(corner + limit * out, square)
