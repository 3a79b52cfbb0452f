"""The movement model against its own closed forms and the trade's experience."""

import itertools
import math
import re
from dataclasses import replace

import pytest
import scipy.optimize

from drafting.contour import shared_edges
from drafting.draft import draft
from drafting.edge import edge_length
from drafting.movement import hem_rise, lowest_lift, movement_finding, rise_over_lift
from drafting.plane import Point
from drafting.style import Style
from tests.drafting.known_pieces import MEDIUM

BLOCK = draft(MEDIUM, Style()).block
LIFTS = (0.0, 0.25, 0.5, 0.75, 1.0)


@pytest.mark.parametrize("angle_deg", [90.0, 80.0, 35.0])
def test_the_rise_is_the_straight_way_less_the_seam(angle_deg: float) -> None:
    # Recomputed with plain arithmetic from plan points: bat sleeve, whose seam is one straight
    # line from the waist to the wrist. The seam runs along the arm's lower, inner side.
    style = Style(sleeve_kind="bat", lift=0.0)
    angle = math.radians(angle_deg)
    plan = draft(MEDIUM, style).plan
    seam = math.dist((plan.side_waist.x, 0.0), (plan.underarm_wrist.x, plan.underarm_wrist.y))
    joint = (plan.shoulder_tip.x - 20.0, plan.shoulder_tip.y - 30.0)
    arm, half = MEDIUM.arm + 20.0, MEDIUM.wrist / (2 * math.pi)
    wrist = (
        joint[0] + arm * math.sin(angle) - half * math.cos(angle),
        joint[1] - arm * math.cos(angle) - half * math.sin(angle),
    )
    waist = math.sqrt(plan.side_waist.x**2 - (MEDIUM.waist / 7.6) ** 2)
    way = math.dist((waist, 0.0), wrist)
    rise = hem_rise(MEDIUM, plan, style, angle)
    assert rise == pytest.approx(max(way - seam, 0.0), abs=1e-6)
    assert rise > 0.0 or angle_deg < 80.0


@pytest.mark.parametrize("style", [Style(), Style(sleeve_kind="bat"), Style(underarm_drop=20.0)])
def test_a_higher_lift_and_a_lower_arm_never_raise_the_hem_more(style: Style) -> None:
    # Conover 1922, p. 56: an overarm cut too steep rides the side hem up.
    angles = (0.0, 30.0, 45.0, 60.0, 75.0, 90.0)
    rows = rise_over_lift(MEDIUM, BLOCK, style, LIFTS, angles)
    for lower, higher in itertools.pairwise(rows):
        assert all(b <= a + 1e-9 for a, b in zip(lower, higher, strict=True))
    for row in rows:
        assert list(row) == sorted(row) and row[0] == 0.0
    assert rows[0][-1] > rows[-1][-1]


def test_a_deeper_underarm_raises_the_hem_more() -> None:
    rises = [
        hem_rise(MEDIUM, draft(MEDIUM, s).plan, s, math.pi / 2)
        for s in (Style(underarm_drop=20.0), Style(), Style(underarm_drop=150.0))
    ]
    assert rises == sorted(rises) and rises[0] < rises[2]


@pytest.mark.parametrize("accepted", [3.0, 10.0, 20.0, 40.0, 60.0, 80.0, 100.0])
def test_the_lowest_lift_is_scipys_root_rounded_up(accepted: float) -> None:
    style = Style(sleeve_kind="bat")

    def above(lift: float) -> float:
        return rise_over_lift(MEDIUM, BLOCK, style, (lift,), (90.0,))[0][0] - accepted

    root = scipy.optimize.brentq(above, 0.0, 1.0)
    lift = lowest_lift(MEDIUM, BLOCK, style, accepted, math.pi / 2)
    assert lift is not None and 0.0 <= lift - root <= 0.015
    assert lift * 100 == pytest.approx(round(lift * 100))


