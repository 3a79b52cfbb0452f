"""Two drafts worked by hand, with plain arithmetic only, beside what the code draws.

All rules are common practice, no source; the block's own rules are told in `bodice`. Nothing of
the package but its entrance is used to find the expected figures.
"""

import math

import pytest

from drafting.dolman import is_cap
from drafting.draft import Draft, draft
from drafting.edge import edge_length, end_of, start_of
from drafting.errors import DraftingError
from drafting.piece import edge_named
from drafting.plane import Point
from drafting.style import Style
from drafting.survey import estimated_body

MEASURED = {
    "neck": 360.0, "nape_to_waist": 410.0, "shoulder": 125.0, "arm": 560.0, "hand": 190.0,
    "armscye_depth": 193.0, "across_back": 350.0, "across_chest": 325.0, "head": 560.0,
    "upper_arm": 280.0, "wrist": 150.0, "front_to_waist": 440.0,
    "bust_depth": 260.0, "bust_span": 180.0,
}  # fmt: skip
SLIM = {"bust": 880.0, "waist": 700.0, "hip": 940.0, "height": 1660.0, **MEASURED}


def near(found: Point, x: float, y: float) -> None:
    assert (found.x, found.y) == pytest.approx((x, y), abs=0.005)


def length(made: Draft, name: str) -> float:
    return edge_length(edge_named(made.pieces[0], name))


def test_a_dolman_at_half_lift_worked_by_hand() -> None:
    made = draft(estimated_body(SLIM), Style(lift=0.5))
    back, front, plan = made.block.back, made.block.front, made.plan
    # Block. Armhole depth 193 + 880/40 - 10 = 205, hence the bust line at 410 - 205 = 205.
    # Back neck 360/5 - 2 = 70 wide, 70/3 deep: neck points 410 + 23.333 = 433.333 high.
    near(back.centre_neck, 0, 410)
    near(back.neck_point, 70, 433.3333)
    near(back.underarm, 880 / 4 + 20, 205)
    near(front.underarm, 880 / 4 + 30, 205)
    near(front.neck_point, 68, 433.3333)
    near(front.centre_neck, 0, 433.3333 - 68 - 2)
    # Shoulders of 125 at 18 and 22 degrees: cos 18 = 0.9510565, sin 18 = 0.3090170,
    # cos 22 = 0.9271839, sin 22 = 0.3746066.
    near(back.shoulder_tip, 70 + 118.88206, 433.33333 - 38.62712)
    near(front.shoulder_tip, 68 + 115.89798, 433.33333 - 46.82582)
    # Intake: half width 490, waist (700 + 60) / 2 = 380, left 110, half of it in each: 55,
    # in two darts of 27.5, as one of 55 would be wider than 40.
    assert [dart.outer.x - dart.inner.x for dart in back.darts] == pytest.approx([27.5, 27.5])
    # Halfway points: neck (69, 433.33333), tip ((188.88206 + 183.89798) / 2, 390.60686).
    near(plan.neck_point, 69, 433.33333)
    near(plan.shoulder_tip, 186.39002, 390.60686)
    near(plan.side_point, 245, 205)
    # Lowest overarm over (186.39002, 405.60686): from the neck (117.39002, -27.72647), length
    # sqrt(13780.417 + 768.757) = 120.61996. Along it 120 + 560 = 680.
    near(
        plan.lowest_wrist, 69 + 680 * 117.39002 / 120.61996, 433.33333 - 680 * 27.72647 / 120.61996
    )
    near(plan.highest_wrist, 749, 433.33333)
    # Half lift is the midpoint.
    wrist = (
        (69 + 661.79106 + 749) / 2,
        433.33333 - 156.30911 / 2,
    )
    near(plan.overarm_wrist, *wrist)
    # Its direction, and half of (hand 190 + 30) squared to it.
    run, fall = wrist[0] - 69, 433.33333 - wrist[1]
    reach = math.hypot(run, fall)
    cosine, sine = run / reach, fall / reach
    squared = (wrist[0] - 110 * sine, wrist[1] - 110 * cosine)
    near(plan.squared_wrist, *squared)
    near(plan.neck_edge, 69 + 30 * cosine, 433.33333 - 30 * sine)
    # Side 20 outward; the underarm point 80 below the bust line.
    near(plan.corner, 265, 125)
    near(plan.side_waist, 265, 0)
    near(plan.side_hem, 265, -200)
    # The underarm is drawn to the squared wrist and lengthened until overarm and underarm, run
    # on to where they meet, are equally long: both ends then lie on one arc about that point.
    slope = math.atan2(squared[1] - 125, squared[0] - 265)
    taper = slope + math.atan2(fall, run)
    longer = 110 * (1 - math.cos(taper)) / math.sin(taper)
    under = (squared[0] + longer * math.cos(slope), squared[1] + longer * math.sin(slope))
    near(plan.underarm_wrist, *under)
    apex = 110 / math.tan(taper)
    meeting = (wrist[0] + apex * cosine, wrist[1] - apex * sine)
    assert math.dist(meeting, under) == pytest.approx(math.dist(meeting, wrist))
    assert length(made, "wrist") == pytest.approx(apex * taper, rel=1e-4)  # radius times angle
    # Overarm seam: from the neck edge to the wrist.
    assert length(made, "overarm") == pytest.approx(reach - 30, abs=0.01)
    # The curve reaches 120 from the corner both ways; the side ends where it starts.
    near(plan.curve_start, 265, 5)
    near(plan.curve_end, 265 + 120 * math.cos(slope), 125 + 120 * math.sin(slope))
    assert length(made, "side") == pytest.approx(205, abs=0.005)
    assert length(made, "hem") == pytest.approx(265, abs=0.005)
    # Necklines end 10 lower than the block's, 30 and 5 mm square to the centre.
    for piece, level, square in zip(made.pieces, (400.0, 353.33333), (30.0, 5.0), strict=True):
        neck = edge_named(piece, "neckline")
        near(end_of(neck), 0, level)
        near(start_of(neck), plan.neck_edge.x, plan.neck_edge.y)
        near(neck.segments[-1].start, square, level)


