"""What the allowances do at a corner: the rules a cutter chooses between.

Every rule speaks of the corner between the edge that comes `before` and the one `after`, as the
outline is travelled counter-clockwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from drafting.edge import Edge
from drafting.errors import DraftingError

__all__ = ["RULES", "Corner", "Rule", "usual_rule"]

Rule = Literal[
    "mitred",
    "squared before",
    "squared after",
    "mirrored before",
    "mirrored after",
    "blunt",
]
"""How a corner is cut.

mitred
    Both cutting lines run on until they meet; a point too long is cut straight across.
squared before, squared after
    That edge is sewn first. Its allowance runs on, at its full width, to where the other cutting
    line crosses its seam line, and ends square: the cut edges of its two sides meet when sewn.
mirrored before, mirrored after
    That edge is a hem. What lies beside it is mirrored in its seam line, so that the hem lies
    flat on the piece when it is turned.
blunt
    Straight across from the end of the one allowance to the beginning of the other.
"""

RULES: tuple[str, ...] = get_args(Rule)


@dataclass(frozen=True, slots=True)
class Corner:
    """The rule wanted at the corner where the edge named `after` begins."""

    after: str
    rule: Rule

    def __post_init__(self) -> None:
        if self.rule not in RULES:
            raise DraftingError(
                f"corner before edge {self.after!r}: {self.rule!r} is not one of {', '.join(RULES)}"
            )


def usual_rule(before: Edge, after: Edge) -> Rule:
    """The rule that the roles of the two edges ask for.

    A hem is mirrored beside whatever is not a hem. Where a seam runs into a neckline or a raw
    edge the seam is sewn first and squared. Two seams, of which nobody has said which is sewn
    first, are mitred.
    """
    if (before.role == "hem") != (after.role == "hem"):
        return "mirrored before" if before.role == "hem" else "mirrored after"
    if (before.role == "seam") != (after.role == "seam"):
        return "squared before" if before.role == "seam" else "squared after"
    return "mitred"