def test_the_finding_tells_the_figures_of_the_model_and_a_lift_that_mends_it() -> None:
    style = Style(sleeve_kind="bat", lift=0.1)
    made = draft(MEDIUM, style)
    found = movement_finding(MEDIUM, made.block, made.plan, style)
    at_45, at_90 = rise_over_lift(MEDIUM, BLOCK, style, (style.lift,), (45.0, 90.0))[0]
    assert (found.severity, found.subject) == ("note", "lift and movement")
    assert f"rises some {at_45:.0f} mm at 45 degrees and {at_90:.0f} mm at 90" in found.measured
    assert "at least 15 mm above the shoulder tip" in found.wanted
    told = re.fullmatch(r"From a lift of (0\.\d\d) it rises at most 80 mm; a .*", found.advice)
    assert told and at_90 > 80.0
    lift = float(told[1])
    at, below = rise_over_lift(MEDIUM, BLOCK, style, (lift, lift - 0.02), (90.0,))
    assert at[0] <= 80.0 < below[0]


def test_a_wide_short_sleeve_that_no_lift_helps_is_told_so() -> None:
    style = Style(lift=0.0, sleeve=250.0, wrist_width=600.0)
    made = draft(MEDIUM, style)
    found = movement_finding(MEDIUM, made.block, made.plan, style)
    (at_45, at_90), (_, highest) = rise_over_lift(MEDIUM, BLOCK, style, (0.0, 1.0), (45.0, 90.0))
    assert 0.0 < at_45 < 80.0 < highest
    assert f"rises some {at_45:.0f} mm at 45 degrees and {at_90:.0f} mm at 90" in found.measured
    assert found.advice.startswith("No lift keeps it below 80 mm; ")
    assert lowest_lift(MEDIUM, BLOCK, style, 80.0, math.pi / 2) is None


def test_the_lowest_lift_that_lets_the_hem_hang() -> None:
    style = Style(sleeve=250.0, wrist_width=600.0)
    lift = lowest_lift(MEDIUM, BLOCK, style, 0.0, math.radians(60.0))
    assert lift is not None and 0.02 < lift < 1.0
    at, below = rise_over_lift(MEDIUM, BLOCK, style, (lift, lift - 0.02), (60.0,))
    assert at[0] == 0.0 < below[0]
    assert lowest_lift(MEDIUM, BLOCK, style, 1e4, math.pi / 2) == 0.0
    assert lowest_lift(MEDIUM, BLOCK, style, 0.0, 0.0) == 0.0  # arms that hang raise nothing


def test_a_waist_that_no_cloth_reaches_round_is_left_at_its_middle() -> None:
    # The straight way then begins at the centre, by plain arithmetic as above.
    style = Style(sleeve_kind="bat", lift=0.0)
    plan = replace(draft(MEDIUM, style).plan, side_waist=Point(50.0, 0.0))
    assert plan.side_waist.x < MEDIUM.waist / 7.6
    seam = edge_length(next(e for e in shared_edges(plan, style) if e.name == "underarm"))
    joint = (plan.shoulder_tip.x - 20.0, plan.shoulder_tip.y - 30.0)
    wrist = (joint[0] + MEDIUM.arm + 20.0, joint[1] - MEDIUM.wrist / (2 * math.pi))
    rise = hem_rise(MEDIUM, plan, style, math.pi / 2)
    assert rise == pytest.approx(math.hypot(*wrist) - seam, abs=1e-6)


def test_a_cap_lets_the_hem_hang() -> None:
    style = Style(sleeve_to="cap", lift=0.0)
    assert hem_rise(MEDIUM, draft(MEDIUM, style).plan, style, math.pi / 2) == 0.0


def test_the_warning_begins_just_under_fifteen_millimetres() -> None:
    # 15 mm above the halfway shoulder tip: common practice, no source.
    for above, severity in ((5.0, "warning"), (14.9, "warning"), (15.0, "fine")):
        style = Style(lift=0.0, above_shoulder_tip=above)
        made = draft(MEDIUM, style)
        found = movement_finding(MEDIUM, made.block, made.plan, style)
        assert (found.severity, found.subject) == (severity, "lift and movement")
        assert f"passes {above:.0f} mm above" in found.measured
        assert "at least 15 mm above the shoulder tip" in found.wanted
        assert ("set above_shoulder_tip to 15 mm" in found.advice) == (severity == "warning")
