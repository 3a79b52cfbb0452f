"""Whatever a job file holds, it reads or is refused in lines with a place; nothing else."""

from __future__ import annotations

import math
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from drafting.curves import Line
from drafting.edge import Edge
from drafting.piece import Piece
from drafting.plane import Point
from projector.errors import ProjectorError
from projector.files.job import job_from_text
from projector.files.opening import OpenJob
from projector.files.sheet import LARGEST_FILE, MOST_TOLD, MOST_VALUES
from projector.job import with_pieces

WORDS = st.sampled_from(
    [
        "shearlight_job", "name", "cloths", "pieces", "lays", "notes", "width", "folded", "edges",
        "segments", "role", "placements", "piece", "x", "turn_deg", "grain", "1", "150 cm", "main",
        "nan", "-1 cm", "yes", "1e999", "0x7f", "!!binary", "2001-01-01", "~", "9" * 400,
    ]
)  # fmt: skip
TREES = st.recursive(
    st.one_of(WORDS, st.text(), st.integers(), st.floats(), st.none(), st.booleans()),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(st.one_of(WORDS, st.text()), inner, max_size=5)
    ),
    max_leaves=25,
)


def read(text: str) -> None:
    try:
        job_from_text(text, "job.yaml")
    except ProjectorError as error:
        assert all(line.startswith("job.yaml:") for line in str(error).splitlines())


@settings(deadline=None, max_examples=60)
@given(st.text())
def test_any_text(text: str) -> None:
    read(text)


@settings(deadline=None, max_examples=60)
@given(TREES)
def test_any_tree(tree: object) -> None:
    read(yaml.safe_dump(tree, allow_unicode=True))


@settings(deadline=None, max_examples=60)
@given(st.dictionaries(WORDS, TREES), st.text(max_size=5))
def test_any_tree_under_known_keys(tree: dict[str, object], tail: str) -> None:
    read("shearlight_job: 1\n" + yaml.safe_dump(tree, allow_unicode=True) + tail)


@pytest.mark.parametrize(
    "text",
    [
        "[" * 100_000,
        "{a: " * 20_000,
        "- " * 50_000,
        "a" * (LARGEST_FILE + 1),
        "shearlight_job: 1\nname: a\nwearers:\n"
        + "- {name: M, body: {bust: 94 cm, waist: 78 cm, hip: 102 cm, height: 166 cm}}\n" * 2_000,
        "name: " + "x" * 1_000_000,
        "cloths: [" + "{}, " * 20_000 + "]",
        "&a [*a]",
        "? [a, b]\n: c\n",
        "? {a: b}\n: c\n",
        "<<: {name: a}\n",
        "a: 1\n---\nb: 2\n",
        "%YAML 9.9\n---\na: 1\n",
        "!!python/object/new:os.system [echo]",
        "\ufeffname: a",
        "\ud800".encode("utf-8", "surrogatepass").decode("latin-1"),
        "".join(f"%TAG !a{i}! x\n" for i in range(300_000)) + "--- 1\n",
        "cloths: [" + "1," * (MOST_VALUES + 1) + "]",
    ],
    ids=range(18),
)
def test_hostile_texts_end_quickly_in_lines(text: str) -> None:
    began = time.process_time()
    read(text)
    assert time.process_time() - began < 15.0


def test_of_very_many_problems_the_first_are_told_and_the_rest_counted() -> None:
    with pytest.raises(ProjectorError) as caught:
        job_from_text("shearlight_job: 1\nname: a\ncloths:\n" + "- 1\n" * 5_000, "job.yaml")
    first, *_, last = str(caught.value).splitlines()
    assert first.startswith("job.yaml:4:3 cloths[1]: ")
    assert last == f"job.yaml: {5_000 - MOST_TOLD} more problems"


def test_no_job_is_written_that_could_not_be_read_again(choir: Path) -> None:
    """Drawings may have more points than a job file may hold."""
    ring = [Point(math.cos(t), math.sin(t)) for t in np.linspace(0.0, 6.28, 4_000)]
    sides = tuple(Line(a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))
    one = Piece("ring", (Edge("ring", sides),))
    many = tuple(replace(one, name=f"ring {k}") for k in range(MOST_VALUES // 20_000 + 1))
    before = choir.read_bytes()
    opened = OpenJob(choir)
    with pytest.raises(ProjectorError, match="values are more than"):
        opened.note(with_pieces(opened.job, many))
    opened.close()
    again = OpenJob(choir)
    assert choir.read_bytes() == before and not again.told and not again.job.pieces
    again.close()
