"""The search on plain polygons against closed forms, and two processes against one."""

import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from projector.cloth.plain_lay import lay_polygons
from projector.cloth.search import islands
from projector.cloth.search.no_fit_table import table_of
from projector.cloth.search.problem import Part, Problem, Way
from projector.errors import ProjectorError


def lay_shapes(outlines, lay):
    shapes = []
    for outline, (turn, x, y) in zip(outlines, lay.places, strict=True):
        shape = affinity.rotate(shapely.Polygon(outline), turn, origin=(0, 0))
        shapes.append(affinity.translate(shape, x, y))
    return shapes


def test_squares_fill_the_strip_exactly() -> None:
    squares = [[(0, 0), (1, 0), (1, 1), (0, 1)]] * 12
    last = list(lay_polygons(squares, 3.0, budget=12, processes=1))[-1]
    assert last.length == pytest.approx(4.0, rel=1e-5)
    assert last.density == pytest.approx(1.0, rel=1e-5)


def test_triangles_pair_up_by_half_turns() -> None:
    """Two right-angled triangles make a square, so that eight fill four."""
    triangles = [[(0, 0), (1, 0), (0, 1)]] * 8
    last = list(lay_polygons(triangles, 2.0, budget=60, processes=1))[-1]
    assert last.length == pytest.approx(2.0, rel=1e-4)
    shapes = lay_shapes(triangles, last)
    assert shapely.union_all(shapes).area == pytest.approx(4.0, rel=1e-4)


def shapes_of_chance() -> list:
    return [
        [
            (
                (60 + 30 * math.sin(i + 3 * k)) * math.cos(k),
                (60 + 30 * math.sin(i + 3 * k)) * math.sin(k),
            )
            for k in (j * math.tau / (5 + i % 4) for j in range(5 + i % 4))
        ]
        for i in range(10)
    ]


def test_the_same_lay_on_one_process_and_on_two() -> None:
    outlines = shapes_of_chance()
    one, two = (
        list(lay_polygons(outlines, 300.0, budget=6, seed=5, processes=n))[-1] for n in (1, 2)
    )
    assert one == two
    again = list(lay_polygons(outlines, 300.0, budget=6, seed=5, processes=1))[-1]
    assert again == one


def test_every_lay_is_shorter_and_free_of_overlap_by_shapely() -> None:
    outlines = shapes_of_chance()
    lays = list(lay_polygons(outlines, 300.0, budget=6, seed=2, processes=1))
    lengths = [lay.length for lay in lays]
    assert lengths == sorted(lengths, reverse=True) and len(set(lengths)) == len(lengths) > 2
    for lay in lays:
        shapes = lay_shapes(outlines, lay)
        union = shapely.union_all(shapes).area
        assert union == pytest.approx(sum(shape.area for shape in shapes), rel=1e-5)
        left, low, right, high = shapely.union_all(shapes).bounds
        assert left > -1e-3 and low > -1e-3 and high < 300.001
        assert right == pytest.approx(lay.length, abs=1e-6)


def test_stretches_of_very_many_pieces_give_the_same_lay_on_one_process_and_on_two(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """So few are searched at a time that two stretches of them are: one by each process."""
    monkeypatch.setattr(islands, "MOST_FORMS", 10)
    monkeypatch.setattr(islands, "STRETCH", 7)
    monkeypatch.setattr(islands, "STRETCH_WORK", 2)
    outlines = shapes_of_chance() * 3
    runs = [
        list(lay_polygons(outlines, 300.0, budget=8, seed=3, processes=count)) for count in (1, 2)
    ]
    assert runs[0][-1] == runs[1][-1]
    for lays in runs:
        lengths = [lay.length for lay in lays]
        assert lengths == sorted(set(lengths), reverse=True)
        assert lengths[-1] < 0.95 * lengths[0]
        for lay in lays:
            shapes = lay_shapes(outlines, lay)
            whole = shapely.union_all(shapes)
            assert whole.area == pytest.approx(sum(shape.area for shape in shapes), rel=1e-5)
            left, low, right, high = whole.bounds
            assert left > -1e-3 and low > -1e-3 and high < 300.001
            assert right == pytest.approx(lay.length, abs=1e-6)


def test_a_way_that_covers_the_same_is_not_tried_again() -> None:
    """A parallelogram half a turn on is the same; its mirror image is not, nor is a triangle."""
    outline = np.array([(0.0, 0.0), (3.0, 0.0), (4.0, 2.0), (1.0, 2.0)])
    mirrored = (outline * (-1.0, 1.0))[::-1]
    triangle = np.array([(0.0, 0.0), (3.0, 0.0), (0.0, 2.0)])
    ways = tuple(Way(one) for one in (outline, -outline, mirrored))
    parts = (
        Part(ways, (0.0, 0.0), 0.0, 10.0),
        Part((Way(triangle), Way(-triangle)), (0.0, 0.0), 0.0, 10.0),
        Part(ways, (0.5, 0.0), 0.0, 10.0),  # on stripes, where it lies matters, too
    )
    found = table_of(Problem(parts), grids=False).board.apart
    assert found.tolist() == [True, False, True, True, True, True, True, True]


def test_what_does_not_fit_says_so() -> None:
    with pytest.raises(ProjectorError, match="does not fit"):
        list(lay_polygons([[(0, 0), (9, 0), (9, 9)]], 5.0, budget=1))
