"""DXF files written by ezdxf, a general library, and by hand; compared with closed forms."""

import io
import math

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.math import BSpline
from scipy.interpolate import BSpline as ScipySpline

from drafting.curves import Cubic, flattened, length
from drafting.errors import DraftingError
from drafting.exchange.dxf_reading import dxf_linework


def document(units: int = 4, version: str = "R2010"):
    made = ezdxf.new(version)
    made.header["$INSUNITS"] = units
    return made


def content(made) -> bytes:
    target = io.StringIO()
    made.write(target)
    return target.getvalue().encode()


def total(stroke) -> float:
    return sum(length(segment) for segment in stroke.segments)


def points(stroke) -> np.ndarray:
    return np.array([(p.x, p.y) for s in stroke.segments for p in flattened(s, 1e-3)])


@pytest.mark.parametrize(
    ("units", "millimetres"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0)]
)
def test_units_of_the_header(units: int, millimetres: float) -> None:
    made = document(units)
    made.modelspace().add_line((0, 0), (3, 4))
    linework = dxf_linework(content(made))
    assert linework.stated and total(linework.strokes[0]) == pytest.approx(5 * millimetres)


def test_a_file_without_a_unit_is_flagged_and_can_be_told() -> None:
    made = document(0)
    made.header["$MEASUREMENT"] = 0
    made.modelspace().add_line((0, 0), (3, 4))
    linework = dxf_linework(content(made))
    assert not linework.stated and total(linework.strokes[0]) == pytest.approx(127.0)
    told = dxf_linework(content(made), 10.0)
    assert told.stated and total(told.strokes[0]) == pytest.approx(50.0)


def test_bulges_arcs_and_ellipses() -> None:
    made = document(5)
    space = made.modelspace()
    space.add_lwpolyline([(0, 0, 1.0), (60, 0, 0), (60, 40, -0.2), (0, 40, 0)], "xyb", close=True)
    space.add_arc((0, 0), 55.0, 20, 330)
    space.add_circle((5, 5), 80.0)
    space.add_ellipse((0, 0), (50, 10), 0.3)
    space.add_polyline2d([(0, 0, 0.5), (10, 0, 0.0)], format="xyb")
    lwpolyline, arc, circle, ellipse, old = dxf_linework(content(made)).strokes

    def bulged(chord: float, bulge: float) -> float:
        return chord * (1 + bulge**2) / (4 * abs(bulge)) * 4 * math.atan(abs(bulge))

    wanted = 10 * (bulged(60, 1.0) + 40 + bulged(60, 0.2) + 40)
    assert lwpolyline.closed and total(lwpolyline) == pytest.approx(wanted, abs=0.01)
    assert total(arc) == pytest.approx(550 * math.radians(310), abs=0.01)
    radii = np.hypot(*(points(circle) - 50).T)
    assert np.abs(radii - 800).max() < 0.01 and circle.closed
    turned = points(ellipse) @ np.array([[5, -1], [1, 5]]) / math.sqrt(26)
    half = 100 * math.sqrt(26)
    assert np.abs(np.hypot(turned[:, 0], turned[:, 1] / 0.3) - half).max() * 0.3 < 0.02
    assert total(old) == pytest.approx(10 * bulged(10, 0.5), abs=0.01)
    assert points(old)[:, 1].min() < -10  # a positive bulge runs on the right of the chord


def test_splines_exact_where_cubic_and_close_elsewhere() -> None:
    controls = [(0, 0), (40, 90), (120, -50), (200, 80), (260, 10), (300, 60)]
    made = document()
    space = made.modelspace()
    space.add_open_spline([(*p, 0) for p in controls])
    space.add_rational_spline([(*p, 0) for p in controls], weights=[1, 2, 5, 1, 3, 1])
    space.add_open_spline([(*p, 0) for p in controls], degree=5)
    found = dxf_linework(content(made)).strokes
    assert all(isinstance(s, Cubic) for stroke in found for s in stroke.segments)
    knots = BSpline(controls).knots()
    outside = ScipySpline(np.array(knots), np.array(controls, float), 3)
    ts = np.linspace(0, knots[-1], 4001)
    pairs = [(found[0], outside(ts))]
    weights = np.array([1, 2, 5, 1, 3, 1.0])
    heavy = ScipySpline(
        np.array(knots), np.column_stack([np.array(controls, float) * weights[:, None], weights]), 3
    )(ts)
    pairs.append((found[1], heavy[:, :2] / heavy[:, 2:]))
    five = BSpline(controls, order=6)
    pairs.append(
        (
            found[2],
            ScipySpline(np.array(five.knots()), np.array(controls, float), 5)(
                np.linspace(0, five.knots()[-1], 4001)
            ),
        )
    )
    for stroke, wanted in pairs:
        ours = points(stroke)
        gaps = shapely.distance(shapely.LineString(wanted), shapely.points(ours))
        chords = np.linalg.norm(np.diff(wanted, axis=0), axis=1).sum()
        assert gaps.max() < 0.01
        assert total(stroke) == pytest.approx(chords, abs=0.02)


