"""Job files: round trips, and every problem of a file at once with its place."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from drafting.curves import Cubic, Line
from drafting.edge import Edge
from drafting.marks import Drill, Grain, InnerLine, Label, Notch
from drafting.piece import Piece
from drafting.plane import Motion, Point
from projector.cloth.autolayout import arrange
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Placement
from projector.errors import ProjectorError
from projector.files.job import job_from_text, job_text, read_job, write_job
from projector.files.opening import changing
from projector.job import Job, Lay, layout_of, with_layout

CORNERS = (Point(0.0, 0.0), Point(300.0, 0.0), Point(300.0, 500.0), Point(0.0, 500.0))


def pocket(name: str = "pocket") -> Piece:
    a, b, c, d = CORNERS
    edges = (
        Edge("hem", (Line(a, b),), 40.0, "hem"),
        Edge("side", (Cubic(b, Point(310.0, 160.0), Point(310.0, 330.0), c),), 10.0),
        Edge("top", (Line(c, d),), 10.0, "neckline"),
        Edge("centre", (Line(d, a),), 0.0, "fold"),
    )
    marks = (
        Notch("side", 200.0, "double", "middle"),
        Grain(Point(100.0, 50.0), Point(100.0, 450.0)),
        Drill(Point(80.0, 90.0), "dart end"),
        InnerLine("waist", (Line(Point(0.0, 200.0), Point(300.0, 200.0)),)),
        Label(Point(150.0, 300.0), ("Pocket: 1 of 2", "size M")),
    )
    return Piece(name, edges, marks, size="M", fold_edge="centre")


def job() -> Job:
    laid = (
        Placement("pocket M", 1, Motion(math.pi / 2, 500.0, 1 / 3), locked=True),
        Placement("pocket M", 2, Motion(0.1234567890123, 1e-3, 700.0, mirrored=True), cut=True),
    )
    return Job(
        name="Spring concert: tunics",
        cloths=(
            Cloth(width=1473.2, length=6000.0, one_way=True, repeat_along=64.0),
            Cloth(
                name="remnant",
                width=900.0,
                folded=False,
                outline=((0.0, 0.0), (700.0, 0.0), (650.5, 800.0)),
                flaws=(((10.0, 10.0), (20.0, 10.0), (15.0, 22.0)),),
            ),
        ),
        pieces=(pocket(),),
        lays=(Lay("main", laid),),
        notes="Wash first.\nAsk: buttons?",
    )


def test_round_trip_through_a_file(tmp_path: Path) -> None:
    path = tmp_path / "choir.yaml"
    write_job(path, job())
    assert read_job(path) == job()
    assert [child.name for child in tmp_path.iterdir()] == ["choir.yaml"]


@given(st.floats(-1e5, 1e5), st.floats(-1e5, 1e5), st.floats(-7.0, 7.0), st.booleans())
def test_placements_come_back_as_they_were(x: float, y: float, turn: float, flip: bool) -> None:
    laid = Placement("pocket M", 1, Motion(turn, x, y, flip))
    read = job_from_text(job_text(Job("a", pieces=(pocket(),), lays=(Lay("main", (laid,)),))))
    motion = read.lays[0].placements[0].cloth_from_piece
    assert (motion.dx, motion.dy, motion.mirrored) == (x, y, flip)
    assert motion.angle == pytest.approx(turn, abs=1e-14)


printable = st.text(st.characters(exclude_categories=["C", "Z"], include_characters=" \n"))


@given(printable.filter(str.strip), printable)
def test_any_name_and_notes_survive(name: str, notes: str) -> None:
    assert job_from_text(job_text(Job(name, notes=notes))) == Job(name, notes=notes)


def problems(text: str) -> list[str]:
    with pytest.raises(ProjectorError) as caught:
        job_from_text(text, "job.yaml")
    return str(caught.value).splitlines()


HEAD = "shearlight_job: 1\nname: choir\n"


def test_every_problem_is_told_at_once_with_its_place() -> None:
    text = HEAD + "cloths:\n  - width: 150\n    foldd: yes\n    width: 140 cm\nnotess: x\n"
    told = problems(text)
    assert [line.split(" ")[0] for line in told] == [
        "job.yaml:4:12",
        "job.yaml:5:5",
        "job.yaml:6:5",
        "job.yaml:7:1",
    ]
    assert "cloths[1].width" in told[0] and "did you mean 'folded'" in told[1]
    assert "given twice, first on line 4" in told[2] and "did you mean 'notes'" in told[3]


@pytest.mark.parametrize(
    ("text", "fragment"),
    [
        ("", "the file is empty"),
        ("name: [1", "not readable as YAML"),
        ("name: \x07", "does not belong here"),
        ("- 1\n- 2\n", "a list where keys with values were wanted"),
        ("just words", "where keys with values were wanted"),
        ("name: choir\n", "shearlight_job is missing"),
        ("shearlight_job: 99\nname: a\ncloths: []\n", "written by a later release"),
        (HEAD + "cloths: []\n", "no cloth to cut from"),
        (HEAD + "cloths: [{width: 12 furlongs}]\n", "12 furlongs"),
        (HEAD + "cloths: [{width: -3 cm}]\n", "is not a cloth's"),
        (HEAD + "cloths: [{width: 1 m}, {width: 2 m}]\n", "called 'main'"),
        (HEAD + "a: &a [1]\nb: *a\n", "aliases"),
        (HEAD + "x: " + "[" * 60 + "]" * 60, "nested deeper"),
        ("!!python/object/apply:os.system ['true']", "where keys with values were wanted"),
    ],
)
def test_bad_files_get_one_clear_line(text: str, fragment: str) -> None:
    told = problems(text)
    assert any(fragment in line for line in told), told
    assert all(line.startswith("job.yaml") for line in told)


def test_a_nest_of_aliases_does_not_unfold() -> None:
    rows = ["a0: &a0 [x, x]"] + [f"a{i}: &a{i} [*a{i - 1}, *a{i - 1}]" for i in range(1, 40)]
    assert "aliases" in problems("\n".join(rows))[0]


def test_a_lay_that_was_searched_for_is_written_and_comes_back() -> None:
    job = Job("Aprons", pieces=(pocket(),))
    laid = arrange(layout_of(job, job.pieces))
    assert job_from_text(job_text(with_layout(job, laid))).lays[0].placements == laid.placements


def test_numbers_of_arrays_are_written_as_numbers() -> None:
    motion = Motion(0.0, np.float64(12.5), np.float64(-3.0))
    job = Job("Aprons", pieces=(pocket(),), lays=(Lay("main", (Placement("pocket", 0, motion),)),))
    assert job_from_text(job_text(job)).lays[0].placements[0].cloth_from_piece == motion


def test_a_layout_is_kept_for_its_cloth() -> None:
    layout = layout_of(job(), job().pieces)
    assert len(layout.placements) == 2
    again = with_layout(job(), layout)
    assert layout_of(again, job().pieces) == layout
    assert layout_of(job(), job().pieces, "remnant").pieces == ()
    with pytest.raises(ProjectorError, match="its cloths are main, remnant"):
        layout_of(job(), (), "velvet")


WEARERS = """shearlight_job: 1
name: two
wearers:
- name: first
  body: {bust: 92 cm, waist: 76.2 cm, hip: 100 cm, height: 165 cm, head: 22 in}
