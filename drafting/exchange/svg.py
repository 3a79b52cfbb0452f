"""A piece as SVG at true scale: width and height in mm, the viewBox in the same numbers.

Curves of the seam line stay cubic curves. SVG's y runs down, the piece frame's up, so that
every y changes its sign.
"""

from __future__ import annotations

from drafting.exchange.drawing_svg import svg_bytes
from drafting.exchange.piece_drawing import piece_drawing
from drafting.piece import Piece

__all__ = ["written"]


def written(piece: Piece) -> bytes:
    """The piece as an SVG file, UTF-8: cutting line, one path an edge, notches, grain, label.

    Lengths on the page are millimetres of the piece. The cutting line is flattened to 0.02 mm;
    seam line edges keep their curves exactly. Names of edges, allowances, roles, notches, count
    and cloth go with the lines as data- attributes, which reading a file back uses.
    """
    return svg_bytes(piece_drawing(piece))