def test_blocks_nested_turned_mirrored_and_arrayed() -> None:
    made = document(1)
    inner = made.blocks.new("INNER")
    inner.add_lwpolyline([(0, 0), (2, 0, 0, 0, 1.0), (2, 1)], "xyseb")
    outer = made.blocks.new("OUTER", base_point=(1, 1))
    outer.add_blockref("INNER", (1, 1), {"xscale": -1, "yscale": 1, "rotation": 90})
    space = made.modelspace()
    space.add_blockref("OUTER", (10, 0), {"xscale": 2, "yscale": 2, "rotation": 30})
    space.add_blockref("INNER", (0, 5), {"column_count": 3, "column_spacing": 7})
    linework = dxf_linework(content(made))
    first = linework.strokes[0]
    # By hand: (2, 0) mirrored (-2, 0), turned a quarter (0, -2), doubled and turned 30 degrees.
    corner = 25.4 * np.array([10 + 4 * math.sin(math.pi / 6), -4 * math.cos(math.pi / 6)])
    assert (first.segments[0].end.x, first.segments[0].end.y) == pytest.approx(corner, abs=1e-6)
    assert total(first) == pytest.approx(2 * 25.4 * (2 + math.pi / 2), abs=0.01)
    # The arc bulges outward beyond (2, y): mirrored and turned that is further down the block.
    assert len(linework.strokes) == 4
    starts = sorted(stroke.start.x for stroke in linework.strokes[1:])
    assert starts == pytest.approx([0, 7 * 25.4, 14 * 25.4])
    assert dict(first.data)["block"] == "OUTER"
    assert dict(linework.strokes[1].data)["block"] == "INNER"


def test_a_mirrored_arc_keeps_to_its_side() -> None:
    made = document()
    block = made.blocks.new("B")
    block.add_arc((10, 0), 10, 90, 180)  # from (10, 10) to (0, 0), above the axis
    made.modelspace().add_blockref("B", (0, 0), {"xscale": -1})
    made.modelspace().add_arc((10, 0), 10, 0, 90, dxfattribs={"extrusion": (0, 0, -1)})
    for stroke in dxf_linework(content(made)).strokes:
        centre_gap = np.hypot(points(stroke)[:, 0] + 10, points(stroke)[:, 1]) - 10
        assert np.abs(centre_gap).max() < 0.01
        assert (points(stroke)[:, 0] <= 1e-6).all() and (points(stroke)[:, 1] >= -1e-6).all()


def test_layers_colours_points_and_what_is_switched_off() -> None:
    made = document()
    made.layers.add("1", color=1)
    made.layers.add("off", color=3).off()
    space = made.modelspace()
    space.add_line((0, 0), (5, 0), {"layer": "1"})
    space.add_line((0, 0), (5, 0), {"layer": "1", "true_color": 0x1F6F8B})
    space.add_line((0, 0), (5, 0), {"layer": "off"})
    space.add_point((3, 4), {"layer": "4"})
    space.add_text("Größe M", dxfattribs={"layer": "15"}).set_placement((1, 2))
    space.add_hatch()
    linework = dxf_linework(content(made))
    assert [s.colour for s in linework.strokes] == ["#ff0000", "#1f6f8b"]
    assert (linework.spots[0].point.x, linework.spots[0].layer) == (3, "4")
    assert linework.words[0].text == "Größe M"
    assert any("HATCH" in line for line in linework.told) and len(linework.told) == 2


def test_pieces_in_blocks_without_inserts_are_still_read() -> None:
    made = document()
    made.blocks.new("FRONT").add_line((0, 0), (9, 0))
    assert len(dxf_linework(content(made)).strokes) == 1


def test_inserts_that_unfold_without_measure_or_end_are_refused() -> None:
    made = document()
    made.blocks.new("B0").add_line((0, 0), (1, 0))
    for level in range(1, 12):
        block = made.blocks.new(f"B{level}")
        for _ in range(10):
            block.add_blockref(f"B{level - 1}", (0, 0))
    made.modelspace().add_blockref("B11", (0, 0))
    with pytest.raises(DraftingError, match="inserted as often"):
        dxf_linework(content(made))
    endless = document()
    endless.blocks.new("A").add_blockref("A", (0, 0))
    endless.modelspace().add_blockref("A", (0, 0))
    with pytest.raises(DraftingError, match="holds itself"):
        dxf_linework(content(endless))
    array = document()
    array.blocks.new("A").add_line((0, 0), (1, 0))
    array.modelspace().add_blockref(
        "A",
        (0, 0),
        {"row_count": 30000, "row_spacing": 1, "column_count": 30000, "column_spacing": 1},
    )
    with pytest.raises(DraftingError, match="inserted as often"):
        dxf_linework(content(array))
