"""Stripes and checks: where the declared points of a piece may lie on a cloth with a repeat."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drafting.edge import point_along
from drafting.marks import Drill
from drafting.piece import Piece, edge_named, notches_of
from drafting.plane import Motion, Point
from projector.cloth.cloth import Cloth, Match
from projector.errors import ProjectorError

__all__ = ["OFF_STRIPE", "StripeRule", "off_stripes", "stripe_rule"]

OFF_STRIPE = 0.01
"""A declared point lies on its stripe within this many mm."""


@dataclass(frozen=True, slots=True)
class StripeRule:
    """The point of a piece that lies on a stripe along the cloth, and the one across; or None."""

    along: Point | None = None
    across: Point | None = None


def stripe_rule(piece: Piece, cloth: Cloth) -> StripeRule:
    """Which points of a piece this cloth matches to its stripes, in the piece frame.

    Raises `ProjectorError` where a match names a point the piece does not have, where two
    points of one piece ask for the same stripe, or where the fold makes a match impossible.
    """
    found: dict[str, Point] = {}
    for match in cloth.matches:
        if match.piece != piece.name:
            continue
        point = _point(piece, match)
        for axis in ("along", "across"):
            if not getattr(match, axis):
                continue
            if axis in found:
                raise ProjectorError(
                    f"cloth {cloth.name!r}: two points of {piece.name!r} are matched {axis}; "
                    "keep the one that shows most"
                )
            found[axis] = point
    rule = StripeRule(found.get("along"), found.get("across"))
    _check_fold(piece, cloth, rule)
    return rule


def _point(piece: Piece, match: Match) -> Point:
    for notch in notches_of(piece):
        if notch.name == match.at:
            return point_along(edge_named(piece, notch.edge), notch.along)
    for mark in piece.marks:
        if isinstance(mark, Drill) and mark.name == match.at:
            return mark.point
    names = [notch.name for notch in notches_of(piece)]
    names += [mark.name for mark in piece.marks if isinstance(mark, Drill)]
    raise ProjectorError(
        f"piece {piece.name!r} has no notch or drill hole {match.at!r} to match; "
        f"it has {', '.join(dict.fromkeys(name for name in names if name)) or 'none with a name'}"
    )


def _check_fold(piece: Piece, cloth: Cloth, rule: StripeRule) -> None:
    if not cloth.folded or rule.across is None:
        return
    if piece.fold_edge is not None:
        off = _off(rule.across.x, cloth.phase_across, cloth.repeat_across)
        if abs(off) > OFF_STRIPE:
            raise ProjectorError(
                f"{piece.name!r} lies on the fold, so that its matched point falls {off:.1f} mm "
                "from a stripe; fold the cloth elsewhere, lay it flat, or match along only"
            )
    elif abs(_off(cloth.phase_across, -cloth.phase_across, cloth.repeat_across)) > OFF_STRIPE:
        raise ProjectorError(
            f"{piece.name!r} is cut through both layers, whose stripes lie on each other only when "
            "the fold runs on a stripe or midway between two; set phase_across, or lay it flat"
        )


def _off(place: float, phase: float, repeat: float) -> float:
    return math.remainder(place - phase, repeat)


def off_stripes(rule: StripeRule, cloth: Cloth, cloth_from_piece: Motion) -> tuple[float, float]:
    """How far the declared points of a placed piece lie from a stripe, along and across, mm."""
    along = across = 0.0
    if rule.along is not None:
        place = cloth_from_piece(rule.along)
        along = _off(place.x, cloth.phase_along, cloth.repeat_along)
    if rule.across is not None:
        place = cloth_from_piece(rule.across)
        across = _off(place.y, cloth.phase_across, cloth.repeat_across)
    return along, across
