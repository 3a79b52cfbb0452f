"""The movement model against its own closed forms and the trade's experience."""

import itertools
import math

import pytest

from drafting.draft import draft
from drafting.movement import hem_rise, lowest_lift, movement_finding, rise_over_lift
from drafting.style import Style
from drafting.survey import estimated_body

MEDIUM = estimated_body({"bust": 920.0, "waist": 760.0, "hip": 1000.0, "height": 1650.0})
BLOCK = draft(MEDIUM, Style()).block
LIFTS = (0.0, 0.25, 0.5, 0.75, 1.0)


def test_the_rise_is_the_straight_way_less_the_seam() -> None:
    # Recomputed with plain arithmetic from plan points: arm level, bat sleeve, whose seam is one
    # straight line from the waist to the wrist.
    style = Style(sleeve_kind="bat", lift=0.0)
    plan = draft(MEDIUM, style).plan
    seam = math.dist((plan.side_waist.x, 0.0), (plan.underarm_wrist.x, plan.underarm_wrist.y))
    joint = (plan.shoulder_tip.x - 20.0, plan.shoulder_tip.y - 30.0)
    wrist = (joint[0] + MEDIUM.arm + 20.0, joint[1] - MEDIUM.wrist / (2 * math.pi))
    waist = math.sqrt(plan.side_waist.x**2 - (MEDIUM.waist / 7.6) ** 2)
    way = math.dist((waist, 0.0), wrist)
    assert hem_rise(MEDIUM, plan, style, math.pi / 2) == pytest.approx(way - seam, abs=1e-6)


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


def test_the_lowest_lift_for_a_rise_is_solved() -> None:
    style = Style(sleeve_kind="bat")
    lift = lowest_lift(MEDIUM, BLOCK, style, 60.0, math.pi / 2)
    assert lift is not None and 0.0 < lift < 1.0
    at, below = rise_over_lift(MEDIUM, BLOCK, style, (lift, lift - 0.02), (90.0,))
    assert at[0] <= 60.0 < below[0]
    assert lowest_lift(MEDIUM, BLOCK, style, 1e4, math.pi / 2) == 0.0


def test_an_overarm_under_the_lowest_useful_one_is_warned_of() -> None:
    # 15 mm above the halfway shoulder tip: common practice, no source.
    for above, severity in ((15.0, "fine"), (5.0, "warning")):
        style = Style(lift=0.0, above_shoulder_tip=above)
        made = draft(MEDIUM, style)
        found = movement_finding(MEDIUM, made.block, made.plan, style)
        assert found.severity == severity
        assert f"passes {above:.0f} mm above" in found.measured
