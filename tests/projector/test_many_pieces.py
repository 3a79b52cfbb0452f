"""Very many garments: a lay that may be cut, in time and memory that stay in proportion."""

from __future__ import annotations

import math
import time
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from drafting.curves import Line
from drafting.edge import Edge
from drafting.piece import Piece
from drafting.plane import Point
from projector.cloth.autolayout import arrange
from projector.cloth.clearance import may_be_cut
from projector.cloth.cloth import Match
from projector.cloth.lay_problem import MOST_PIECES
from projector.cloth.layout import Layout
from projector.cloth.leftover import largest_leftover
from projector.cloth.search import islands
from projector.cloth.yardage import lower_bound, used_length
from projector.errors import ProjectorError
from projector.job import MOST_COPIES, MOST_SEGMENTS, Job, layout_of, pieces_of
from tests.projector.choir import choir_job


def of_garments(count: int, folded: bool) -> Job:
    job = choir_job()
    cloth = replace(job.cloths[0], length=None, folded=folded)
    wearer = replace(job.wearers[0], garments=count)
    return replace(job, wearers=(wearer,), cloths=(cloth,), lays=())


@pytest.mark.parametrize("folded", [True, False])
def test_hundreds_of_garments_are_laid_and_judged_in_seconds(folded: bool) -> None:
    """Some 2 s of the processor; before copies were looked for where the last one lay, minutes."""
    job = of_garments(300, folded)
    layout = layout_of(job, pieces_of(job))
    began = time.process_time()
    laid = arrange(layout, budget=0)
    bound, left = lower_bound(laid), largest_leftover(laid)
    assert time.process_time() - began < 20.0
    assert may_be_cut(laid) and len(laid.placements) == 600
    assert bound.length <= used_length(laid)
    assert left.x + left.along <= used_length(laid)


def test_many_are_searched_by_stretches(monkeypatch: pytest.MonkeyPatch) -> None:
    """One attempt at all of a thousand pieces would take minutes."""
    monkeypatch.setattr(islands, "MOST_PIECES", 7)
    monkeypatch.setattr(islands, "_as_a_whole", lambda *words: pytest.fail("all at once"))
    job = of_garments(4, False)
    assert may_be_cut(arrange(layout_of(job, pieces_of(job)), budget=1))


def test_more_than_a_job_can_hold_is_refused_with_the_figure() -> None:
    with pytest.raises(ProjectorError, match=f"{MOST_COPIES + 1} garments .* more than"):
        of_garments(MOST_COPIES + 1, True)


def test_more_pieces_than_are_laid_at_a_time_are_refused_with_the_figure() -> None:
    job = of_garments(1, False)
    piece = replace(pieces_of(job)[0], count=MOST_PIECES + 1)
    with pytest.raises(ProjectorError, match=f"{MOST_PIECES + 1} pieces are more than"):
        arrange(Layout(job.cloths[0], (piece,)), budget=0)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"repeat_along": 0.001}, "repeat_along of 0.001 mm is not 0 nor from 1 mm to 10 m"),
        ({"repeat_across": -20.0}, "repeat_across of -20 mm"),
        ({"repeat_along": 1e7}, "repeat_along of 1e"),
        ({"flaws": (((0, 0), (9, 0), (0, 9)),) * 201}, "201 flaws"),
        ({"flaws": (tuple((k, k * k) for k in range(5_001)),)}, "5001 corners"),
    ],
    ids=["fine", "negative", "large", "flaws", "corners"],
)
def test_what_no_cloth_has_is_refused_with_the_figure(change: dict[str, Any], told: str) -> None:
    with pytest.raises(ProjectorError, match=told):
        replace(choir_job().cloths[0], **change)


def test_a_piece_of_too_many_lines_is_refused_with_the_figure() -> None:
    around = [Point(math.cos(t), math.sin(t)) for t in np.linspace(0.0, 6.28, MOST_SEGMENTS + 1)]
    sides = tuple(Line(a, b) for a, b in zip(around, [*around[1:], around[0]], strict=True))
    with pytest.raises(ProjectorError, match=f"{MOST_SEGMENTS + 1} lines and curves"):
        replace(choir_job(), pieces=(Piece("ring", (Edge("ring", sides),)),))


def test_the_finest_stripes_on_a_long_lay_keep_the_first_lay() -> None:
    """A lattice of a millimetre over forty metres would take some gigabyte."""
    job = of_garments(30, False)
    cloth = replace(
        job.cloths[0], repeat_along=1.0, matches=(Match("front", "curve end", True, False),)
    )
    layout = layout_of(replace(job, cloths=(cloth,)), pieces_of(job))
    first, later = arrange(layout, budget=0), arrange(layout, budget=1)
    assert may_be_cut(first) and used_length(later) == used_length(first)


def test_names_and_notes_end_somewhere() -> None:
    job = choir_job()
    for change in (
        {"name": "n" * 301},
        {"notes": "n" * 50_001},
        {"wearers": (replace(job.wearers[0], name="n" * 301),)},
    ):
        with pytest.raises(ProjectorError, match="wanted at most 300 and 50000"):
            replace(job, **change)
