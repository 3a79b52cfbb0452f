"""A diamond gusset let into the underarm: where the sleeve is low and the underarm high.

Back and front are slashed from the middle of the underarm curve. The stitching lines stand
`MOUTH` apart from the slash at the seam and run to nothing at its end, so that all four sides of
the diamond are as long as they are. Common practice, no source; a tested gusset is 100 mm wide
and 90 to 110 mm long (Park et al. 2013, J. Costume Culture 21(5) 742-754).
"""

from __future__ import annotations

import math
from dataclasses import replace

from drafting.chains import divided_chain
from drafting.corners import Corner
from drafting.curves import Cubic, Line, length
from drafting.edge import Edge, point_along
from drafting.errors import DraftingError
from drafting.marks import Drill, Grain, InnerLine, Notch
from drafting.piece import Piece
from drafting.plane import Point

__all__ = ["GUSSET", "gusset_piece", "slashed"]

GUSSET = "gusset"
MOUTH = 6.0
ACROSS = 100.0
"""From the side seam's corner to the underarm's, mm."""


def slashed(piece: Piece, side: float) -> Piece:
    """The piece with a slash whose stitching lines are `side` mm long, as two more edges.

    "underarm below gusset" leads to the slash, "underarm" away from it. Raises `DraftingError`
    where the underarm has no curve to slash, or the slash would leave the piece.
    """
    underarm = next((edge for edge in piece.edges if edge.name == "underarm"), None)
    if underarm is None or not isinstance(underarm.segments[0], Cubic):
        raise DraftingError(
            "style.gusset: the underarm has no curve to let a gusset into; leave it out"
        )
    middle = length(underarm.segments[0]) / 2
    before, rest = divided_chain(underarm.segments, middle - MOUTH)
    after = divided_chain(rest, 2 * MOUTH)[1]
    a, b = before[-1].end, after[0].start
    half = abs(b - a) / 2
    deep = math.sqrt(side**2 - half**2)
    tip = 0.5 * (a + b) + deep * (b - a).unit.left
    place = piece.edges.index(underarm)
    edges = (
        *piece.edges[:place],
        replace(underarm, name="underarm below gusset", segments=before),
        Edge("gusset body", (Line(a, tip),), underarm.allowance),
        Edge("gusset sleeve", (Line(tip, b),), underarm.allowance),
        replace(underarm, segments=after),
        *piece.edges[place + 1 :],
    )
    marks = []
    for mark in piece.marks:
        if isinstance(mark, Notch) and mark.edge == "underarm":
            if abs(mark.along - middle) <= MOUTH + 2.0:
                continue  # the slash itself marks the middle
            if mark.along < middle:
                mark = replace(mark, edge="underarm below gusset")
            else:
                mark = replace(mark, along=max(0.0, mark.along - middle - MOUTH))
        marks.append(mark)
    slash = InnerLine("gusset slash", (Line(point_along(underarm, middle), tip),))
    try:
        return replace(piece, edges=edges, marks=(*marks, slash, Drill(tip, "gusset slash")))
    except DraftingError as error:
        raise DraftingError(
            f"style.gusset: a slash of {side:g} mm leaves the {piece.name} ({error}); "
            "make the gusset smaller"
        ) from error


def gusset_piece(allowance: float, side: float, size: str) -> Piece:
    """The diamond, cut in a pair; its corners left and right meet the tips of the slashes."""
    if side <= ACROSS / 2 + 1.0:
        raise DraftingError(f"style.gusset: sides of {side:g} mm do not span {ACROSS:g} mm")
    reach = math.sqrt(side**2 - (ACROSS / 2) ** 2)
    low, high = Point(0.0, -ACROSS / 2), Point(0.0, ACROSS / 2)
    left, right = Point(-reach, 0.0), Point(reach, 0.0)
    chains = (
        ("front body", low, right),
        ("front sleeve", right, high),
        ("back sleeve", high, left),
        ("back body", left, low),
    )
    edges = tuple(Edge(name, (Line(a, b),), allowance) for name, a, b in chains)
    marks = (Grain(Point(0.6 * reach, -0.25 * ACROSS), Point(0.6 * reach, 0.25 * ACROSS)),)
    corners = tuple(Corner(name, "mitred") for name, _, _ in chains)
    return Piece(GUSSET, edges, marks, size, count=2, paired=True, corners=corners)
