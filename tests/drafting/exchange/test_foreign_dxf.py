"""DXF as general drawing programs write it, in every release, read at true scale.

Written by ezdxf; what is wanted follows from the drawing by closed forms.
"""

import io
import math

import ezdxf
import pytest
from ezdxf.math import BSpline

from drafting.curves import Cubic, flattened, length
from drafting.exchange.dxf_reading import dxf_linework
from drafting.exchange.linework import Linework, linework_box
from drafting.exchange.outlines import outlines

RELEASES = ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018")


def content(document) -> bytes:
    target = io.StringIO()
    document.write(target)
    return target.getvalue().encode(document.output_encoding, errors="dxfreplace")


def total(linework: Linework, number: int = 0) -> float:
    return sum(length(s) for s in linework.strokes[number].segments)


@pytest.mark.parametrize("release", RELEASES)
def test_every_release_with_inches_bulges_and_mirrored_blocks(release: str) -> None:
    document = ezdxf.new(release, units=1)
    document.header["$INSUNITS"] = 1
    block = document.blocks.new("PIECE")
    # A slot: two straight inches joined by half circles of 1/2 in.
    block.add_polyline2d([(0, 0, 0), (2, 0, 1), (2, 1, 0), (0, 1, 1)], format="xyb", close=True)
    inner = document.blocks.new("OUTER")
    inner.add_blockref("PIECE", (1, 1), {"xscale": -2, "yscale": 2, "rotation": 30})
    document.modelspace().add_blockref("OUTER", (5, 5), {"yscale": -1, "rotation": 15})
    linework = dxf_linework(content(document), 25.4 if release == "R12" else None)
    (outline,) = outlines(linework.strokes).outlines
    area = (2.0 + math.pi / 4) * 4 * 25.4**2
    assert outline.area == pytest.approx(area, rel=1e-3)
    assert sum(map(length, outline.segments)) == pytest.approx((4 + math.pi) * 50.8, abs=0.02)
    assert any(isinstance(s, Cubic) for s in outline.segments)


@pytest.mark.parametrize(("xscale", "yscale"), [(-1.0, 1.0), (1.0, -1.0), (2.0, 0.5), (-3.0, 1.5)])
def test_arcs_and_splines_in_blocks_stretched_and_mirrored(xscale: float, yscale: float) -> None:
    document = ezdxf.new("R2010", units=4)
    block = document.blocks.new("B")
    block.add_arc((10, 20), 30, 20, 110)
    block.add_spline(fit_points=[(0, 0), (30, 40), (80, 30), (100, 0)])
    block.add_ellipse((0, 0), (40, 0), 0.5, 0.3, 2.0)
    space = document.modelspace()
    space.add_blockref("B", (7, 9), {"xscale": xscale, "yscale": yscale, "rotation": 25})
    linework = dxf_linework(content(document))
    turn = math.radians(25)

    def placed(x: float, y: float) -> tuple[float, float]:
        x, y = x * xscale, y * yscale
        return (7 + x * math.cos(turn) - y * math.sin(turn),
                9 + x * math.sin(turn) + y * math.cos(turn))  # fmt: skip

    def near(number: int, x: float, y: float) -> float:
        points = [p for s in linework.strokes[number].segments for p in flattened(s, 0.001)]
        return min(math.dist((p.x, p.y), placed(x, y)) for p in points)

    for degrees in (20, 65, 110):
        turned = math.radians(degrees)
        x, y = 10 + 30 * math.cos(turned), 20 + 30 * math.sin(turned)
        assert near(0, x, y) < 0.5 and near(0, 20 - x, 40 - y) > 0.5
    for x, y in [(0, 0), (30, 40), (80, 30), (100, 0)]:
        assert near(1, x, y) < 0.35
    for part in (0.3, 2.0):
        assert near(2, 40 * math.cos(part), 20 * math.sin(part)) < 0.02


