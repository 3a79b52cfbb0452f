"""Pieces written to SVG and DXF and read again; the lines in between are read by svgelements
and ezdxf, so that our writers and readers cannot agree on a mistake about scale."""

import math
from dataclasses import replace

import pytest

from drafting.curves import Cubic, flattened
from drafting.draft import draft
from drafting.edge import edge_length
from drafting.exchange import dxf, svg
from drafting.exchange.dxf_reading import dxf_linework
from drafting.exchange.stated_pieces import stated_pieces
from drafting.exchange.svg_reading import svg_linework
from drafting.marks import Drill, InnerLine, Label
from drafting.piece import Piece, grain_of, notches_of
from drafting.plane import Motion, Point
from drafting.style import Style
from drafting.survey import estimated_body

BODY = estimated_body({"bust": 940.0, "waist": 780.0, "hip": 1020.0, "height": 1660.0})
BACK, FRONT = (
    replace(
        piece, cloth="főanyag", count=2, marks=(*piece.marks, Drill(Point(60, 100), "dart end"))
    )
    for piece in draft(BODY, Style(), "M").pieces
)


def figures(piece: Piece) -> tuple[object, ...]:
    return (
        piece.name, piece.size, piece.count, piece.paired, piece.fold_edge, piece.cloth,
        [(e.name, e.role, e.allowance) for e in piece.edges],
        [(n.edge, round(n.along, 3), n.kind, n.name) for n in notches_of(piece)],
        [m.name for m in piece.marks if isinstance(m, InnerLine | Drill)],
    )  # fmt: skip


@pytest.mark.parametrize("piece", [BACK, FRONT])
def test_svg_brings_back_everything(piece: Piece) -> None:
    (back,) = stated_pieces(svg_linework(svg.written(piece)))
    assert figures(back) == figures(piece)
    for ours, theirs in zip(piece.edges, back.edges, strict=True):
        assert [type(s) for s in ours.segments] == [type(s) for s in theirs.segments]
        for one, two in zip(ours.segments, theirs.segments, strict=True):
            gap = max(
                math.dist((a.x, a.y), (b.x, b.y))
                for a, b in zip(flattened(one, 0.01)[::5], flattened(two, 0.01)[::5], strict=False)
            )
            assert gap < 0.01
    grain, wanted = grain_of(back), grain_of(piece)
    assert grain is not None and wanted is not None
    assert abs(grain.end - wanted.end) < 0.01
    labels = [m for p in (piece, back) for m in p.marks if isinstance(m, Label)]
    assert labels[0].lines == labels[1].lines and abs(labels[0].point - labels[1].point) < 0.01


def test_dxf_brings_back_everything_but_curves_and_labels() -> None:
    read = stated_pieces(dxf_linework(dxf.written([BACK, FRONT])))
    for piece, back in zip((BACK, FRONT), read, strict=True):
        assert figures(back) == figures(piece)
        for ours, theirs in zip(piece.edges, back.edges, strict=True):
            assert edge_length(theirs) == pytest.approx(edge_length(ours), abs=0.1)


def test_a_piece_that_lies_mirrored_and_turned_in_a_lay_comes_back_as_it_is_cut() -> None:
    lay = dxf.written_lay([(FRONT, Motion(math.pi / 2, 300.0, 40.0, True))])
    (back,) = stated_pieces(dxf_linework(lay))
    assert figures(back) == figures(FRONT)
    assert sum(map(edge_length, back.edges)) == pytest.approx(
        sum(map(edge_length, FRONT.edges)), abs=0.2
    )


def test_dxf_brings_the_curves_back_also_turned_and_mirrored() -> None:
    motion = Motion(0.7, 300.0, -40.0, True)
    for content in (dxf.written(BACK), dxf.written_lay([(BACK, motion)])):
        (back,) = stated_pieces(dxf_linework(content))
        for edge, own in zip(
            sorted(back.edges, key=lambda e: e.name), sorted(BACK.edges, key=lambda e: e.name),
            strict=True,
        ):  # fmt: skip
            assert sorted(type(s).__name__ for s in edge.segments) == sorted(
                type(s).__name__ for s in own.segments
            )
            assert edge_length(edge) == pytest.approx(edge_length(own), abs=1e-4)


def test_dxf_lines_that_were_edited_stay_as_they_are() -> None:
    edited = dxf.written(BACK).decode().replace("segment=", "segment=9")
    assert not any(
        isinstance(x, Cubic) for s in dxf_linework(edited.encode()).strokes for x in s.segments
    )
