"""Bands, facings, gusset, join and labels against hand computation and shapely."""

import itertools
import math

import numpy as np
import pytest
import shapely

from drafting.allowance import cutting_line
from drafting.draft import Draft, draft
from drafting.edge import edge_length, flattened_edge
from drafting.errors import DraftingError
from drafting.labels import dated
from drafting.marks import InnerLine, Label, Notch
from drafting.piece import Piece, edge_named, seam_polygon
from drafting.plane import distance
from drafting.seams import walked_all
from drafting.style import Style
from drafting.survey import estimated_body
from tests.drafting.known_pieces import MEDIUM

LOW = {"lift": 0.2, "underarm_drop": 40.0, "front_lower": 60.0}


def named(made: Draft, name: str) -> Piece:
    return next(piece for piece in made.pieces if piece.name == name)


def area(piece: Piece) -> float:
    return seam_polygon(piece, 0.01).area


def test_bands_are_as_long_as_their_seams_let_them() -> None:
    made = draft(
        MEDIUM,
        Style(neck_binding=12, cuff=60, hem_band=50, band_stretch=0.1, neck_stretch=0.4, **LOW),
    )
    back, front = made.pieces[:2]
    for name, edge, width, openings in (
        ("neck binding", "neckline", 12, 1),
        ("cuff", "wrist", 60, 1),
        ("hem band", "hem", 50, 1),
    ):
        band = named(made, name)
        opening = edge_length(edge_named(back, edge)) + edge_length(edge_named(front, edge))
        # By hand: half the opening, or one wrist, shortened so that a tenth's stretch fills it.
        assert edge_length(edge_named(band, "sewn edge")) == pytest.approx(openings * opening / 1.1)
        assert area(band) == pytest.approx(opening / 1.1 * 2 * width)
        notches = [m for m in band.marks if isinstance(m, Notch)]
        front_part = edge_length(edge_named(front, edge)) / 1.1
        assert notches[0].along == pytest.approx(front_part)
        # The notch on the edge below lies on the other, folded over: the same x.
        assert opening / 1.1 - notches[1].along == pytest.approx(front_part)
    assert named(made, "cuff").count == 2 and named(made, "hem band").fold_edge == "centre"
    assert edge_named(back, "wrist").role == "seam" and edge_named(back, "hem").allowance == 10.0


def test_a_facing_runs_parallel_to_its_neckline() -> None:
    for neckline in ("crew", "boat", "scoop", "v"):
        made = draft(MEDIUM, Style(neck_facing=60.0, front_lower=60.0, neckline=neckline))
        for side in ("back", "front"):
            made_facing = named(made, f"{side} facing")
            neck = shapely.LineString(
                [(p.x, p.y) for p in flattened_edge(edge_named(made_facing, "neckline"), 0.002)]
            )
            outer = flattened_edge(edge_named(made_facing, "outer edge"), 0.01)
            apart = [neck.distance(shapely.Point(p.x, p.y)) for p in outer if p.x > 40.0]
            assert max(abs(d - 60.0) for d in apart) < 0.05, neckline
            assert min(p.x for p in outer) == pytest.approx(0.0, abs=1e-9)


def test_a_joined_sleeve_is_the_whole_cut_in_two() -> None:
    plain, joined = draft(MEDIUM, Style(**LOW)), draft(MEDIUM, Style(join=320.0, **LOW))
    for name in ("back", "front"):
        body, sleeve = named(joined, name), named(joined, f"{name} sleeve")
        assert area(body) + area(sleeve) == pytest.approx(area(named(plain, name)), abs=1.0)
        seam = edge_named(body, "join")
        top = seam.segments[0].end
        overarm = edge_named(named(plain, name), "overarm")
        assert distance(top, overarm.segments[-1].end) == pytest.approx(320.0)
        assert sleeve.count == 2 and sleeve.paired and sleeve.fold_edge is None
    # Squared where the join is sewn first: both cut edges end as far beyond the overarm.
    ends = []
    for piece in (named(joined, "back"), named(joined, "back sleeve")):
        shape = shapely.Polygon([(p.x, p.y) for p in cutting_line(piece, 0.01)])
        assert shape.is_valid
        ends.append(shape)
    shared = edge_named(named(joined, "back"), "join").segments[0]
    along = (shared.end - shared.start).unit
    reach = [
        max(
            along.dot(type(along)(x, y) - shared.end)
            for x, y in s.exterior.coords
            if abs(along.cross(type(along)(x, y) - shared.end)) < 10.01
        )
        for s in ends
    ]
    assert reach[0] == pytest.approx(10.0, abs=0.01) and reach[1] == pytest.approx(10.0, abs=0.01)


