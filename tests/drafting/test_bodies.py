"""Measurements: estimates against the survey's own figures, slips, units, standard sizes."""

import itertools
import math

import pytest

from drafting.body import RANGES, measured
from drafting.errors import DraftingError
from drafting.measures import MEASURES, NEEDED
from drafting.sizes import BUST_CLASSES_CM, standard_body, standard_sizes
from drafting.slips import slips
from drafting.survey import ESTIMATES, estimate, estimated_body, spread
from drafting.units import parsed_length, written_length

NEEDS = {"bust": 920.0, "waist": 760.0, "hip": 1000.0, "height": 1650.0}

# ANSUR II women (NATICK/TR-15/007): means and standard deviations, mm.
SURVEY = {
    "waist": (860.9, 99.9),
    "hip": (1021.2, 75.9),
    "neck": (371.2, 19.7),
    "nape_to_waist": (425.4, 26.4),
    "shoulder": (135.4, 10.3),
    "across_back": (373.4, 29.8),
    "arm": (543.6, 29.4),
    "upper_arm": (305.6, 30.8),
    "wrist": (154.8, 7.8),
    "head": (561.1, 19.4),
}


@pytest.mark.parametrize("name", SURVEY)
def test_the_survey_reproduces_its_own_means_and_never_spreads_wider(name: str) -> None:
    mean, deviation = SURVEY[name]
    assert estimate(name, 946.9, 1628.5)[0] == pytest.approx(mean, abs=0.5)
    # A regression's residual is smaller than the whole spread of what it explains.
    assert 0.5 * deviation < spread(name) < deviation


@pytest.mark.parametrize(
    ("bust", "height", "means"),
    [
        # ANSUR II women by EN 13402-3 bust class: means of bust and stature, then the others.
        (841, 1601, {"waist": 753, "hip": 944, "neck": 355, "arm": 532, "upper_arm": 276}),
        (919, 1632, {"waist": 830, "hip": 1009, "neck": 368, "arm": 544, "upper_arm": 299}),
        (998, 1631, {"waist": 919, "hip": 1060, "neck": 378, "arm": 545, "upper_arm": 320}),
        (1094, 1654, {"waist": 1009, "hip": 1113, "neck": 394, "arm": 554, "upper_arm": 345}),
    ],
)
def test_estimates_follow_the_bust_classes(
    bust: float, height: float, means: dict[str, float]
) -> None:
    for name, mean in means.items():
        assert estimate(name, bust, height)[0] == pytest.approx(mean, rel=0.02)


def test_four_measurements_are_enough_and_the_rest_is_marked() -> None:
    body = estimated_body(NEEDS)
    assert measured(body) == NEEDS
    assert set(body.estimated) == set(MEASURES) - set(NEEDED)
    assert all(name in ESTIMATES for name in body.estimated)
    given = estimated_body({**NEEDS, "arm": 561.0})
    assert given.arm == 561.0 and "arm" not in given.estimated


def test_every_measure_says_where_it_is_taken() -> None:
    for measure in MEASURES.values():
        assert len(measure.where.split()) >= 6 and measure.low < measure.high
    assert RANGES["bust"] == (MEASURES["bust"].low, MEASURES["bust"].high)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ({"bust": 36.0}, '36 mm is below 600 mm; did you mean "36 in"'),
        ({"bust": 92.0}, '92 mm is below 600 mm; did you mean "92 cm"'),
        ({"bust": 360.0}, 'did you mean "36 in"'),
        ({"arm": 55.0}, 'did you mean "55 cm"'),
        ({"waist": 7600.0}, 'did you mean "760 mm"'),
    ],
)
def test_an_impossible_value_comes_with_its_mend(value: dict[str, float], said: str) -> None:
    with pytest.raises(DraftingError, match=said):
        estimated_body({**NEEDS, **value})


def test_an_unknown_or_missing_measurement_is_named() -> None:
    with pytest.raises(DraftingError, match=r"body\.bost"):
        estimated_body({"bost": 920.0})
    with pytest.raises(DraftingError, match=r"body\.height is missing"):
        estimated_body({"bust": 920.0, "waist": 760.0, "hip": 1000.0})