def test_how_low_the_underarm_may_lie_worked_by_hand() -> None:
    # The bust line is 205 above the waist, and 40 are kept above the hem.
    body = estimated_body(SLIM)
    plan = draft(body, Style(underarm_drop=205.0, length=40.0)).plan
    near(plan.corner, 265, 0)
    with pytest.raises(DraftingError, match=r"205\.5 mm below .* at most 205 mm"):
        draft(body, Style(underarm_drop=205.5))
    with pytest.raises(DraftingError, match="lies 40 mm above the hem"):
        draft(body, Style(underarm_drop=205.0, length=39.5))


def test_how_far_a_hem_may_flare_and_rise_worked_by_hand() -> None:
    # Nine tenths of the length outward; upward all but two fifths of it, of the side as it hangs.
    body = estimated_body(SLIM)
    near(draft(body, Style(flare=180.0, side_rise=0.0)).plan.side_hem, 445, -math.sqrt(7600))
    near(draft(body, Style(side_rise=120.0)).plan.side_hem, 265, -80)
    near(draft(body, Style(flare=120.0, side_rise=80.0)).plan.side_hem, 385, -160 + 80)
    for refused, most in (
        (Style(flare=180.5, side_rise=0.0), "style.flare: .* at most 180 mm"),
        (Style(side_rise=120.5), "style.side_rise: .* at most 120 mm"),
        (Style(flare=120.0, side_rise=80.5), "style.side_rise: .* at most 80 mm"),
        (Style(length=0.0, side_rise=0.5), "style.side_rise: .* at most 0 mm"),
    ):
        with pytest.raises(DraftingError, match=most):
            draft(body, refused)


def test_a_short_side_takes_nine_tenths_of_the_underarm_curve() -> None:
    # The side is 5 + 50 long; flared, it leaves half of itself for the bend of the flare.
    body = estimated_body(SLIM)
    for flare, part in ((0.0, 0.9), (20.0, 0.5)):
        plan = draft(body, Style(underarm_drop=200.0, length=50.0, flare=flare)).plan
        side = 5 + math.sqrt(50**2 - flare**2)
        near(plan.curve_start, 265, 5 - part * side)