- {name: second, garments: 2, body: {bust: 36 1/4 in, waist: 30 in, hip: 40 in, height: 66 in}}
style: {lift: 0.25, sleeve_kind: bat, length: 12 in, neck_stretch: 0.1}
"""


def test_wearers_and_style_come_back_exactly() -> None:
    job = job_from_text(WEARERS)
    assert [w.garments for w in job.wearers] == [1, 2]
    assert job.wearers[1].body.bust == 36.25 * 25.4
    assert job.style.length == pytest.approx(304.8)
    assert job_from_text(job_text(job)) == job
    # what was estimated is not written as if it had been measured
    assert "neck:" not in job_text(job) and "head: 22 in" in job_text(job)


def test_inches_stay_inches() -> None:
    job = job_from_text(WEARERS.replace("92 cm", "36 in"))
    assert job.units == "in" and "bust: 36 in" in job_text(job)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("92 cm", "92 mm", "job:5:16 wearers[1].body.bust: 92 mm is below 600 mm"),
        ("garments: 2", "garments: 0", "garments"),
        ("name: second", "name: first", "two wearers are called 'first'"),
        ("hip: 100 cm, ", "", "hip is missing"),
        ("sleeve_kind: bat", "sleeve_kind: bell", "not one of dolman, bat"),
    ],
)
def test_faults_of_wearers_and_style(old: str, new: str, said: str) -> None:
    with pytest.raises(ProjectorError) as error:
        job_from_text(WEARERS.replace(old, new))
    assert said in str(error.value)


def test_each_wearer_is_kept_in_the_unit_she_was_measured_in() -> None:
    second = "{bust: 36 1/4 in, waist: 30 in, hip: 40 in, height: 66 in}"
    kept = yaml.safe_load(job_text(job_from_text(WEARERS)))["wearers"]
    assert kept[0]["body"] == {
        "bust": "92 cm", "waist": "76.2 cm", "hip": "100 cm", "height": "165 cm", "head": "22 in",
    }  # fmt: skip
    assert kept[1]["body"] == yaml.safe_load(second)


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("88", '"88 cm" or "88 in"'),
        ("8 8 cm", "two numbers"),
        ("36,5 in", '"36.5 in"'),
        ("~", "nothing where"),
    ],
)
def test_a_mistyped_measure_is_told_with_its_mend(written: str, told: str) -> None:
    with pytest.raises(ProjectorError) as error:
        job_from_text(WEARERS.replace("92 cm", written.replace("36,5 in", "'36,5 in'")))
    assert "job:5:1" in str(error.value) and told in str(error.value)


def test_a_missing_measure_is_what_a_mistyped_key_was_meant_for() -> None:
    with pytest.raises(ProjectorError, match="did you mean 'waist'"):
        job_from_text(WEARERS.replace("waist: 76.2", "wiast: 76.2"))


def test_comments_at_the_head_of_a_job_stay(tmp_path: Path) -> None:
    path = tmp_path / "two.yaml"
    path.write_text("# spring\n# hall 2\n" + WEARERS, encoding="utf-8")
    with changing(path) as opened:
        opened.job = replace(opened.job, notes="pressed")
    assert path.read_text("utf-8").startswith("# spring\n# hall 2\nshearlight_job: 1\n")
    assert read_job(path).notes == "pressed"


@pytest.mark.parametrize("rise", [-1.0, -12.7, -33.333, 40.0])
def test_a_hem_that_hangs_at_the_sides_comes_back(rise: float) -> None:
    job = job_from_text(WEARERS)
    lower = replace(job, style=replace(job.style, side_rise=rise))
    assert job_from_text(job_text(lower)) == lower
