"""The family of styles: each option does what it says; all figures are common practice."""

import itertools
import math

import numpy as np
import pytest

from drafting.allowance import cutting_line
from drafting.dolman import is_cap
from drafting.draft import Draft, draft
from drafting.edge import edge_length, end_of, flattened_edge, start_of, tangent_along
from drafting.errors import DraftingError
from drafting.marks import Drill, InnerLine
from drafting.piece import edge_named, notches_of
from drafting.plane import distance
from drafting.style import CHOICES, RANGES, Style
from drafting.survey import completed
from tests.drafting.known_pieces import MEDIUM


def made(**options: object) -> Draft:
    return draft(MEDIUM, Style(**options))  # type: ignore[arg-type]


def bad_corners(one: Draft) -> list[str]:
    return [f.subject for f in one.findings if "corner" in f.subject and f.severity != "fine"]


def test_every_pair_of_words_drafts_with_square_corners_and_equal_seams() -> None:
    for first, second in itertools.combinations(CHOICES, 2):
        for a, b in itertools.product(CHOICES[first], CHOICES[second]):
            if {first: a, second: b}.get("sleeve_kind") == "bat" and {a, b} & {"cap", "short"}:
                continue  # from the waist to so short a sleeve the seam would be too steep
            one = made(**{first: a, second: b})
            assert not bad_corners(one), (first, a, second, b)
            assert not [f for f in one.findings if f.severity == "stop"]
            for piece in one.pieces:
                cutting_line(piece, 0.1)


def test_random_styles_either_draft_whole_or_say_what_to_change() -> None:
    chance = np.random.default_rng(11)
    drawn = refused = 0
    for _ in range(120):
        options: dict[str, object] = {
            name: float(chance.uniform(low, high))
            for name, (low, high) in RANGES.items()
            if chance.random() < 0.25
        }
        options |= {n: str(chance.choice(w)) for n, w in CHOICES.items() if chance.random() < 0.4}
        body = completed({"bust": chance.uniform(760, 1400), "height": chance.uniform(1500, 1850)})
        try:
            one = draft(body, Style(**options))  # type: ignore[arg-type]
        except DraftingError as error:
            assert str(error).startswith("style."), options
            refused += 1
            continue
        drawn += 1
        assert not bad_corners(one), options
        back, front = one.pieces[:2]
        for name in {"overarm", "wrist", "hem"} & {edge.name for edge in back.edges}:
            assert edge_length(edge_named(back, name)) == edge_length(edge_named(front, name))
    assert drawn > 60 and refused < 60


@pytest.mark.parametrize("lift", [0.0, 0.5, 1.0])
def test_sleeves_from_cap_to_full_grow_along_the_same_overarm(lift: float) -> None:
    words = ("cap", "short", "elbow", "three-quarter", "full")
    drafts = [made(sleeve_to=word, lift=lift) for word in words]
    parts = [distance(one.plan.shoulder, one.plan.overarm_wrist) for one in drafts]
    assert parts == sorted(parts)
    assert is_cap(drafts[0].plan) and not is_cap(drafts[-1].plan)
    # The elbow divides the arm as 311 to 241 mm (ANSUR II women, NATICK/TR-15/007, means of
    # acromion-radiale and radiale-stylion length).
    full, elbow = drafts[-1].plan, drafts[2].plan
    reach = distance(elbow.neck_point, elbow.lowest_wrist)
    assert (reach - 120.0) / MEDIUM.arm == pytest.approx(311.2 / (311.2 + 241.3), abs=0.01)
    # A shorter sleeve is the longer one cut off: its squared wrist lies on the same line.
    line = (full.squared_wrist - full.corner).unit
    assert abs(line.cross(elbow.squared_wrist - full.corner)) < 1e-9


def test_a_cap_has_no_underarm_and_passes_the_arm() -> None:
    one = made(sleeve_to="cap")
    names = [edge.name for edge in one.pieces[0].edges]
    assert names == ["hem", "side", "wrist", "overarm", "neckline", "centre"]
    opening = 2 * edge_length(edge_named(one.pieces[0], "wrist"))
    assert opening > MEDIUM.upper_arm + 20


def test_wrists_are_tapered_straight_or_wide() -> None:
    widths = [2 * distance(p.squared_wrist, p.overarm_wrist) for p in (
        made(wrist=word).plan for word in CHOICES["wrist"]
    )]  # fmt: skip
    tapered, straight, wide = widths
    assert tapered == pytest.approx(MEDIUM.hand + 30)
    assert straight == pytest.approx(MEDIUM.upper_arm + 60)  # 50 to 75 mm is published
    assert wide == pytest.approx(straight + 120)


@pytest.mark.parametrize("width", [240.0, 300.0, 360.0])
@pytest.mark.parametrize("sleeve", [300.0, 400.0, 540.0])
def test_a_width_asked_for_around_is_the_width_of_the_finished_end(
    width: float, sleeve: float
) -> None:
    one = made(wrist_width=width, sleeve=sleeve, wrist_measured="around")
    # Measured as a tape would, along many short chords.
    points = flattened_edge(edge_named(one.pieces[0], "wrist"), 0.001)
    around = 2 * sum(distance(a, b) for a, b in itertools.pairwise(points))
    assert around == pytest.approx(width, abs=0.3)
    across = made(wrist_width=width, sleeve=sleeve)
    assert 2 * distance(across.plan.squared_wrist, across.plan.overarm_wrist) == pytest.approx(
        width
    )


