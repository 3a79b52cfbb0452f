"""DXF files of other programs with the layers of ASTM D6673 (from memory), written by ezdxf."""

import io
import math

import ezdxf
import pytest
import shapely

from drafting.edge import edge_length
from drafting.exchange import dxf
from drafting.exchange.completing import Said
from drafting.exchange.dxf_reading import dxf_linework
from drafting.exchange.layered_pieces import layered_pieces
from drafting.exchange.linework import Linework
from drafting.marks import Drill, Grain, InnerLine, Notch
from drafting.piece import Piece
from tests.drafting.exchange.test_stated_pieces import BACK, FRONT

INCH = 25.4


def linework(sewn: bool = True, fold: bool = True, inserted: bool = True) -> Linework:
    """A half front of 8 x 12 in with 3/8 in allowance, its armhole a quarter circle of 3 in."""
    document = ezdxf.new("R12")
    block = document.blocks.new("FRONT")
    turns = [math.pi / 2 * (1 - k / 40) for k in range(41)]
    arc = [(8 - 3 * math.sin(t), 12 - 3 * math.cos(t)) for t in reversed(turns)]
    seam = [(0, 0), (8, 0), *arc, (0, 12)]
    seam = list(dict.fromkeys((round(x, 6), round(y, 6)) for x, y in seam))
    ring = shapely.Polygon(seam).buffer(0.375, join_style="mitre")
    ring = ring.intersection(shapely.box(0 if fold else -9, -9, 99, 99))
    outer = list(ring.exterior.coords)[:-1] if sewn else seam
    block.add_polyline2d(outer, close=True, dxfattribs={"layer": "1"})
    if sewn:
        block.add_polyline2d(seam, close=True, dxfattribs={"layer": "14"})
    for corner in ((0, 0), (8, 0), (8, 9), (5, 12), (0, 12)):
        block.add_point(corner, {"layer": "2"})
    for point in seam[4:-2:4]:
        block.add_point(point, {"layer": "3"})
    block.add_point((8.375, 5), {"layer": "4"})
    if fold:
        block.add_line((0, 0), (0, 12), {"layer": "6"})
    block.add_line((3, 10), (3, 2), {"layer": "7"})
    block.add_line((0, 6), (8, 6), {"layer": "8"})
    block.add_point((4, 4), {"layer": "13"})
    for number, text in enumerate(
        ("Piece Name: FRONT", "Size: 38", "Quantity: 1,1", "Material: SHELL")
    ):
        block.add_text(text, dxfattribs={"layer": "15", "insert": (2, 5 - number)})
    if inserted:
        document.modelspace().add_blockref("FRONT", (30, 40))
    else:
        document.blocks.new("OTHER").add_line((0, 0), (1, 0), {"layer": "8"})
    target = io.StringIO()
    document.write(target)
    return dxf_linework(target.getvalue().encode(), INCH)


@pytest.mark.parametrize("inserted", [True, False])
def test_a_half_front_with_sew_line_fold_notch_grain_and_texts(inserted: bool) -> None:
    (made,) = layered_pieces(linework(inserted=inserted), Said("", cloth="main"))
    piece = made.piece
    assert (piece.name, piece.size, piece.count, piece.paired) == ("FRONT", "38", 2, True)
    assert piece.cloth == "SHELL" and not made.told
    fold = next(edge for edge in piece.edges if edge.role == "fold")
    assert edge_length(fold) == pytest.approx(12 * INCH, abs=0.05)
    others = [edge for edge in piece.edges if edge.role != "fold"]
    assert len(others) == 4
    assert [edge.allowance for edge in others] == pytest.approx([0.375 * INCH] * 4, abs=0.06)
    lengths = sorted(edge_length(edge) for edge in others)
    wanted = sorted(x * INCH for x in (8, 9, 5, 1.5 * math.pi))
    assert lengths == pytest.approx(wanted, abs=0.1)
    (notch,) = [mark for mark in piece.marks if isinstance(mark, Notch)]
    assert notch.along == pytest.approx(5 * INCH, abs=0.1)
    assert any(isinstance(mark, InnerLine) for mark in piece.marks)
    (hole,) = [mark for mark in piece.marks if isinstance(mark, Drill)]
    assert (hole.point.x, hole.point.y % (12 * INCH)) != (0.0, 0.0)
    grain = next(mark for mark in piece.marks if isinstance(mark, Grain))
    assert abs(grain.end.x - grain.start.x) < 1e-6


def test_without_a_sew_line_the_worker_says_what_the_boundary_is() -> None:
    (made,) = layered_pieces(
        linework(sewn=False, fold=False), Said("", line="seam", allowance=15.0)
    )
    assert "no sew line" in made.told[0]
    assert {edge.allowance for edge in made.piece.edges} == {15.0}
    assert len(made.piece.edges) == 5


@pytest.mark.parametrize("piece", [BACK, FRONT])
def test_our_own_layers_are_read_by_the_convention_alone(piece: Piece) -> None:
    content = dxf.written(piece)
    text = content.decode().replace("SHEARLIGHT", "SOMEONEELSE")  # our own data is passed over
    (made,) = layered_pieces(dxf_linework(text.encode()), Said("x"))
    read = made.piece
    assert read.count == piece.count and (read.fold_edge is None) == (piece.fold_edge is None)
    one = sum(edge_length(edge) for edge in piece.edges)
    two = sum(edge_length(edge) for edge in read.edges)
    assert two == pytest.approx(one, abs=0.5)
    wanted = sum(1 for mark in piece.marks if isinstance(mark, Notch))
    assert sum(1 for mark in read.marks if isinstance(mark, Notch)) == wanted
