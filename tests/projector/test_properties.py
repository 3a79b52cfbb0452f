"""What holds for any body, style, cloth and command, however they are put together."""

from __future__ import annotations

from typing import Any

import pytest
import shapely
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from drafting.allowance import cutting_line
from drafting.body import RANGES as BODY_RANGES
from drafting.curves import flattened
from drafting.draft import draft
from drafting.edge import edge_length
from drafting.errors import DraftingError
from drafting.piece import Piece
from drafting.style import CHOICES, Style
from drafting.style import RANGES as STYLE_RANGES
from drafting.survey import estimated_body
from projector.cloth.autolayout import arrange
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout
from projector.errors import ProjectorError
from projector.files.job import job_from_text, job_text
from projector.job import Job, Lay, Wearer
from tests.projector.choir import choir_job
from tests.projector.cloth_checker import faults
from tests.readers import OWN

QUICK = settings(
    deadline=None, derandomize=True, max_examples=40, database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip


@st.composite
def bodies(draw: st.DrawFn) -> dict[str, float]:
    """Four measurements of nearly anybody, and some of the others, likely and unlikely."""
    bust = draw(st.floats(720.0, 1400.0))
    needed = {
        "bust": bust,
        "waist": bust * draw(st.floats(0.65, 1.1)),
        "hip": bust * draw(st.floats(0.8, 1.4)),
        "height": draw(st.floats(1400.0, 2000.0)),
    }
    others = st.sampled_from([name for name in BODY_RANGES if name not in needed])
    values = {name: draw(st.floats(*BODY_RANGES[name])) for name in draw(st.sets(others))}
    return needed | values


@st.composite
def styles(draw: st.DrawFn) -> dict[str, Any]:
    """Some options at any value of their ranges; the rest as usual."""
    names = draw(st.sets(st.sampled_from([*STYLE_RANGES, *CHOICES]), max_size=8))
    return {
        name: draw(
            st.sampled_from(CHOICES[name]) if name in CHOICES else st.floats(*STYLE_RANGES[name])
        )
        for name in names
    }


@QUICK
@given(bodies(), styles())
def test_any_body_and_style_drafts_soundly_or_is_refused(
    measures: dict[str, float], options: dict[str, Any]
) -> None:
    try:
        made = draft(estimated_body(measures), Style(**options), "M")
    except DraftingError as error:
        assert str(error) and "\n" not in str(error)
        return
    for piece in made.pieces:
        _sound(piece)


def _sound(piece: Piece) -> None:
    """Simple, anticlockwise, as long as its edges say, and inside its own cutting line."""
    outline = shapely.LinearRing([(p.x, p.y) for p in _seam(piece)])
    assert outline.is_simple and outline.is_ccw
    assert outline.length == pytest.approx(sum(edge_length(e) for e in piece.edges), rel=1e-3)
    if piece.name in ("back", "front") and not any(e.name == "underarm" for e in piece.edges):
        return  # a cap on an unlikely body may sweep out past its side seam
    cut = shapely.Polygon([(p.x, p.y) for p in cutting_line(piece, 0.1)])
    assert cut.is_valid and cut.buffer(0.1).covers(shapely.Polygon(outline))


def _seam(piece: Piece) -> list[Any]:
    return [p for e in piece.edges for s in e.segments for p in flattened(s, 0.05)[:-1]]


WORDS = st.text(
    st.characters(exclude_categories=("Cc", "Cs"), include_characters="\t\n"), max_size=60
)
"""All but commands to a terminal, which no name holds."""


@QUICK
@given(bodies(), styles(), WORDS, WORDS)
def test_any_job_is_read_back_as_it_was_written(
    measures: dict[str, float], options: dict[str, Any], name: str, notes: str
) -> None:
    try:
        wearer = Wearer(f"w{name}", estimated_body(measures))
        job = Job(f"j{name}", (wearer,), Style(**options), notes=notes)
        written = job_text(job)
    except (DraftingError, ProjectorError):
        return
    assert job_from_text(written) == job


@st.composite
def cloths(draw: st.DrawFn) -> dict[str, Any]:
    some = st.one_of(st.just(0.0), st.floats(20.0, 700.0))
    return {
        "width": draw(st.floats(200.0, 2000.0)),
        "length": draw(st.one_of(st.none(), st.floats(200.0, 9000.0))),
        "folded": draw(st.booleans()),
        "one_way": draw(st.booleans()),
        "repeat_along": draw(some),
        "repeat_across": draw(some),
        "selvage": draw(st.floats(0.0, 60.0)),
        "buffer": draw(st.floats(0.0, 20.0)),
    }


@settings(QUICK, max_examples=15)
@given(cloths(), styles())
@example({"width": 2000.0, "buffer": 2.2e-313}, {})  # found once: a buffer next to 0
def test_any_cloth_is_laid_lawfully_or_refused(
    wanted: dict[str, Any], options: dict[str, Any]
) -> None:
    body = choir_job().wearers[0].body
    try:
        layout = Layout(Cloth(**wanted), draft(body, Style(**options), "S").pieces, ())
        laid = arrange(layout, budget=0)
    except OWN as error:
        assert str(error) and "\n" not in str(error)
        return
    assert not faults(laid)
    job = Job("choir", cloths=(laid.cloth,), lays=(Lay(laid.cloth.name, laid.placements),))
    assert job_from_text(job_text(job)).lays[0].placements == laid.placements
