"""The plan drawing shows every plan point where the plan has it, with its number and its key."""

import math

import pytest

from drafting.draft import draft
from drafting.drawing import Polyline, Words
from drafting.plan_drawing import POINTS, plan_drawing
from drafting.style import Style
from drafting.survey import estimated_body

BODY = {"bust": 940.0, "waist": 780.0, "hip": 1020.0, "height": 1660.0}


@pytest.mark.parametrize("lift", [0.0, 0.5, 1.0])
def test_points_lie_where_the_plan_has_them(lift: float) -> None:
    made = draft(estimated_body(dict(BODY)), Style(lift=lift), "M")
    drawing = plan_drawing(made)
    layers = {layer.name: layer.marks for layer in drawing.layers}
    rings = [mark for mark in layers["points"] if isinstance(mark, Polyline)]
    assert len(rings) == len(POINTS)
    for ring, (name, _, _) in zip(rings, POINTS, strict=True):
        point = getattr(made.plan, name)
        x = sum(p.x for p in ring.points) / 4
        y = sum(p.y for p in ring.points) / 4
        assert math.hypot(x - point.x, y - point.y) < 1e-9, name
        assert drawing.box.left < point.x < drawing.box.right
        assert drawing.box.bottom < point.y < drawing.box.top
    told = [mark.text for mark in layers["key"] if isinstance(mark, Words)]
    assert all(what in told for _, what, _ in POINTS)
