"""SVG files read back by svgelements, which knows nothing of our code."""

import io
from dataclasses import replace

import pytest
import svgelements

from drafting.allowance import cutting_line
from drafting.edge import edge_length
from drafting.exchange.svg import written
from drafting.marks import Grain, Label, Notch
from drafting.plane import Point, distance
from tests.drafting.test_unfolding import HALF

PIECE = replace(
    HALF,
    marks=(
        Notch("side", 100.0, "double"),
        Grain(Point(100, 100), Point(100, 400)),
        Label(Point(130, 250), ("Back & <front>", "cut 1")),
    ),
)


def read(data: bytes) -> svgelements.SVG:
    return svgelements.SVG.parse(io.BytesIO(data), ppi=25.4)  # one unit a millimetre


def paths(data: bytes) -> dict[str, svgelements.Path]:
    return {e.id: e for e in read(data).elements() if isinstance(e, svgelements.Path)}


def test_every_edge_has_its_length_within_a_tenth_of_a_millimetre() -> None:
    found = paths(written(PIECE))
    for edge in PIECE.edges:
        length = found[f"edge-{edge.name}"].length(error=1e-6)
        assert length == pytest.approx(edge_length(edge), abs=0.1)


def test_the_cutting_line_has_its_length_and_is_open_on_the_fold() -> None:
    line = cutting_line(PIECE, 0.02)
    sides = list(zip(line, (*line[1:], line[0]), strict=True))
    around = sum(distance(a, b) for a, b in sides if max(a.x, b.x) > 1e-6)
    assert around < sum(distance(a, b) for a, b in sides) - 100.0
    assert paths(written(PIECE))["cutting-line"].length() == pytest.approx(around, abs=0.1)


def test_the_page_is_as_large_as_the_piece_and_its_margin() -> None:
    page, line = read(written(PIECE)), cutting_line(PIECE, 0.02)
    width = max(p.x for p in line) - min(p.x for p in line) + 20
    height = max(p.y for p in line) - min(p.y for p in line) + 20
    assert (page.width, page.height) == pytest.approx((width, height), abs=0.01)


def test_text_is_escaped_and_kept() -> None:
    texts = [e.text for e in read(written(PIECE)).elements() if isinstance(e, svgelements.Text)]
    assert texts == ["Back & <front>", "cut 1", "place on the fold"]


def test_a_double_notch_is_two_lines_of_the_allowance() -> None:
    found = paths(written(PIECE))
    for i in (1, 2):
        assert found[f"notch-{i}"].length() == pytest.approx(10.0, abs=0.01)
