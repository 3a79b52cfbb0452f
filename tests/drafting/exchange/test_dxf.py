"""DXF files read back by ezdxf, which knows nothing of our code."""

import io
import math
from dataclasses import replace
from itertools import pairwise

import ezdxf
import ezdxf.path
import pytest
from ezdxf.document import Drawing

from drafting.allowance import cutting_line
from drafting.edge import edge_length
from drafting.exchange.dxf import drawing_dxf, left_out, written, written_lay
from drafting.exchange.piece_drawing import piece_drawing
from drafting.plane import Motion, distance
from tests.drafting.exchange.test_svg import PIECE


def read(data: bytes) -> Drawing:
    document = ezdxf.read(io.StringIO(data.decode("ascii")))
    assert not document.audit().errors
    return document


def length_of(entity: object) -> float:
    points = list(ezdxf.path.make_path(entity).flattening(0.001))  # type: ignore[arg-type]
    return sum(a.distance(b) for a, b in pairwise(points))


def test_it_is_7_bit_release_12_in_millimetres_and_audits_clean() -> None:
    document = read(written(replace(PIECE, name="Ärmel", size="42")))
    assert document.dxfversion == "AC1009"
    assert document.header["$INSUNITS"] == 4
    assert "ARMEL_42" in document.blocks


def test_every_length_on_every_layer() -> None:
    block = read(written(PIECE)).blocks.get("BACK")
    assert block is not None
    line = cutting_line(PIECE, 0.02)
    around = sum(distance(a, b) for a, b in zip(line, (*line[1:], line[0]), strict=True))
    assert length_of(block.query('*[layer=="1"]')[0]) == pytest.approx(around, abs=0.1)
    sewn = [length_of(entity) for entity in block.query('POLYLINE[layer=="14"]')]
    assert sewn == pytest.approx([edge_length(edge) for edge in PIECE.edges], abs=0.1)
    assert len(block.query('POINT[layer=="4"]')) == 2  # one double notch
    assert len(block.query('LINE[layer=="7"]')) == 1
    assert len(block.query('LINE[layer=="6"]')) == 1
    texts = [entity.dxf.text for entity in block.query('TEXT[layer=="15"]')]
    assert f"Piece Name: {PIECE.name}" in texts and "Quantity: 1,0" in texts


def test_a_mirrored_and_turned_piece_lies_where_its_motion_puts_it() -> None:
    motion = Motion(math.radians(35.0), 400.0, -120.0, True)
    document = read(written_lay([(PIECE, motion), (PIECE, Motion())]))
    insert = document.modelspace().query("INSERT")[0]
    outline = next(e for e in insert.virtual_entities() if e.dxf.layer == "1")
    found = list(ezdxf.path.make_path(outline).flattening(0.001))
    for point in map(motion, cutting_line(PIECE, 0.02)):
        assert min(math.hypot(v.x - point.x, v.y - point.y) for v in found) < 1e-6


def test_pieces_of_one_name_get_blocks_of_their_own() -> None:
    other = replace(PIECE, marks=())
    document = read(written([PIECE, other]))
    inserts = document.modelspace().query("INSERT")
    assert len({insert.dxf.name for insert in inserts}) == 2


def test_any_drawing_is_written_layer_by_layer() -> None:
    document = read(drawing_dxf(piece_drawing(PIECE)))
    assert "1_CUTTING_LINE" in document.layers
    assert len(document.modelspace().query("POLYLINE")) >= len(PIECE.edges) + 1


def test_what_is_lost_is_said() -> None:
    told = " ".join(left_out(replace(PIECE, name="Ärmel")))
    assert "curves" in told and "ASCII" in told
