"""The rules of a lay written out a second time, from the trade and from shapely alone.

Nothing here calls the product's own shapes, clearance, stripes or search: outlines are placed by
the matrix written out below, counted by hand and compared with plain geometry.
"""

from __future__ import annotations

import itertools
import math

import shapely

from drafting.allowance import cutting_line
from drafting.piece import Piece
from drafting.unfolding import unfolded
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, Placement

NEAR = 0.02
"""mm: what may be put down to rounding."""


def placed(x: float, y: float, placement: Placement) -> tuple[float, float]:
    """Mirror x to -x first, turn, then shift."""
    motion = placement.cloth_from_piece
    if motion.mirrored:
        x = -x
    c, s = math.cos(motion.angle), math.sin(motion.angle)
    return c * x - s * y + motion.dx, s * x + c * y + motion.dy


def outline_on_cloth(piece: Piece, cloth: Cloth, placement: Placement) -> shapely.Polygon:
    whole = unfolded(piece) if piece.fold_edge is not None and not cloth.folded else piece
    return shapely.Polygon([placed(p.x, p.y, placement) for p in cutting_line(whole, 0.01)])


def wanted(piece: Piece, cloth: Cloth) -> int:
    """Flat: every copy by itself. Folded: halves on the fold each once, others two at a time."""
    if not cloth.folded or piece.fold_edge is not None:
        return piece.count
    return -(-piece.count // 2)


def faults(layout: Layout) -> list[str]:
    """Everything that is wrong with a lay, in words."""
    cloth, found = layout.cloth, []
    pieces = {f"{piece.name} {piece.size}".strip(): piece for piece in layout.pieces}
    for name, piece in pieces.items():
        laid = [p for p in layout.placements if p.piece == name]
        if len(laid) != wanted(piece, cloth):
            found.append(f"{len(laid)} of {name}, {wanted(piece, cloth)} wanted")
        if piece.paired and not cloth.folded:
            left = sum(p.cloth_from_piece.mirrored for p in laid)
            if 2 * left != len(laid):
                found.append(f"{name}: {left} of {len(laid)} mirrored, half wanted")
    shapes = [outline_on_cloth(pieces[p.piece], cloth, p) for p in layout.placements]
    for (p, a), (q, b) in itertools.combinations(zip(layout.placements, shapes, strict=True), 2):
        if a.buffer(-NEAR / 2).intersects(b.buffer(-NEAR / 2)):
            found.append(f"{p.piece} overlaps {q.piece}")
        if cloth.buffer and a.distance(b) < cloth.buffer - NEAR:
            found.append(f"{p.piece} is {a.distance(b):.2f} mm from {q.piece}")
    top = (cloth.width / 2 if cloth.folded else cloth.width) - cloth.selvage
    for placement, shape in zip(layout.placements, shapes, strict=True):
        found += _alone(pieces[placement.piece], cloth, placement, shape, top)
    return found


def _alone(
    piece: Piece, cloth: Cloth, placement: Placement, shape: shapely.Polygon, top: float
) -> list[str]:
    name, found = placement.piece, []
    left, low, right, high = shape.bounds
    if left < -NEAR or right > (cloth.length or math.inf) + NEAR:
        found.append(f"{name} is off the end of the cloth")
    if high > top + NEAR or low < (0.0 if cloth.folded else cloth.selvage) - NEAR:
        found.append(f"{name} is on the selvage")
    if cloth.outline is not None and shape.difference(shapely.Polygon(cloth.outline)).area > 0.5:
        found.append(f"{name} is off the remnant")
    for flaw in cloth.flaws:
        if shape.buffer(-NEAR).intersects(shapely.Polygon(flaw)):
            found.append(f"{name} is on a flaw")
    origin, up = placed(0.0, 0.0, placement), placed(0.0, 1.0, placement)
    grain = (up[0] - origin[0], up[1] - origin[1])
    # Only whole pieces that no stripe holds may be tilted, and only where the cloth says so.
    held = (cloth.folded and piece.fold_edge is not None) or any(
        match.piece == piece.name for match in cloth.matches
    )
    tilt = 0.0 if held else cloth.tilt
    if not piece.turns_freely and abs(grain[1]) > math.sin(tilt) + 1e-9:
        found.append(f"{name} is off the grain")
    if cloth.one_way and grain[0] > -math.cos(tilt) + 1e-9:
        found.append(f"{name} is against the nap")
    if cloth.folded and piece.fold_edge is not None:
        fold = next(edge for edge in piece.edges if edge.role == "fold")
        for corner in (fold.segments[0].start, fold.segments[-1].end):
            if abs(placed(corner.x, corner.y, placement)[1]) > 1e-6:
                found.append(f"{name} is off the fold")
        if low < -1e-6:
            found.append(f"{name} reaches over the fold")
    elif cloth.folded and low < 1.0:
        found.append(f"{name}, cut twice, lies on the fold")
    if not cloth.folded and placement.cloth_from_piece.mirrored and not piece.paired:
        found.append(f"{name} is mirrored and is not one of a pair")
    return found


def off_stripe(x: float, y: float, cloth: Cloth, placement: Placement) -> tuple[float, float]:
    """How far a point of a piece lies from the next main stripe, along and across, mm."""
    px, py = placed(x, y, placement)
    off = []
    for at, phase, repeat in (
        (px, cloth.phase_along, cloth.repeat_along),
        (py, cloth.phase_across, cloth.repeat_across),
    ):
        rest = (at - phase) % repeat if repeat else 0.0
        off.append(min(rest, repeat - rest) if repeat else 0.0)
    return off[0], off[1]
