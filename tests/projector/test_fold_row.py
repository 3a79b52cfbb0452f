"""The row along the fold against closed forms, and against chance rows judged by shapely."""

import itertools
import json

import numpy as np
import pytest
import shapely
from shapely.affinity import scale, translate

from projector.cloth.fold_row import FoldRow, fold_row
from projector.cloth.fold_ways import FoldKind, FoldWay

TEE = shapely.Polygon(
    [(40, 0), (60, 0), (60, 100), (100, 100), (100, 200), (0, 200), (0, 100), (40, 100)]
)


def kind(*shapes: shapely.Polygon, count: int = 1) -> FoldKind:
    return FoldKind(tuple(FoldWay(shape) for shape in shapes), count)


def laid(kinds: list[FoldKind], row: FoldRow) -> list[shapely.Polygon]:
    return [translate(kinds[k].ways[w].shape, x) for k, w, x in row.places]


def test_blocks_add_up_and_wedges_nest() -> None:
    blocks = [kind(shapely.box(0, 0, size, 100)) for size in (30, 50, 20)]
    assert fold_row(blocks).length == pytest.approx(100.0, abs=1e-6)
    assert fold_row(blocks, buffer=4.0).length == pytest.approx(108.0, abs=1e-3)
    # A trapezium 100 at the fold and 300 at the top beside a triangle 200 at the fold.
    wide = shapely.Polygon([(0, 0), (100, 0), (300, 200), (0, 200)])
    narrow = shapely.Polygon([(0, 0), (200, 0), (200, 200)])
    assert fold_row([kind(wide), kind(narrow)]).length == pytest.approx(300.0, abs=1e-6)
    assert fold_row([kind(TEE, count=2)]).length == pytest.approx(200.0, abs=1e-6)


def test_a_small_piece_between_two_does_not_bring_their_arms_nearer() -> None:
    """Two tees with a block 30 mm long under their arms: still 200 mm, not 100 + 2 x 30."""
    row = fold_row([kind(TEE, count=2), kind(shapely.box(0, 0, 30, 50))])
    assert row.length == row.reached == pytest.approx(200.0, abs=1e-6)
    assert json.dumps(row.reached <= row.length) == "true"  # numbers that machines are told


def test_stripes_keep_pieces_on_their_repeat() -> None:
    """Blocks of 30 mm whose left sides lie on stripes 50 mm apart: 0, 50 and 100."""
    matched = FoldKind((FoldWay(shapely.box(0, 0, 30, 100), 0.0, True),), 3)
    assert fold_row([matched], repeat=50.0).length == pytest.approx(130.0, abs=1e-6)


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("buffer", [0.0, 5.0])
def test_no_chance_row_is_shorter_and_its_own_row_is_clear(seed: int, buffer: float) -> None:
    random = np.random.default_rng(seed)
    kinds = []
    for _ in range(4):
        top = np.sort(random.uniform(10, 150, 5))
        right = np.column_stack([random.uniform(10, 90, 5), top])
        left = np.column_stack([random.uniform(-70, 10, 5), top])[::-1]
        shape = shapely.Polygon([(0, 0), (random.uniform(10, 60), 0), *right, *left]).buffer(0)
        shape = max(shapely.get_parts(shape), key=lambda part: part.bounds[1] == 0.0)
        kinds.append(kind(shape, scale(shape, -1.0, 1.0, origin=(0, 0))))
    row = fold_row(kinds, buffer)
    assert row.reached == pytest.approx(row.length, abs=1e-6)
    shapes = laid(kinds, row)
    for a, b in itertools.combinations(shapes, 2):
        assert a.buffer(-1e-4).disjoint(b) and a.distance(b) > buffer - 1e-3
    assert max(shape.bounds[2] for shape in shapes) == pytest.approx(row.reached)
    for _ in range(60):
        at, done = 0.0, []
        for k in random.permutation(4):
            shape = kinds[k].ways[random.integers(2)].shape
            there = translate(shape, at - shape.bounds[0])
            for _ in range(300):  # along the fold until it is clear
                if all(there.disjoint(one) and there.distance(one) >= buffer for one in done):
                    break
                there = translate(there, random.uniform(0.0, 4.0))
            else:
                break
            done.append(there)
            at = max(at, float(there.bounds[0]))
        else:
            assert max(shape.bounds[2] for shape in done) > row.length - 1e-6


def test_many_garments_of_one_size_are_a_row_of_rows() -> None:
    """Forty wedges, each 100 mm along the fold, where none reaches over its neighbour."""
    wedge = shapely.Polygon([(0, 0), (100, 0), (20, 200), (0, 200)])
    other = scale(wedge, -1.0, 1.0, origin=(0, 0))
    row = fold_row([kind(wedge, other, count=40)])
    assert row.length <= row.reached == pytest.approx(4000.0, abs=1e-6)


@pytest.mark.parametrize(
    "number, buffer, repeat", [(14, 0.0, 0.0), (14, 4.0, 0.0), (14, 0.0, 25.0), (60, 4.0, 0.0)]
)
def test_many_different_wedges_lie_close_to_their_bound(
    number: int, buffer: float, repeat: float
) -> None:
    """Wedges that fit each other the other way about: two of them take foot and top, no more.

    More orders than can be weighed, and with 60 more pairs than are reckoned.
    """
    feet = np.random.default_rng(number).uniform(60.0, 140.0, number)
    kinds = []
    for foot in feet:
        shape = shapely.Polygon([(0, 0), (foot, 0), (20, 200), (0, 200)])
        ways = shape, scale(shape, -1.0, 1.0, origin=(0, 0))
        kinds.append(FoldKind(tuple(FoldWay(way, 0.0, repeat > 0.0) for way in ways)))
    row = fold_row(kinds, buffer, repeat)
    assert sorted(k for k, _, _ in row.places) == list(range(number))
    shapes = laid(kinds, row)
    for a, b in itertools.combinations(shapes, 2):
        assert a.buffer(-1e-4).disjoint(b) and a.distance(b) > buffer - 1e-3
    assert min(shape.bounds[0] for shape in shapes) > -1e-6
    assert max(shape.bounds[2] for shape in shapes) == pytest.approx(row.reached)
    if repeat:
        assert all(abs(x / repeat - round(x / repeat)) < 1e-9 for _, _, x in row.places)
    # Feet cannot overlap at the fold: their sum is a bound by itself.
    assert feet.sum() - 1e-6 <= row.length + 1e-6 <= row.reached + 2e-6
    if not repeat:
        assert row.reached < (1.02 * feet.sum()) + buffer * number
