"""A wearer of a standard size: read, kept, written back, and refused where there is none."""

import pytest

from drafting.body import measured
from drafting.sizes import standard_body
from projector.errors import ProjectorError
from projector.files.job import job_from_text, job_text

JOB = """\
shearlight_job: 1
name: sizes
wearers:
- name: alto
  size: 92/168
- name: soprano
  size: 84/160
  body: {arm: 53 cm, waist: 70 cm}
"""


def test_a_standard_size_stands_for_its_body() -> None:
    alto, soprano = job_from_text(JOB).wearers
    assert alto.body == standard_body("92/168")
    assert measured(soprano.body) == {"bust": 840.0, "height": 1600.0, "arm": 530.0, "waist": 700.0}
    assert "hip" in soprano.body.estimated


def test_a_job_of_standard_sizes_comes_back() -> None:
    job = job_from_text(JOB)
    text = job_text(job)
    assert "size: 92/168" in text and job_from_text(text) == job


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("size: 92/168", "size: 93/168", "'93/168' is not a standard size"),
        ("  size: 92/168\n", "", "body is missing"),
        ("size: 92/168", "body: {bust: 92 cm, height: 168 cm}", "waist is missing"),
    ],
)
def test_what_is_no_size_is_told_with_its_place(old: str, new: str, said: str) -> None:
    with pytest.raises(ProjectorError) as caught:
        job_from_text(JOB.replace(old, new), "sizes.yaml")
    assert said in str(caught.value) and str(caught.value).startswith("sizes.yaml:")
