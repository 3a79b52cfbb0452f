"""Where a short arm on a wide body leaves no underarm, the cutting line still holds the piece."""

from __future__ import annotations

import pytest
import shapely

from drafting.allowance import cutting_line
from drafting.dolman import is_cap
from drafting.draft import draft
from drafting.piece import seam_polygon
from drafting.style import Style
from drafting.survey import estimated_body


@pytest.mark.parametrize(
    ("bust", "waist", "hip", "height", "arm", "lift"),
    [
        (1325.5, 1177.6, 1458.8, 1844.3, 404.6, 0.498),
        (1347.4, 1166.5, 1306.4, 1693.4, 408.3, 0.627),
        (1388.4, 1304.7, 1544.1, 1569.9, 404.9, 0.914),
    ],
)
def test_the_cutting_line_holds_a_cap_that_reaches_far_beyond_its_side(
    bust: float, waist: float, hip: float, height: float, arm: float, lift: float
) -> None:
    measured = {"bust": bust, "waist": waist, "hip": hip, "height": height, "arm": arm}
    made = draft(estimated_body(measured), Style(lift=lift), "x")
    assert is_cap(made.plan)
    for piece in made.pieces:
        held = shapely.Polygon([(p.x, p.y) for p in cutting_line(piece, 0.1)])
        assert seam_polygon(piece, 0.1).difference(held).area < 0.5
