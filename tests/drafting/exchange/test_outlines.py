"""Outlines among loose strokes, against areas and places worked out by hand."""

import math
import random
from itertools import pairwise

import pytest

from drafting.chains import reversed_chain
from drafting.curves import Cubic, Line, length, split
from drafting.errors import DraftingError
from drafting.exchange.linework import Stroke
from drafting.exchange.outlines import outlines
from drafting.plane import Point


def line(*places: tuple[float, float], layer: str = "") -> Stroke:
    points = [Point(*place) for place in places]
    segments = tuple(Line(a, b) for a, b in pairwise(points))
    return Stroke(segments, layer=layer)


def circle(x: float, y: float, radius: float) -> list[Cubic]:
    arm = 4 / 3 * (math.sqrt(2) - 1) * radius
    parts = []
    for k in range(4):
        c, s = math.cos(k * math.pi / 2), math.sin(k * math.pi / 2)

        def at(a: float, b: float, c: float = c, s: float = s) -> Point:
            return Point(x + c * a - s * b, y + s * a + c * b)

        parts.append(Cubic(at(radius, 0), at(radius, arm), at(arm, radius), at(0, radius)))
    return parts


def test_shuffled_and_turned_parts_of_two_pieces_are_told_apart() -> None:
    chance = random.Random(5)
    parts = [Stroke((segment,)) for segment in circle(500, 0, 80)]
    parts += [line((0, 0), (100, 0)), line((100, 0.3), (100, 50)), line((0.2, 50), (100, 50))]
    parts += [line((0, 50), (0, 0.2))]
    parts = [Stroke(reversed_chain(p.segments)) if chance.random() < 0.5 else p for p in parts]
    chance.shuffle(parts)
    found = outlines(parts, 0.5)
    square, round_one = found.outlines
    assert not found.faults and not found.loose
    assert square.area == pytest.approx(5000, abs=30)
    assert round_one.area == pytest.approx(math.pi * 80**2, rel=1e-3)
    assert all(isinstance(segment, Cubic) for segment in round_one.segments)
    for one in found.outlines:
        joints = zip(one.segments, (*one.segments[1:], one.segments[0]), strict=True)
        assert all(before.end == after.start for before, after in joints)


def test_a_gap_wider_than_the_tolerance_is_an_open_end_with_its_place() -> None:
    parts = [line((0, 0), (100, 0), (100, 50), (0, 50), (0, 3))]
    found = outlines(parts, 1.0)
    assert not found.outlines and len(found.loose) == 1
    assert {(f.kind, f.place.x, f.place.y) for f in found.faults} == {
        ("open end", 0, 0), ("open end", 0, 3),
    }  # fmt: skip
    assert "3.00 mm away" in found.faults[0].told
    assert outlines(parts, 3.5).outlines[0].area == pytest.approx(5000, abs=80)


def test_lines_inside_that_touch_the_outline_do_not_divide_it() -> None:
    parts = [
        line((0, 0), (60, 0)), line((60, 0), (100, 0), (100, 80)), line((100, 80), (0, 80)),
        line((0, 80), (0, 0)),
        line((60, 0), (50, 30)), line((50, 30), (40, 0)),  # a dart
        line((0, 40), (30, 45)),  # hangs inside by one end
        line((20, 60), (30, 60)),
    ]  # fmt: skip
    found = outlines(parts, 0.2)
    (outline,) = found.outlines
    assert outline.area == pytest.approx(8000)
    assert sum(length(s) for s in outline.segments) == pytest.approx(360)
    assert len(outline.inner) == 4
    assert {(round(f.place.x), round(f.place.y)) for f in found.faults} == {
        (30, 45), (20, 60), (30, 60),
    }  # fmt: skip


def test_two_pieces_joined_by_a_line_stay_two() -> None:
    parts = [
        line((0, 0), (10, 0)), line((10, 0), (10, 10), (0, 10), (0, 0)),
        line((10, 0), (30, 0)),
        line((30, 0), (40, 0)), line((40, 0), (40, 10), (30, 10), (30, 0)),
    ]  # fmt: skip
    found = outlines(parts, 0.1)
    assert [round(each.area) for each in found.outlines] == [100, 100]


def test_curves_are_cut_exactly_where_another_line_meets_them() -> None:
    arch = Cubic(Point(0, 0), Point(0, 80), Point(100, 80), Point(100, 0))
    top, _ = split(arch, 0.5)
    foot = top.end
    parts = [Stroke((arch,)), line((0, 0), (100, 0)), line((foot.x, foot.y), (foot.x, 0))]
    found = outlines(parts, 0.3)
    (outline,) = found.outlines
    assert sum(length(s) for s in outline.segments) == pytest.approx(length(arch) + 100, abs=0.01)
    assert len(outline.inner) == 1


def test_doubled_lines_and_crossings_are_told_with_their_places() -> None:
    square = [line((0, 0), (100, 0)), line((100, 0), (100, 100), (0, 100)), line((0, 100), (0, 0))]
    doubled = [*square, line((100, 0), (0, 0)), line((0, 20), (0, 80))]
    found = outlines(doubled, 0.2)
    assert [round(each.area) for each in found.outlines] == [10_000]
    told = sorted((f.kind, round(f.place.x), round(f.place.y)) for f in found.faults)
    assert told == [("doubled", 0, 50), ("doubled", 50, 0)]
    eight = line((0, 0), (100, 100), (100, 0), (0, 100), (0, 0))
    crossed = outlines([eight], 0.2)
    assert not crossed.outlines
    assert [(f.kind, f.place.x, f.place.y) for f in crossed.faults] == [("self-crossing", 50, 50)]


def test_outlines_inside_outlines_have_their_depth() -> None:
    def box(low: float, high: float) -> Stroke:
        return line((low, low), (high, low), (high, high), (low, high), (low, low))

    found = outlines([box(20, 40), box(0, 100), box(10, 90)])
    assert [(each.depth, round(each.area)) for each in found.outlines] == [
        (0, 10_000), (1, 6400), (2, 400),
    ]  # fmt: skip
    assert len(found.outlines[0].inner) == 2


def test_a_tolerance_out_of_range_is_refused() -> None:
    with pytest.raises(DraftingError, match="tolerance"):
        outlines([], math.nan)