def test_a_sleeve_has_an_underarm_from_ten_millimetres_past_the_side() -> None:
    # Level, 120 and the sleeve from the neck at 69, the side at 265; the end 5 above the corner,
    # which lies at 205: flat enough for a seam.
    for past in (9.5, 10.5):
        style = Style(
            lift=1.0, sleeve=265 + past - 189, underarm_drop=0.0,
            wrist_width=2 * (433.33333 - 205 - 5),
        )  # fmt: skip
        plan = draft(estimated_body(SLIM), style).plan
        assert is_cap(plan) == (past < 10.0)
        near(plan.squared_wrist, *((265, 205) if past < 10.0 else (265 + past, 210)))


LARGE = {
    **SLIM, "bust": 1160.0, "waist": 1020.0, "hip": 1180.0, "neck": 400.0, "nape_to_waist": 440.0,
    "armscye_depth": 221.0, "across_back": 420.0, "across_chest": 395.0, "arm": 575.0,
    "hand": 195.0, "upper_arm": 350.0, "shoulder": 130.0,
}  # fmt: skip


def test_a_bat_sleeved_tunic_for_a_large_body_worked_by_hand() -> None:
    style = Style(
        lift=0.0, sleeve_kind="bat", sleeve=450.0, wrist_width=300.0, side_ease=40.0,
        above_shoulder_tip=20.0, shoulder=125.0, neck_wider=40.0, length=350.0, flare=60.0,
        front_lower=60.0,
    )  # fmt: skip
    made = draft(estimated_body(LARGE), style)
    back, front, plan = made.block.back, made.block.front, made.plan
    # Depth 221 + 1160/40 - 10 = 240: bust line 200. Neck 400/5 - 2 = 78, rise 26: top 466.
    near(back.neck_point, 78, 466)
    near(front.neck_point, 76, 466)
    near(back.underarm, 310, 200)
    near(front.underarm, 320, 200)
    near(front.centre_neck, 0, 388)
    # Intake: half width 630, waist 540, left 90, half in each: 45 in two darts.
    assert [dart.outer.x - dart.inner.x for dart in front.darts] == pytest.approx([22.5, 22.5])
    # Tips at 130 cos/sin of 18 and 22 degrees, and halfway.
    tip = (
        (78 + 130 * 0.95105652 + 76 + 130 * 0.92718385) / 2,
        466 - 130 * (0.30901699 + 0.37460659) / 2,
    )
    near(plan.shoulder_tip, *tip)
    # Lowest lift: the overarm from (77, 466) over 20 above the tip, 125 + 450 = 575 long.
    run, fall = tip[0] - 77, 466 - (tip[1] + 20)
    size = math.hypot(run, fall)
    cosine, sine = run / size, fall / size
    wrist = (77 + 575 * cosine, 466 - 575 * sine)
    near(plan.overarm_wrist, *wrist)
    squared = (wrist[0] - 150 * sine, wrist[1] - 150 * cosine)
    near(plan.squared_wrist, *squared)
    # A bat sleeve: straight from the waist, at 315 + 40, to the wrist.
    near(plan.corner, 355, 0)
    slope = math.atan2(squared[1], squared[0] - 355)
    taper = slope + math.atan2(fall, run)
    longer = 150 * math.tan(taper / 2)
    assert length(made, "underarm") == pytest.approx(
        math.hypot(squared[0] - 355, squared[1]) + longer, abs=0.005
    )
    assert length(made, "overarm") == pytest.approx(575 - 40, abs=0.005)
    # The hem stands 60 further out; swung from the waist the side drops sqrt(350^2 - 60^2).
    near(plan.side_hem, 415, -math.sqrt(350**2 - 60**2))
    near(plan.hem_centre, 0, -350)
    assert 350.0 - 1e-6 <= length(made, "side") < 353.0  # the bend makes it a little longer
    near(end_of(edge_named(made.pieces[1], "neckline")), 0, 328)
