"""The draft against hand computation; every rule is common practice, no source."""

import itertools
import math

import numpy as np
import pytest
import shapely

from drafting.allowance import cutting_line
from drafting.curves import curvature_at
from drafting.draft import draft
from drafting.edge import edge_length, tangent_along
from drafting.errors import DraftingError
from drafting.piece import edge_named, notches_of
from drafting.plane import distance
from drafting.style import RANGES, Style
from drafting.survey import estimated_body
from tests.drafting.known_pieces import MEDIUM

LIFTS = (0.0, 0.25, 0.5, 1.0)


@pytest.mark.parametrize("lift", LIFTS)
def test_the_plan_is_the_one_drawn_by_hand(lift: float) -> None:
    made = draft(MEDIUM, Style(lift=lift))
    back, front, plan = made.block.back, made.block.front, made.plan
    neck = np.array([(back.neck_point.x + front.neck_point.x) / 2, back.neck_point.y])
    tip = np.array(
        [
            (back.shoulder_tip.x + front.shoulder_tip.x) / 2,
            (back.shoulder_tip.y + front.shoulder_tip.y) / 2 + 15.0,
        ]
    )
    reach = 120.0 + MEDIUM.arm
    low = neck + reach * (tip - neck) / np.hypot(*(tip - neck))
    high = neck + np.array([reach, 0.0])
    wrist = (1 - lift) * low + lift * high
    assert (plan.overarm_wrist.x, plan.overarm_wrist.y) == pytest.approx(tuple(wrist), abs=1e-9)
    along = (wrist - neck) / np.hypot(*(wrist - neck))
    edge = neck + 30.0 * along
    assert (plan.neck_edge.x, plan.neck_edge.y) == pytest.approx(tuple(edge), abs=1e-9)
    squared = wrist + (MEDIUM.hand + 30) / 2 * np.array([along[1], -along[0]])
    assert (plan.squared_wrist.x, plan.squared_wrist.y) == pytest.approx(tuple(squared), abs=1e-9)
    assert plan.corner.x == pytest.approx((back.underarm.x + front.underarm.x) / 2 + 20.0)
    assert plan.corner.y == pytest.approx(back.underarm.y - 80.0)
    assert plan.side_waist.y == 0.0


@pytest.mark.parametrize("kind", ["dolman", "bat"])
@pytest.mark.parametrize("lift", LIFTS)
def test_corners_are_square_and_the_contour_runs_smoothly(lift: float, kind: str) -> None:
    made = draft(MEDIUM, Style(lift=lift, sleeve_kind=kind))
    for piece in made.pieces:
        for a, b in (
            ("underarm", "wrist"),
            ("wrist", "overarm"),
            ("overarm", "neckline"),
            ("neckline", "centre"),
            ("centre", "hem"),
            ("hem", "side"),
        ):
            before, after = edge_named(piece, a), edge_named(piece, b)
            first, second = tangent_along(before, edge_length(before)), tangent_along(after, 0.0)
            assert abs(math.degrees(first.angle - second.angle) % 360 - 270) < 0.5, (a, b)
        if kind == "dolman":
            side, under = edge_named(piece, "side"), edge_named(piece, "underarm")
            assert tangent_along(side, 1.0).cross(tangent_along(under, 0.0)) == pytest.approx(0)
            curve, line = under.segments
            assert curvature_at(curve, 0.5) < 0  # it bends towards the sleeve, to the right
            assert tangent_along(under, edge_length(under)).unit.dot(
                (line.end - line.start).unit
            ) == pytest.approx(1.0)


def test_half_lift_is_the_midpoint_of_the_wrist_ends() -> None:
    plan = draft(MEDIUM, Style(lift=0.5)).plan
    assert distance(plan.overarm_wrist, plan.lowest_wrist) == pytest.approx(
        distance(plan.overarm_wrist, plan.highest_wrist)
    )


