"""How deep two outlines overlap, and the way out, against shapely."""

import math

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from projector.cloth.search.chart import sounding
from projector.cloth.search.no_fit_table import table_of
from projector.cloth.search.problem import Part, Problem, Way, outline_array


def stars() -> list:
    """Outlines with corners that turn in, each as it is and turned by half a turn."""
    found = []
    for points, ins in ((5, 0.45), (4, 0.6), (7, 0.7)):
        outline = outline_array(
            [
                (
                    100 * (ins if k % 2 else 1.0) * math.cos(k * math.pi / points),
                    (60 + 10 * points) * (ins if k % 2 else 1.0) * math.sin(k * math.pi / points),
                )
                for k in range(2 * points)
            ]
        )
        found.append((outline, -outline))
    return found


@pytest.fixture(scope="module")
def table():
    parts = [Part(tuple(map(Way, ways)), (0.0, 0.0), 0.0, 900.0) for ways in stars()]
    return table_of(Problem(tuple(parts)))


def sounded(table, a: int, b: int, x: float, y: float) -> tuple[float, float, float]:
    board = table.board
    base, tall, wide = board.pair[a, b, 3], board.pair[a, b, 1], board.pair[a, b, 2]
    sign = board.pair[a, b, 4]
    u = (sign * x - board.origin[a, b, 2]) / board.cell
    v = (sign * y - board.origin[a, b, 3]) / board.cell
    deep, out_x, out_y = sounding(
        board.cells, board.lists, board.sides, base, tall, wide, u, v, sign * x, sign * y
    )
    return deep, sign * out_x, sign * out_y


def test_depth_is_the_shortest_way_out_of_an_overlap(table) -> None:
    chance = np.random.default_rng(4)
    shapes = [shapely.Polygon(form) for form in table.forms]
    overlapping = apart = 0
    for a in range(len(shapes)):
        for b in range(len(shapes)):
            for x, y in chance.uniform(-190.0, 190.0, (12, 2)):
                deep, out_x, out_y = sounded(table, a, b, x, y)
                shared = shapes[a].intersection(translate(shapes[b], x, y)).area
                if shared < 1e-6:
                    assert deep < 1e-4
                    apart += 1
                    continue
                overlapping += 1
                assert deep > 0.0 and math.hypot(out_x, out_y) == pytest.approx(deep)
                out = translate(shapes[b], x + 1.0001 * out_x, y + 1.0001 * out_y)
                assert shapes[a].intersection(out).area < 1e-2 * min(1.0, shared)
                for k in range(12):  # no way that is shorter ends it
                    c, s = math.cos(k * math.tau / 12), math.sin(k * math.tau / 12)
                    near = translate(shapes[b], x + 0.98 * deep * c, y + 0.98 * deep * s)
                    assert shapes[a].intersection(near).area > 0.0
    assert overlapping > 100 and apart > 50


def test_the_depths_of_a_scan_are_those_of_exact_soundings(table) -> None:
    board = table.board
    for a, b in np.ndindex(*board.pair.shape[:2]):
        start, tall, wide = (int(n) for n in board.pair[a, b, :3])
        depth = board.depth[start : start + tall * wide].reshape(tall, wide)
        for r, c in ((0, 0), (tall // 3, wide // 2), (tall // 2, wide // 4), (tall - 1, wide - 1)):
            x, y = board.origin[a, b, :2] + board.cell * np.array((c, r))
            assert sounded(table, a, b, x, y)[0] == pytest.approx(depth[r, c], abs=1e-4)