def test_a_gusset_has_four_sides_that_fit_their_slashes() -> None:
    plain, made = draft(MEDIUM, Style(**LOW)), draft(MEDIUM, Style(gusset=100.0, **LOW))
    diamond = named(made, "gusset")
    assert [edge_length(edge) for edge in diamond.edges] == pytest.approx([100.0] * 4)
    # By hand: a diamond of sides 100 that is 100 across is 2 sqrt(100^2 - 50^2) long.
    assert area(diamond) == pytest.approx(100.0 * math.sqrt(100.0**2 - 50.0**2))
    for name in ("back", "front"):
        whole = shapely.Polygon([(p.x, p.y) for p in cutting_line(named(plain, name), 0.01)])
        cut = shapely.Polygon([(p.x, p.y) for p in cutting_line(named(made, name), 0.01)])
        # Allowances close over the slash, which is cut along its marked line.
        assert cut.symmetric_difference(whole).area < 0.02 * whole.area
        assert any(
            isinstance(m, InnerLine) and m.name == "gusset slash" for m in named(made, name).marks
        )
        assert edge_length(edge_named(named(made, name), "gusset body")) == pytest.approx(100.0)


def test_what_cannot_be_made_is_told_in_the_words_of_the_style() -> None:
    with pytest.raises(DraftingError, match=r"style\.join: 900 mm from the neckline is not on"):
        draft(MEDIUM, Style(join=900.0))
    with pytest.raises(DraftingError, match=r"style\.join: .* meets the body, not the underarm"):
        draft(MEDIUM, Style(join=80.0))
    with pytest.raises(DraftingError, match=r"style\.gusset: the underarm has no curve"):
        draft(MEDIUM, Style(gusset=100.0, sleeve_kind="bat"))
    with pytest.raises(DraftingError, match=r"style\.neck_facing: a neck with a binding"):
        Style(neck_binding=12.0, neck_facing=60.0)
    made = draft(MEDIUM, Style(cuff=60.0, band_stretch=0.2, neck_stretch=0.1))
    assert any(f.subject == "stretch of the bands" for f in made.findings)


def test_over_random_bodies_and_lifts_everything_fits() -> None:
    # Spread of ANSUR II women: bust 946.9 sd 82.7, stature 1628.5 sd 64.2.
    random = np.random.default_rng(11)
    options = (
        {"neck_binding": 12.0, "cuff": 60.0, "hem_band": 60.0, "band_stretch": 0.1},
        {"neck_facing": 50.0, "join": 420.0},
        {"gusset": 90.0, "join": 420.0, "cuff": 40.0},
    )
    for lift, more in itertools.product((0.0, 0.35, 0.7, 1.0), options):
        bust, height = random.normal([946.9, 1628.5], [82.7, 64.2])
        body = estimated_body(
            {"bust": bust, "waist": 0.9 * bust, "hip": 375.7 + 0.68 * bust, "height": height}
        )
        made = draft(body, Style(lift=lift, neck_stretch=0.3, **more), "M")
        for walk in walked_all(made.pieces, made.seams):
            assert walk.fits, walk
        for piece in made.pieces:
            line = shapely.LinearRing([(p.x, p.y) for p in cutting_line(piece, 0.05)])
            assert line.is_simple and line.is_ccw
            label = next(m for m in piece.marks if isinstance(m, Label))
            room = seam_polygon(piece, 0.1)
            assert room.contains(shapely.Point(label.point.x, label.point.y))
            assert f"{piece.name} M" in label.lines[0]


def test_labels_say_who_how_often_and_when() -> None:
    back = draft(MEDIUM, Style(), "M").pieces[0]
    lines = next(m for m in dated(back, "2024-05-01").marks if isinstance(m, Label)).lines
    assert lines == (
        "back M",
        "cut 1 on the fold",
        "bust 92.0, hip 100.0 cm",
        "height 165.0 cm, rest estimated",
        "drafted 2024-05-01",
    )