@pytest.mark.parametrize(
    ("given", "subject", "advice"),
    [
        ({"shoulder": 190.0}, "shoulder", "Measure again"),
        ({"shoulder": 160.0, "across_back": 300.0}, "shoulder and across_back", "to its tip"),
        ({"waist": 1150.0}, "waist", "Measure again"),
        ({"hand": 150.0, "wrist": 170.0}, "wrist and hand", "exchanged"),
        ({"across_back": 560.0}, "across_back", "Measure again"),
        ({"armscye_depth": 315.0}, "armscye_depth", "Measure again"),
    ],
)
def test_slips_are_found(given: dict[str, float], subject: str, advice: str) -> None:
    found = {f.subject: f for f in slips(estimated_body({**NEEDS, **given}))}
    assert subject in found and advice in found[subject].advice


def test_a_half_measured_across_is_recognised() -> None:
    # 355 mm is about twice what lies between the bust points of such a body.
    body = estimated_body({**NEEDS, "bust_span": 355.0})
    assert "doubled by mistake" in slips(body)[0].advice


def test_ordinary_bodies_have_no_slips() -> None:
    # Each survey mean at its own 5th or 95th centile (NATICK/TR-15/007) is an ordinary body.
    for at in (-1.64, 0.0, 1.64):
        for name, (mean, deviation) in SURVEY.items():
            body = estimated_body(
                {"bust": 946.9, "waist": 860.9, "hip": 1021.2, "height": 1628.5}
                | {name: mean + at * deviation}
            )
            assert not slips(body), name


def test_standard_sizes_run_over_bust_classes_and_three_heights() -> None:
    # EN 13402-3: classes 74-78 ... 98-102 four apart, 107-113 ... 119-125 six apart.
    assert BUST_CLASSES_CM[:8] == tuple(range(76, 108, 4))
    assert [b - a for a, b in itertools.pairwise(BUST_CLASSES_CM[7:])] == [6] * 6
    assert len(standard_sizes()) == 3 * len(BUST_CLASSES_CM)
    body = standard_body("92/168")
    assert (body.bust, body.height) == (920.0, 1680.0)
    assert {"waist", "hip", "neck"} <= set(body.estimated)
    assert not slips(body)
    with pytest.raises(DraftingError, match="93/168"):
        standard_body("93/168")


@pytest.mark.parametrize(
    ("size", "unit", "text"),
    [
        (920.0, "cm", "92.0 cm"),
        (920.75, "in", "36 1/4 in"),
        (15.875, "in", "5/8 in"),
        (25.4, "in", "1 in"),
        (0.0, "in", "0 in"),
    ],
)
def test_lengths_are_written(size: float, unit: str, text: str) -> None:
    assert written_length(size, unit) == text
    assert parsed_length(text) == pytest.approx(size)  # 1 in = 25.4 mm exactly


def test_every_sixteenth_of_an_inch_comes_back() -> None:
    for sixteenths in range(1, 40 * 16):
        size = sixteenths * 25.4 / 16
        assert math.isclose(parsed_length(written_length(size, "in")), size)


def test_feet_and_inches_are_read() -> None:
    assert parsed_length("5 ft 6 1/2 in") == pytest.approx(66.5 * 25.4)
    assert parsed_length("5' 6\"") == pytest.approx(66 * 25.4)
    with pytest.raises(DraftingError, match="mixes feet"):
        parsed_length("5 ft 6 cm")


@pytest.mark.parametrize(
    ("text", "mm"),
    [("92 cm", 920), ("36 1/4 in", 920.75), ("36.25in", 920.75), ("5/8 in", 15.875), ("7 mm", 7)],
)
def test_lengths_are_read(text: str, mm: float) -> None:
    assert parsed_length(text) == pytest.approx(mm)  # 1 in = 25.4 mm exactly


@pytest.mark.parametrize("text", ["", "92", "92 furlongs", "1/0 in", "-3 cm", "nan cm"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(DraftingError):
        parsed_length(text)