def test_underarm_from_high_to_the_waist() -> None:
    levels = [made(underarm_drop=drop).plan.corner.y for drop in (0.0, 80.0, 200.0)]
    side = made().plan.side_point.y
    assert levels == pytest.approx([side, side - 80, side - 200])
    with pytest.raises(DraftingError, match="or choose the bat sleeve"):
        made(underarm_drop=290.0)
    assert made(sleeve_kind="bat").plan.corner.y == 0.0


def test_hems_by_words_follow_the_height() -> None:
    lengths = [-made(hem_to=word).plan.hem_centre.y for word in ("waist", "hip", "tunic", "dress")]
    assert lengths == sorted(lengths) and lengths[0] == 0.0
    # ANSUR II women of stature 1628: waist about 1000 mm and knee about 450 mm from the floor
    # (from memory), so a dress to the knee is some 550 mm below the waist.
    assert lengths[3] == pytest.approx(550, abs=80)


@pytest.mark.parametrize("flare", [0.0, 30.0, 120.0])
@pytest.mark.parametrize("rise", [-20.0, 0.0, 50.0])
def test_flared_and_shaped_hems_are_square_to_centre_and_side(flare: float, rise: float) -> None:
    one = made(flare=flare, side_rise=rise, hem_to="tunic")
    hem, side = (edge_named(one.pieces[0], name) for name in ("hem", "side"))
    assert tangent_along(hem, 0.0).y == pytest.approx(0.0, abs=1e-12)
    into, out = tangent_along(hem, edge_length(hem)), tangent_along(side, 0.0)
    assert abs(into.dot(out)) < 1e-9
    assert end_of(hem).x == pytest.approx(one.plan.side_waist.x + flare)
    # A flared side is as long from the waist as the centre, but for the rise and its bend.
    below = edge_length(side) - one.plan.curve_start.y
    assert below == pytest.approx(0.22 * MEDIUM.height - rise, abs=1.0 + 0.12 * flare)


def test_necklines_are_what_their_names_say() -> None:
    crew, boat, scoop, v = (made(neckline=word) for word in CHOICES["neckline"])
    width = {n: one.plan.neck_edge.x for n, one in zip("cbsv", (crew, boat, scoop, v), strict=True)}
    depth = {
        n: end_of(edge_named(one.pieces[1], "neckline")).y
        for n, one in zip("cbsv", (crew, boat, scoop, v), strict=True)
    }
    assert width["b"] > width["s"] > width["c"] == width["v"]
    assert depth["b"] > depth["c"] > depth["s"] > depth["v"]
    # The point of a v is not square to the centre; every other neckline is.
    for one, square in ((crew, True), (boat, True), (scoop, True), (v, False)):
        neck = edge_named(one.pieces[1], "neckline")
        end = tangent_along(neck, edge_length(neck))
        assert (abs(end.y) < 1e-9) is square
        overarm = edge_named(one.pieces[1], "overarm")
        out = tangent_along(overarm, edge_length(overarm))
        assert abs(out.dot(tangent_along(neck, 0.0))) < 1e-9


def test_the_advice_lowers_the_front_until_the_head_passes() -> None:
    tight = made()
    found = next(f for f in tight.findings if f.subject == "neckline and head")
    assert found.severity == "warning"
    lower = float(found.advice.split("by ")[1].split(" mm")[0])
    for more, severity in ((lower, "fine"), (lower - 2.0, "warning")):
        again = made(front_lower=10.0 + more)
        assert next(f for f in again.findings if f.subject == found.subject).severity == severity
        opening = 2 * sum(edge_length(edge_named(p, "neckline")) for p in again.pieces)
        assert (opening >= MEDIUM.head) is (severity == "fine")


def test_the_waist_is_carried_onto_the_pieces() -> None:
    for options in ({}, {"flare": 60.0}, {"underarm_drop": 170.0}, {"sleeve_to": "cap"}):
        for piece in made(**options).pieces:
            (line,) = (m for m in piece.marks if isinstance(m, InnerLine) and m.name == "waist")
            assert line.segments[0].start.y == line.segments[0].end.y == 0.0
            notch = next(n for n in notches_of(piece) if n.name == "waist")
            edge = edge_named(piece, notch.edge)
            walked, at = 0.0, start_of(edge)
            for point in flattened_edge(edge, 0.001)[1:]:
                if point.y > 0.0:
                    walked += distance(at, point) * -at.y / (point.y - at.y)
                    break
                walked, at = walked + distance(at, point), point
            assert notch.along == pytest.approx(walked, abs=0.05)


def test_waist_darts_are_dropped_or_kept() -> None:
    assert not [m for p in made().pieces for m in p.marks if isinstance(m, Drill)]
    kept = made(waist_darts="kept", length=300.0)
    for piece, half in zip(kept.pieces, (kept.block.back, kept.block.front), strict=True):
        legs = [m for m in piece.marks if isinstance(m, InnerLine) and "dart" in m.name]
        assert len(legs) == len(half.darts) > 0
        drills = [m.point for m in piece.marks if isinstance(m, Drill)]
        assert {d.tip for d in half.darts} <= set(drills)
    assert any(f.subject == "waist with its darts sewn" for f in kept.findings)


def test_a_block_of_the_workers_own_is_drafted_from() -> None:
    own = made().block
    moved = draft(MEDIUM, Style(), "own", own)
    assert moved.plan == made().plan
    wider = type(own)(own.back, own.back)
    assert draft(MEDIUM, Style(), "own", wider).plan.side_point.x == pytest.approx(
        own.back.underarm.x
    )


def test_angles_are_in_the_right_unit() -> None:
    plan = made(lift=0.0).plan
    along = plan.overarm_wrist - plan.neck_point
    # Over a point 15 mm above the halfway shoulder tip: some 13 degrees below the horizontal
    # beneath shoulders that slope by 18 and 22.
    assert 8 < math.degrees(-along.angle) < 20
