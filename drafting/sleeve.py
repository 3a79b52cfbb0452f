"""The straight sleeve block: a cap that fits the armhole, straight down to the wrist.

Frame: x across from the middle of the sleeve, positive towards the front, y up from the line
across the underarm points, mm. A method of our own: cap height a third of the armhole
(published: about a third), both halves of the cap the same smooth curve, the width found so that
the cap is longer than the armhole by the stated ease.
"""

from __future__ import annotations

from dataclasses import dataclass

from drafting.armhole import armhole_length
from drafting.bodice import Block
from drafting.body import Body
from drafting.chains import chain_length
from drafting.curves import Cubic
from drafting.errors import DraftingError
from drafting.halving import narrowed
from drafting.plane import Point

__all__ = ["CAP_EASE", "SleeveBlock", "sleeve_block"]

CAP_EASE = 20.0
"""How much longer the cap is than the armhole, eased in over the shoulder, mm; from memory."""

UPPER_ARM_EASE = 50.0
"""A sleeve block is at least so much wider than the upper arm: 50 to 75 mm is published."""


@dataclass(frozen=True, slots=True)
class SleeveBlock:
    """Points of the sleeve and its cap, mm.

    crown: top of the cap. back_underarm, front_underarm: ends of the cap. back_wrist,
    front_wrist: straight below them. cap: from the back underarm over the crown to the front.
    armhole: length of the whole armhole it is made for; ease: how much longer the cap is.
    """

    crown: Point
    back_underarm: Point
    front_underarm: Point
    back_wrist: Point
    front_wrist: Point
    cap: tuple[Cubic, Cubic]
    armhole: float
    ease: float


def sleeve_block(block: Block, body: Body, ease: float = CAP_EASE) -> SleeveBlock:
    """Draft the sleeve for the armhole of a bodice block.

    Where a cap of a third of the armhole would leave the sleeve narrower than the upper arm and
    `UPPER_ARM_EASE`, the cap is lowered until it is that wide.

    Raises `DraftingError` where even a flat cap would be too narrow for the arm.
    """
    around = armhole_length(block.back) + armhole_length(block.front)
    wanted = around + ease
    height = around / 3
    width = _width(height, wanted)
    narrowest = body.upper_arm + UPPER_ARM_EASE
    if width < narrowest:
        width = narrowest
        height = _height(width, wanted)
    foot = height - body.arm
    left, right = Point(-width / 2, 0.0), Point(width / 2, 0.0)
    return SleeveBlock(
        crown=Point(0.0, height),
        back_underarm=left,
        front_underarm=right,
        back_wrist=Point(left.x, foot),
        front_wrist=Point(right.x, foot),
        cap=_cap(width, height),
        armhole=around,
        ease=ease,
    )


def _cap(width: float, height: float) -> tuple[Cubic, Cubic]:
    half, crown = width / 2, Point(0.0, height)
    back = Cubic(Point(-half, 0.0), Point(-0.55 * half, 0.0), Point(-0.5 * half, height), crown)
    front = Cubic(crown, Point(0.5 * half, height), Point(0.55 * half, 0.0), Point(half, 0.0))
    return back, front


def _length_of(width: float, height: float) -> float:
    return chain_length(_cap(width, height))


def _width(height: float, wanted: float) -> float:
    # The cap grows with the width, and below with the height.
    low, high = narrowed(lambda width: _length_of(width, height) < wanted, 0.0, wanted, 1e-4)
    return (low + high) / 2


def _height(width: float, wanted: float) -> float:
    if width >= wanted:
        raise DraftingError(
            f"block: its armhole of {wanted:.0f} mm with ease is too small for a sleeve of "
            f"{width:.0f} mm around the upper arm; deepen the armhole"
        )
    low, high = narrowed(lambda height: _length_of(width, height) < wanted, 0.0, wanted, 1e-4)
    return (low + high) / 2
