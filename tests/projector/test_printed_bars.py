"""The bars of a printed board: as typed, as drawn, and what an uneven print does to the map."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from svgelements import SVG, Path

from calibration.board import PAPER, printed_board
from calibration.estimate import Estimate, joint
from calibration.rig import Rig
from calibration.rig_scenes import random_rig
from projector.board_sheet import ACROSS_BAR, SCALE_BAR, board_svg
from projector.errors import ProjectorError
from projector.printed_bars import PrintedBars, parsed_bars, printed_as, told_bars
from tests.calibration.sights import printed_points, screen_grid, sights
from tests.calibration.truth import metres_off

SCREEN = (1920, 1080)
UNEVEN = 1.002


@pytest.mark.parametrize(
    ("text", "along", "across"),
    [
        ("199.6", 199.6, None),
        ("199.6x149.8", 199.6, 149.8),
        ("19.96 cm X 149.8 mm", 199.6, 149.8),
        ("200 \u00d7 150", 200.0, 150.0),
    ],
)
def test_bars_are_read_as_typed(text: str, along: float, across: float | None) -> None:
    bars = parsed_bars("--bar", text)
    assert (bars.along, bars.across) == (pytest.approx(along), across and pytest.approx(across))
    again = parsed_bars("--bar", told_bars(bars))
    assert (again.along, again.across) == (along, across)


@pytest.mark.parametrize("text", ["", "x", "199.6x", "nan", "150", "200x200", "200x150x100"])
def test_what_no_printed_bars_can_be_is_refused(text: str) -> None:
    with pytest.raises(ProjectorError, match=r"--bar: found .* such as 199.6"):
        parsed_bars("--bar", text)


@pytest.mark.parametrize("paper", list(PAPER))
def test_both_bars_are_drawn_at_their_length_and_clear_of_the_board(paper: str) -> None:
    drawing = SVG.parse(io.BytesIO(board_svg(paper)), ppi=25.4)
    paths = {path.id: path for path in drawing.elements() if isinstance(path, Path)}
    long, up = paths["scale-bar"].bbox(), paths["scale-bar-across"].bbox()
    board = paths["board"].bbox()
    assert long[2] - long[0] == pytest.approx(SCALE_BAR)
    assert up[3] - up[1] == pytest.approx(ACROSS_BAR)
    assert up[0] >= 5.0 and long[3] <= PAPER[paper][1] - 5.0
    assert up[2] < board[0] and long[1] > board[3]


def seen_uneven(photographs: int, seed: int, bars: PrintedBars) -> tuple[Rig, Estimate]:
    """A map from photographs of a sheet that was printed too long up the sheet by `UNEVEN`."""
    rig = random_rig(seed, photographs)
    printed = printed_as("A4", printed_board("A4"), bars)
    plane = printed_points(10, 6, 25.0)
    truly = [("A4", plane * [1.0, UNEVEN], (780.0, 470.0, 0.1))]
    photos = [
        replace(
            photo,
            references=tuple(
                replace(
                    reference,
                    plane=plane * [1.0, printed.across],
                    scale=printed.scale,
                    scale_sd=printed.scale_sd,
                    along_sd=printed.along_sd,
                    across_sd=printed.across_sd,
                )
                for reference in photo.references
            ),
        )
        for photo in sights(rig, screen_grid(SCREEN, 16, 9), truly, 0.03, seed)
    ]
    return rig, joint(photos, SCREEN)


def test_three_photographs_find_an_uneven_print_from_one_bar() -> None:
    for seed in (81, 82):
        rig, found = seen_uneven(3, seed, PrintedBars())
        off, told = metres_off(found.table_map, rig)
        assert np.percentile(np.abs(off), 95) < 0.35  # a wrong share of 0.2 % would give 1 to 2 mm
        assert np.all(np.abs(off) < told)


def test_one_photograph_is_honest_of_an_uneven_print_and_sees_it_by_two_bars() -> None:
    rig, found = seen_uneven(1, 83, PrintedBars())
    off, told = metres_off(found.table_map, rig)
    assert np.mean(np.abs(off) < told) > 0.9
    rig, found = seen_uneven(1, 83, PrintedBars(SCALE_BAR, ACROSS_BAR * UNEVEN))
    off, told = metres_off(found.table_map, rig)
    assert np.mean(np.abs(off) < told) > 0.9
    assert np.percentile(told, 95) < 1.7
