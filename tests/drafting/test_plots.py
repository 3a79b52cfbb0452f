"""Plots: lines where their figures are, names that do not stand on each other."""

from itertools import pairwise

import pytest

from drafting.drawing import Polyline, Words
from drafting.errors import DraftingError
from drafting.plots import HEIGHT, WIDTH, Series, plot


def test_points_stand_where_their_figures_are() -> None:
    drawing = plot("t", "x", "y", [Series("a", ((0.0, 0.0), (0.5, 50.0), (1.0, 100.0)))])
    (line,) = next(layer for layer in drawing.layers if layer.name == "lines").marks
    assert isinstance(line, Polyline)
    # The axis ends at the next round step, 100 here, so that half of it is half way up.
    assert [p.x for p in line.points] == pytest.approx([0.0, WIDTH / 2, WIDTH])
    assert [p.y for p in line.points] == pytest.approx([0.0, HEIGHT / 2, HEIGHT])


def test_names_at_the_ends_keep_their_distance() -> None:
    lines = [Series(f"line {n}", ((0.0, 1.0), (1.0, 0.001 * n))) for n in range(5)]
    drawing = plot("t", "x", "y", lines, 0.4)
    words = [
        mark
        for layer in drawing.layers
        for mark in layer.marks
        if isinstance(mark, Words) and mark.text.startswith("line")
    ]
    heights = sorted(word.point.y for word in words)
    assert all(b - a >= words[0].size for a, b in pairwise(heights))


def test_nothing_to_draw_is_refused() -> None:
    with pytest.raises(DraftingError, match="nothing to draw"):
        plot("t", "x", "y", [])
