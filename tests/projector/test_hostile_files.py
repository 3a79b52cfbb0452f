"""Whatever a job file holds, it reads or is refused in lines with a place; nothing else."""

from __future__ import annotations

import time

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from projector.errors import ProjectorError
from projector.files.job import job_from_text
from projector.files.sheet import LARGEST_FILE

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
    ],
    ids=range(16),
)
def test_hostile_texts_end_quickly_in_lines(text: str) -> None:
    began = time.perf_counter()
    read(text)
    assert time.perf_counter() - began < 20.0