def test_weighted_closed_and_quintic_splines() -> None:
    document = ezdxf.new("R2000", units=5)
    space = document.modelspace()
    half = math.sqrt(0.5)
    # A quarter circle of 10 cm as a rational quadratic (Piegl and Tiller, The NURBS Book, 7.3).
    quarter = space.add_spline()
    quarter.dxf.degree = 2
    quarter.control_points = [(10, 0, 0), (10, 10, 0), (0, 10, 0)]
    quarter.knots = [0, 0, 0, 1, 1, 1]
    quarter.weights = [1, half, 1]
    space.add_spline(degree=3).set_closed([(0, 0, 0), (30, 0, 0), (30, 20, 0), (0, 20, 0)])
    points = [(0, 0), (5, 8), (12, -3), (20, 9), (26, 2), (30, 5), (36, 0)]
    space.add_spline(degree=5).set_open_uniform([(*p, 0) for p in points], degree=5)
    linework = dxf_linework(content(document))
    assert total(linework) == pytest.approx(math.pi / 2 * 100, abs=0.02)
    (outline,) = outlines(linework.strokes[1:2]).outlines
    assert outline.area > 20_000
    wanted = 10 * sum(
        a.distance(b) for a, b in zip(*(lambda p: (p, p[1:]))(
            list(BSpline(points, order=6).approximate(4000))), strict=False)
    )  # fmt: skip
    assert total(linework, 2) == pytest.approx(wanted, abs=0.05)


def test_a_file_without_a_unit_is_asked_about() -> None:
    for release in RELEASES:
        document = ezdxf.new(release)
        document.header["$INSUNITS"] = 0
        document.modelspace().add_line((0, 0), (10, 0))
        document.modelspace().add_line((10, 0), (10, 10))
        linework = dxf_linework(content(document))
        assert not linework.stated and "unit" in linework.told[0]


def test_three_dimensional_frames_turned_away_from_the_page() -> None:
    document = ezdxf.new("R2000", units=4)
    space = document.modelspace()
    # Mirrored by its extrusion, as some programs mirror: (x, y) is drawn at (-x, y).
    space.add_lwpolyline(
        [(10, 0, 0), (60, 0, 0.5), (60, 30, 0), (10, 30, 0)], format="xyb", close=True,
        dxfattribs={"extrusion": (0, 0, -1)},
    )  # fmt: skip
    space.add_arc((20, 50), 10, 0, 90, dxfattribs={"extrusion": (0, 0, -1)})
    space.add_polyline3d([(0, 0, 5), (100, 0, 5), (100, 50, 5)])
    linework = dxf_linework(content(document))
    box = [p for s in linework.strokes[0].segments for p in flattened(s, 0.01)]
    assert max(p.x for p in box) == pytest.approx(-10.0, abs=1e-6)
    arc = [p for s in linework.strokes[1].segments for p in flattened(s, 0.01)]
    assert min(p.x for p in arc) == pytest.approx(-30.0, abs=0.01)
    assert max(p.y for p in arc) == pytest.approx(60.0, abs=0.01)
    assert total(linework, 2) == pytest.approx(150.0)


def test_paper_space_and_hidden_layers_bring_nothing() -> None:
    document = ezdxf.new("R2010", units=4)
    document.layers.add("OFF").off()
    document.modelspace().add_line((0, 0), (100, 0), {"layer": "OFF"})
    document.modelspace().add_line((0, 0), (50, 0))
    document.layout("Layout1").add_line((0, 0), (900, 0))
    linework = dxf_linework(content(document))
    assert linework_box(linework).width == pytest.approx(50.0)
    assert any("OFF" in line for line in linework.told)


def test_a_block_moved_by_its_base_point() -> None:
    document = ezdxf.new("R2000", units=4)
    block = document.blocks.new("B", base_point=(100, 200))
    block.add_line((100, 200), (110, 200))
    document.modelspace().add_blockref("B", (5, 6))
    (stroke,) = dxf_linework(content(document)).strokes
    assert (stroke.start.x, stroke.start.y) == pytest.approx((5.0, 6.0))


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("release", ["R12", "R2000", "R2018"])
def test_line_ends_of_every_system(ends: str, release: str) -> None:
    document = ezdxf.new(release, units=4)
    document.modelspace().add_circle((0, 0), 50)
    document.modelspace().add_text("Größe", dxfattribs={"insert": (1, 1)})
    text = content(document).replace(b"\r\n", b"\n").replace(b"\n", ends.encode())
    linework = dxf_linework(text)
    assert total(linework) == pytest.approx(100 * math.pi, abs=0.02)
    assert linework.words


def test_a_binary_file_and_one_of_entities_alone() -> None:
    document = ezdxf.new("R2010", units=5)
    document.modelspace().add_line((0, 0), (10, 0))
    target = io.BytesIO()
    document.write(target, fmt="bin")
    assert total(dxf_linework(target.getvalue())) == pytest.approx(100.0)
    words = "0 SECTION 2 ENTITIES 0 LINE 8 0 10 0.0 20 0.0 11 10.0 21 0.0 0 ENDSEC 0 EOF"
    alone = words.replace(" ", "\r\n") + "\r\n"
    linework = dxf_linework(alone.encode())
    assert total(linework) == pytest.approx(10.0) and not linework.stated
