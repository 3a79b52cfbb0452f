"""The curves of a bodice block: its armhole and its neckline.

Both leave the shoulder seam squarely, so that back and front run into each other when their
shoulders are laid together; the armhole meets the side seam squarely too.
"""

from __future__ import annotations

from drafting.bodice import Block, HalfBlock
from drafting.chains import chain_length
from drafting.curves import Cubic, length
from drafting.errors import DraftingError
from drafting.plane import Point

__all__ = ["armhole", "armhole_length", "block_neckline", "neckline_length"]


def armhole(half: HalfBlock) -> tuple[Cubic, Cubic]:
    """From the underarm point over the point nearest to the centre up to the shoulder tip.

    The lower part is close to a quarter of an ellipse, a little fuller at the underarm; the
    upper part has the two directions of its ends and no other bend.

    Raises `DraftingError` where the nearest point does not lie between underarm and shoulder.
    """
    under, near, tip = half.underarm, half.across, half.shoulder_tip
    if not (under.y < near.y < tip.y and near.x < under.x):
        raise DraftingError(
            f"block: the point across at ({near.x:.0f}, {near.y:.0f}) does not lie inward of the "
            f"underarm ({under.x:.0f}, {under.y:.0f}) and below the shoulder tip "
            f"({tip.x:.0f}, {tip.y:.0f})"
        )
    width, height = under.x - near.x, near.y - under.y
    lower = Cubic(
        under,
        under - Point(0.6 * width, 0.0),
        near - Point(0.0, 0.5 * height),
        near,
    )
    upward = (tip - half.neck_point).unit.left
    meeting = _meeting_height(near, tip, upward)
    upper = Cubic(
        near,
        near + Point(0.0, 2 / 3 * (meeting - near.y)),
        tip - 2 / 3 * abs(tip - Point(near.x, meeting)) * upward,
        tip,
    )
    return lower, upper


def _meeting_height(near: Point, tip: Point, upward: Point) -> float:
    """Where the vertical through `near` meets the square to the shoulder at its tip."""
    halfway = (near.y + tip.y) / 2
    if upward.x < 1e-6:
        return halfway
    height = tip.y - (tip.x - near.x) * upward.y / upward.x
    return height if near.y < height < tip.y else halfway


def armhole_length(half: HalfBlock) -> float:
    """Length of the armhole of one half, mm."""
    return chain_length(armhole(half))


def block_neckline(half: HalfBlock) -> Cubic:
    """From the neck point, square to the shoulder, to the centre, square to it."""
    neck, centre = half.neck_point, half.centre_neck
    inward = -(half.shoulder_tip - neck).unit.left
    width, depth = neck.x - centre.x, neck.y - centre.y
    return Cubic(neck, neck + 0.55 * depth * inward, centre + Point(0.55 * width, 0.0), centre)


def neckline_length(block: Block) -> float:
    """The whole neckline of the block, back and front, both sides, mm."""
    return 2 * sum(length(block_neckline(half)) for half in (block.back, block.front))
