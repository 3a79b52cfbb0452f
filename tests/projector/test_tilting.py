"""Pieces tilted off the grain: only as far as allowed, only those that may, and only for a gain."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
import yaml
from shapely.affinity import rotate

from drafting.marks import Drill, Grain
from drafting.piece import Piece
from drafting.plane import Motion, Point
from projector.cloth.autolayout import arrange, improving_lays
from projector.cloth.clearance import violations
from projector.cloth.cloth import Cloth, Match
from projector.cloth.layout import Layout
from projector.cloth.shapes import spans, tilt_words
from projector.cloth.tilting import tilted_lays
from projector.cloth.yardage import lower_bound, used_length
from projector.errors import ProjectorError
from projector.files.cloth_entries import cloth_plain, read_cloth
from projector.files.sheet import read_entries
from tests.drafting.known_pieces import cornered
from tests.projector.blocks import block
from tests.projector.cloth_checker import faults

TWO = math.radians(2.0)
FLAT = Cloth(width=500.0, folded=False, selvage=0.0)


def slanted(rise: float = 400.0 * math.tan(TWO), **more) -> Piece:
    """400 mm wide and 2000 mm high; its ends rise by 2 degrees from its grain's square."""
    corners = [(0, 0), (400, rise), (400, 2000 + rise), (0, 2000)]
    marks = (Grain(Point(200, 100), Point(200, 900)), Drill(Point(200, 300), "check"))
    return cornered(corners, 0.0, "cut", "slanted", marks, **more)


def test_a_tilt_shortens_the_lay_by_what_geometry_says() -> None:
    """Turned by 2 degrees its ends lie square to the cloth: 2000 cos 2 deg instead of 2014."""
    plain = arrange(Layout(FLAT, (slanted(),)), budget=2)
    assert used_length(plain) == pytest.approx(2000 + 400 * math.tan(TWO), abs=0.05)
    allowed = Layout(replace(FLAT, tilt=TWO), (slanted(),))
    laid = arrange(allowed, budget=2)
    assert used_length(laid) == pytest.approx(2000 * math.cos(TWO), abs=0.05)
    assert faults(laid) == [] and not violations(laid)
    assert lower_bound(laid).length <= used_length(laid) + 1e-6
    (placed,) = laid.placements
    assert tilt_words(laid.pieces[0], placed.cloth_from_piece) == ["tilted 2.0 deg"]
    assert list(tilted_lays(plain)) == []


def test_half_the_tolerance_gains_half() -> None:
    laid = arrange(Layout(replace(FLAT, tilt=TWO / 2), (slanted(),)), budget=2)
    corners = np.array([[0, 0], [400, 400 * math.tan(TWO)]])
    rise = corners @ [-math.sin(TWO / 2), math.cos(TWO / 2)]
    assert used_length(laid) == pytest.approx(2000 * math.cos(TWO / 2) + np.ptp(rise), abs=0.05)


def test_the_span_within_a_tilt_is_the_least_of_a_fine_sweep() -> None:
    rng = np.random.default_rng(3)
    for _ in range(6):
        points = rng.uniform(0, 300, (9, 2))
        hull = shapely.MultiPoint(points).convex_hull
        corners = shapely.orient_polygons(hull).exterior.coords[:-1]
        for free in (False, True):
            piece = cornered(corners, 0.0, "cut", turns_freely=free)
            reach = 180.0 if free else 5.0
            swept = [np.ptp(rotate(hull, 90 + at).exterior.xy[0])
                     for at in np.linspace(-reach, reach, 1001)]  # fmt: skip
            told = min(spans(piece, replace(FLAT, tilt=math.radians(5.0)), 0))
            assert told <= min(swept) + 1e-9
            assert told == pytest.approx(min(swept), abs=0.5)


def test_what_lies_on_the_fold_or_on_a_stripe_keeps_its_grain() -> None:
    half = block("half", 200.0, 700.0, fold_edge="edge 3")
    matched = Cloth(width=1500.0, repeat_along=40.0, tilt=TWO,
                    matches=(Match("slanted", "check", across=False),))  # fmt: skip
    for laid in improving_lays(Layout(matched, (half, slanted())), budget=2):
        assert faults(laid) == []
        for placed in laid.placements:
            assert abs(math.cos(placed.cloth_from_piece.angle)) < 1e-9


def test_more_than_is_allowed_is_a_fault_and_a_tilted_lay_may_stay() -> None:
    allowed = arrange(Layout(replace(FLAT, tilt=TWO), (slanted(), block("tab", 90, 80))), budget=2)
    strict = replace(allowed, cloth=replace(allowed.cloth, tilt=TWO / 2))
    assert any("grain" in fault for fault in violations(strict))
    assert any("grain" in fault for fault in faults(strict))
    again = arrange(allowed, seed=5, budget=2)
    assert used_length(again) <= used_length(allowed) + 1e-9 and faults(again) == []


def test_locked_pieces_are_not_tilted() -> None:
    motion = Motion(math.pi / 2, 2014.0, 0.0)
    laid = arrange(Layout(FLAT, (slanted(),)), budget=1)
    locked = tuple(replace(p, locked=True, cloth_from_piece=motion) for p in laid.placements)
    lay = Layout(replace(FLAT, tilt=TWO), laid.pieces, locked)
    assert list(tilted_lays(lay)) == [] and arrange(lay, budget=2).placements == locked


def test_the_tolerance_survives_the_file_and_is_kept_in_bounds() -> None:
    cloth = replace(FLAT, tilt=math.radians(1.5))
    plain = cloth_plain(cloth)
    assert plain["tilt_deg"] == 1.5
    read = read_cloth(read_entries(yaml.safe_dump(plain), "job.yaml"))
    assert read is not None and read.tilt == pytest.approx(cloth.tilt, abs=1e-12)
    with pytest.raises(ProjectorError, match="tilt"):
        replace(FLAT, tilt=math.radians(25.0))
