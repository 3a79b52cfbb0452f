"""A block taken from a card: read, drafted from, checked, written back; slips told in one line."""

import pytest

from drafting.plane import distance
from projector.errors import ProjectorError
from projector.files.job import job_from_text, job_text
from projector.job import drafted

JOB = """\
shearlight_job: 1
name: own block
wearers:
- name: M
  body: {bust: 92 cm, waist: 76 cm, hip: 100 cm, height: 165 cm}
  block:
    back:
      centre_neck: [0 cm, 41 cm]
      neck_point: [7 cm, 43.3 cm]
      shoulder_tip: [19 cm, 39.4 cm]
      underarm: [25 cm, 20.5 cm]
      dart: 4 cm
    front:
      centre_neck: [0 cm, 36.2 cm]
      neck_point: [6.9 cm, 43.3 cm]
      shoulder_tip: [18.6 cm, 38.6 cm]
      across: [16.9 cm, 28.0 cm]
      underarm: [26 cm, 20.5 cm]
      side_waist: [25.5 cm, 0 cm]
      dart: 1 1/2 in
"""


def test_pieces_are_drafted_from_the_card() -> None:
    (made,) = drafted(job_from_text(JOB))
    # Halfway between the card's points, by hand.
    assert (made.plan.neck_point.x, made.plan.neck_point.y) == pytest.approx((69.5, 433))
    assert (made.plan.shoulder_tip.x, made.plan.shoulder_tip.y) == pytest.approx((188, 390))
    assert (made.plan.side_point.x, made.plan.side_point.y) == pytest.approx((255, 205))
    assert made.block.front.dart == pytest.approx(38.1)
    found = {f.subject: f for f in made.findings}
    # 120^2 + 39^2 at the back, 117^2 + 47^2 at the front: 126.2 and 126.1 mm.
    assert found["block: shoulder seams"].measured == "back 126.2 mm, front 126.1 mm"
    assert found["block: shoulder seams"].severity == "fine"


def test_a_card_whose_shoulders_differ_is_told() -> None:
    (made,) = drafted(job_from_text(JOB.replace("[19 cm, 39.4 cm]", "[19.6 cm, 39.2 cm]")))
    found = {f.subject: f for f in made.findings}
    assert found["block: shoulder seams"].severity == "warning"
    tip, neck = made.block.back.shoulder_tip, made.block.back.neck_point
    assert f"{distance(tip, neck):.1f}" in found["block: shoulder seams"].measured


def test_a_job_with_its_own_block_comes_back() -> None:
    job = job_from_text(JOB)
    again = job_from_text(job_text(job))
    assert again == job and again.wearers[0].block is not None


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("[7 cm, 43.3 cm]", "[7 cm]", "1 numbers where two lengths were wanted"),
        ("[7 cm, 43.3 cm]", "[7 cm, 43.3]", "is not a length with its unit"),
        ("[7 cm, 43.3 cm]", "[7 cm, 33.3 cm]", "neck_point must lie out and up"),
        ("      underarm: [25 cm, 20.5 cm]\n", "", "underarm is missing"),
        ("underarm: [25", "under_arm: [25", "did you mean 'underarm'"),
        ("dart: 4 cm", "dart: 40 cm", "dart: 400 mm does not fit"),
        ("[0 cm, 41 cm]", "[1 cm, 41 cm]", "centre_neck must lie on the centre"),
    ],
)
def test_slips_on_the_card_are_told_with_their_place(old: str, new: str, said: str) -> None:
    with pytest.raises(ProjectorError) as caught:
        job_from_text(JOB.replace(old, new), "own.yaml")
    assert said in str(caught.value) and "own.yaml:" in str(caught.value)
    assert "wearers[1].block.back" in str(caught.value)