def test_defaults_are_those_of_common_practice() -> None:
    style = Style()
    assert (style.above_shoulder_tip, style.shoulder, style.side_ease) == (15, 120, 20)
    assert (style.underarm_drop, style.neck_wider) == (80, 30)
    assert (style.front_lower, style.back_lower, style.back_square) == (10, 10, 30)
    assert style.body_hem == 40 and 20 <= style.wrist_hem <= 25
    assert RANGES["wrist_hem"][1] == 25


def test_back_and_front_share_the_contour_and_carry_their_notches() -> None:
    back, front = draft(MEDIUM, Style()).pieces
    for name in ("hem", "side", "underarm", "wrist", "overarm"):
        assert edge_named(back, name).segments == edge_named(front, name).segments
    assert [n.kind for n in notches_of(back)] == ["double"] * 7
    assert [n.kind for n in notches_of(front)] == ["single"] * 7
    assert sum(n.edge == "underarm" for n in notches_of(back)) == 3
    assert back.fold_edge == front.fold_edge == "centre"


def test_findings_pass_for_a_medium_and_speak_of_the_head() -> None:
    made = draft(MEDIUM, Style(front_lower=60.0))
    assert {f.severity for f in made.findings} == {"fine"}
    tight = draft(MEDIUM, Style(neck_wider=0.0, front_lower=0.0, back_lower=0.0))
    assert any(f.subject == "neckline and head" and f.severity == "warning" for f in tight.findings)


def test_random_bodies_draft_closed_and_simple() -> None:
    # Spread of ANSUR II women: bust 946.9 sd 82.7, stature 1628.5 sd 64.2.
    random = np.random.default_rng(7)
    for lift, _ in itertools.product((0.0, 0.3, 0.7, 1.0), range(8)):
        bust, height = random.normal([946.9, 1628.5], [82.7, 64.2])
        body = estimated_body(
            {"bust": bust, "waist": 0.9 * bust, "hip": 375.7 + 0.68 * bust, "height": height}
        )
        for piece in draft(body, Style(lift=lift)).pieces:
            line = shapely.LinearRing([(p.x, p.y) for p in cutting_line(piece, 0.05)])
            assert line.is_simple and line.is_ccw


def test_a_sleeve_that_does_not_reach_past_the_side_is_refused() -> None:
    with pytest.raises(DraftingError, match="make the sleeve longer"):
        draft(MEDIUM, Style(lift=1.0, sleeve=50.0, side_ease=150.0))
    with pytest.raises(DraftingError, match=r"style\.lift"):
        Style(lift=1.4)


@pytest.mark.parametrize("lift", [0.0, 0.5, 1.0])
def test_a_bat_sleeve_to_the_waist_has_no_side_seam(lift: float) -> None:
    made = draft(MEDIUM, Style(sleeve_kind="bat", length=0.0, lift=lift))
    for piece in made.pieces:
        assert [edge.name for edge in piece.edges][:2] == ["hem", "underarm"]
    assert not [f for f in made.findings if f.severity == "stop"]


def test_stretch_of_the_neckline_lets_the_head_pass() -> None:
    severity = {}
    for stretch in (0.0, 0.9):
        made = draft(MEDIUM, Style(neck_wider=0.0, front_lower=0.0, neck_stretch=stretch))
        severity[stretch] = next(f.severity for f in made.findings if "head" in f.subject)
    assert severity == {0.0: "warning", 0.9: "fine"}


def test_a_neck_wider_than_the_shoulder_is_refused() -> None:
    for wider in (100.0, 90.0):
        with pytest.raises(DraftingError, match="neck_wider"):
            draft(MEDIUM, Style(neck_wider=wider, shoulder=90.0))


def test_no_allowance_at_a_wrist_that_meets_the_side_seam_is_no_division_by_zero() -> None:
    body = estimated_body(
        {"bust": 816.0, "waist": 816.0, "hip": 816.0, "height": 1400.0, "shoulder": 90.0,
         "front_to_waist": 300.0, "neck": 280.0, "nape_to_waist": 300.0}
    )  # fmt: skip
    for piece in draft(body, Style(wrist_hem=0.0), "M").pieces:  # a RuntimeWarning is an error
        assert all(np.isfinite((p.x, p.y)).all() for p in cutting_line(piece, 0.1))
