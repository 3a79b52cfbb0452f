"""Inside the half-planes of a corridor shapely finds no overlap, exact fits included."""

import numpy as np
import pytest
import shapely
from shapely import affinity

from projector.cloth.search.corridor import corridor
from projector.cloth.search.no_fit import boundary, convolution

COMB = [(0, 0), (50, 0), (50, 30), (35, 30), (35, 10), (25, 10), (25, 30), (15, 30), (15, 10),
        (5, 10), (5, 30), (0, 30)]  # fmt: skip
"""Two slots that a bar 10 wide fits exactly."""
NOTCHED = [(0, 0), (40, 0), (40, 20), (24, 24), (20, 8), (16, 24), (0, 20)]
SHAPES = {
    "bar": [(0, 0), (10, 0), (10, 25), (0, 25)],
    "wedge": [(0, 0), (10, 0), (6, 18), (4, 18)],
    "notched": NOTCHED,
    "turned": [(-x, -y) for x, y in NOTCHED],
    "star": [(20, 0), (6, 5), (3, 20), (-5, 6), (-18, 2), (-6, -5), (-2, -19), (5, -5)],
}
HAIR = 1e-5


def touching_places(parts: np.ndarray, random: np.random.Generator) -> np.ndarray:
    """Ends and inner points of the boundary, where pieces touch at corners and along edges."""
    share = random.random((len(parts), 1))
    inner = parts[:, :2] + share * (parts[:, 2:] - parts[:, :2])
    return np.concatenate((parts[:, :2], parts[:, 2:], inner))


@pytest.mark.parametrize("fixed", ["comb", "notched", "star"])
@pytest.mark.parametrize("moving", sorted(SHAPES))
def test_nothing_overlaps_inside_the_half_planes(fixed: str, moving: str) -> None:
    random = np.random.default_rng(4)
    outlines = [np.array(COMB if fixed == "comb" else SHAPES[fixed], float)]
    outlines.append(np.array(SHAPES[moving], float))
    still, other = (shapely.Polygon(outline) for outline in outlines)
    segments, outer = convolution(*outlines)
    parts = boundary(segments, outer, 1e-6)
    reach, worst, moved = 6.0, 0.0, 0
    for x, y in touching_places(parts, random):
        planes, count, _ = corridor(segments, parts, x, y, reach, HAIR)
        for angle in random.random(12) * 2.0 * np.pi:
            step = np.array((np.cos(angle), np.sin(angle))) * random.uniform(0.5, reach)
            # The way is cut off, or laid along a side, as a linear programme would.
            for normal in [*planes[:count, :2], *planes[:count, :2]]:
                step -= min(0.0, float(normal @ step)) * normal
            at = np.array((x, y)) + step
            if (planes[:count, :2] @ at < planes[:count, 2] - HAIR).any():
                continue
            moved += 1
            there = affinity.translate(other, *at)
            worst = max(worst, still.intersection(there).area)
    assert moved > 100
    assert worst < 0.02
