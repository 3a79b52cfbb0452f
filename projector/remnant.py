"""An irregular remnant on the table becomes a cloth: its outline, a little inside its edge."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely

from projector.cloth.cloth import Cloth
from projector.errors import ProjectorError

__all__ = ["INSIDE", "remnant"]

INSIDE = 3.0
"""What a frayed edge of a remnant is worth leaving, mm; common practice, no source."""
COARSE = 0.5
SMALLEST = 2_000.0


def remnant(points: npt.ArrayLike, name: str, inside: float = INSIDE) -> Cloth:
    """A flat cloth of the outline (n, 2), mm, seen from above with y up, `inside` mm further in.

    Its grain runs along x, as it lay. The outline is coarser than the points by at most half a
    millimetre, and nowhere outside them. Raises `ProjectorError` when nothing to cut is left.
    """
    whole = shapely.Polygon(np.asarray(points, dtype=np.float64)).buffer(0.0)
    inner = whole.buffer(-max(inside, COARSE)).simplify(COARSE)
    largest = max(shapely.get_parts(inner), key=shapely.area, default=shapely.Polygon())
    if largest.area < SMALLEST:
        raise ProjectorError(
            f"remnant {name!r}: {whole.area / 100:.0f} cm2 less {inside:g} mm all round leaves "
            "nothing to cut from"
        )
    left, low, _, high = largest.bounds
    corners = shapely.get_coordinates(shapely.orient_polygons(largest).exterior)[:-1]
    outline = tuple((round(float(x - left), 2), round(float(y - low), 2)) for x, y in corners)
    return Cloth(name, float(high - low), folded=False, selvage=0.0, outline=outline)
