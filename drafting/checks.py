"""What a careful cutter would notice before cutting."""

from __future__ import annotations

import math

from drafting.allowance import cutting_line
from drafting.body import Body
from drafting.edge import edge_length, end_of, start_of, tangent_along
from drafting.finding import Finding
from drafting.piece import Piece, edge_named

__all__ = ["findings_of", "fits_half_width"]


def findings_of(
    body: Body, pieces: tuple[Piece, ...], neck_stretch: float = 0.0
) -> tuple[Finding, ...]:
    """Findings on the back and the front of one garment.

    `neck_stretch` is the part by which the neckline's cloth stretches: 0.2 is a fifth.
    """
    back, front = pieces
    present = {edge.name for edge in back.edges}  # a bat sleeve to the waist has no side seam
    seams = [name for name in ("overarm", "underarm", "side") if name in present]
    corners = [names for names in _SQUARE_CORNERS if present.issuperset(names)]
    return (
        *(_equal(back, front, name) for name in seams),
        *(_square(piece, *names) for piece in pieces for names in corners),
        _neck(body, back, front, neck_stretch),
        _wrist(body, back),
        _hip(body, back),
    )


_SQUARE_CORNERS = (
    ("hem", "side"),
    ("underarm", "wrist"),
    ("wrist", "overarm"),
    ("overarm", "neckline"),
    ("neckline", "centre"),
    ("centre", "hem"),
)


def _equal(back: Piece, front: Piece, name: str) -> Finding:
    lengths = [edge_length(edge_named(piece, name)) for piece in (back, front)]
    apart = abs(lengths[0] - lengths[1])
    return Finding(
        "fine" if apart <= 0.1 else "stop",
        f"{name} of back and front",
        f"{lengths[0]:.1f} and {lengths[1]:.1f} mm",
        "equal",
        "" if apart <= 0.1 else "Redraw the longer one: seams that differ will twist.",
    )


def _square(piece: Piece, first: str, second: str) -> Finding:
    before, after = edge_named(piece, first), edge_named(piece, second)
    into, out = tangent_along(before, edge_length(before)), tangent_along(after, 0.0)
    angle = 180.0 - math.degrees(math.atan2(into.cross(out), into.dot(out)))
    fine = abs(angle - 90.0) <= 0.5
    return Finding(
        "fine" if fine else "warning",
        f"{piece.name}: corner of {first} and {second}",
        f"{angle:.1f} degrees",
        "90 degrees",
        "" if fine else "Square it, or the seam will show a peak or a dip there.",
    )


def _neck(body: Body, back: Piece, front: Piece, stretch: float) -> Finding:
    opening = 2 * sum(edge_length(edge_named(piece, "neckline")) for piece in (back, front))
    wanted = body.head / (1.0 + stretch)
    fine = opening >= wanted
    short = (wanted - opening) / 2
    return Finding(
        "fine" if fine else "warning",
        "neckline and head",
        f"{opening:.0f} mm around",
        f"at least {wanted:.0f} mm to pass a head of {body.head:.0f} mm",
        "" if fine else f"Lower or widen it, or leave an opening of {short:.0f} mm.",
    )


def _wrist(body: Body, piece: Piece) -> Finding:
    wrist = edge_named(piece, "wrist")
    around = 2 * edge_length(wrist)
    fine = around >= body.hand
    return Finding(
        "fine" if fine else "warning",
        "wrist and hand",
        f"{around:.0f} mm around",
        f"at least the hand's {body.hand:.0f} mm",
        "" if fine else "Widen the wrist, or leave it open for a few centimetres.",
    )


def _hip(body: Body, piece: Piece) -> Finding:
    around = 4 * end_of(edge_named(piece, "hem")).x
    length = -start_of(edge_named(piece, "hem")).y
    fine = around >= body.hip or length < 150.0
    return Finding(
        "fine" if fine else "warning",
        "hem and hip",
        f"{around:.0f} mm around",
        f"at least the hip's {body.hip:.0f} mm",
        "" if fine else "Add side ease, or shorten the top above the hip.",
    )


def fits_half_width(piece: Piece, usable: float) -> Finding:
    """Whether a half piece, allowance included, fits a usable half width of cloth (mm)."""
    widest = max(point.x for point in cutting_line(piece, 0.05))
    fine = widest <= usable
    return Finding(
        "fine" if fine else "warning",
        f"{piece.name} and the width of the cloth",
        f"{widest:.0f} mm from centre to edge",
        f"at most {usable:.0f} mm",
        "" if fine else "Lower the lift, shorten the sleeve, or join cloth to it.",
    )
