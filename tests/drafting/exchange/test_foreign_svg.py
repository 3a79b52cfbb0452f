"""SVG as general drawing programs write it, read at true scale.

The files are written by hand after the habits of such programs, or by svgwrite; what is wanted
follows from the drawing by closed forms.
"""

import math

import pytest
import svgwrite

from drafting.curves import Cubic, Line, flattened, length
from drafting.exchange.linework import Linework, linework_box
from drafting.exchange.outlines import outlines
from drafting.exchange.svg_reading import svg_linework

HEAD = (
    '<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" '
    'xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
)
PEN = 'fill="none" stroke="#000"'


def read(attributes: str, body: str) -> Linework:
    return svg_linework(f"{HEAD}{attributes}>{body}</svg>".encode())


def sizes(linework: Linework) -> list[tuple[float, float]]:
    boxes = []
    for stroke in linework.strokes:
        points = [p for s in stroke.segments for p in flattened(s, 0.005)]
        xs, ys = [p.x for p in points], [p.y for p in points]
        boxes.append((max(xs) - min(xs), max(ys) - min(ys)))
    return boxes


@pytest.mark.parametrize(
    ("attributes", "body", "wide", "high"),
    [
        # Inches on the page, a view box in points, a group turned inside another.
        ('width="10in" height="5in" viewBox="0 0 720 360"',
         f'<g transform="translate(72 36)"><g transform="rotate(90)">'
         f'<rect width="144" height="72" {PEN}/></g></g>', 25.4, 50.8),
        # A page in mm, its view box in hundredths, skewed and scaled back.
        ('width="200mm" height="100mm" viewBox="0 0 20000 10000"',
         f'<g transform="matrix(0,1,-1,0,5000,0)"><rect x="100" y="100" width="3000" '
         f'height="1500" {PEN}/></g>', 15.0, 30.0),
        # Percentages of the view box, also after an inner page.
        ('width="400mm" height="200mm" viewBox="0 0 400 200"',
         f'<svg x="1" y="1" width="10" height="10" viewBox="0 0 1 1"/>'
         f'<rect x="10%" y="10%" width="25%" height="50%" {PEN}/>', 100.0, 100.0),
        # Lengths with units are of user units, 96 to the inch.
        ('width="192mm" height="192mm" viewBox="0 0 192 192"',
         f'<rect x="1cm" y="1cm" width="1in" height="0.5in" {PEN}/>', 96.0, 48.0),
        # A view box wider than the page: everything keeps its shape, centred.
        ('width="100mm" height="100mm" viewBox="0 0 200 100"',
         f'<rect x="20" y="20" width="100" height="50" {PEN}/>', 50.0, 25.0),
        ('width="100mm" height="100mm" viewBox="0 0 200 100" preserveAspectRatio="none"',
         f'<rect x="20" y="20" width="100" height="50" {PEN}/>', 50.0, 50.0),
        # Picas, and a view box that does not begin at 0.
        ('width="12pc" height="12pc" viewBox="-50 -50 100 100"',
         f'<rect x="-25" y="-25" width="50" height="50" {PEN}/>', 25.4, 25.4),
    ],
)  # fmt: skip
def test_true_size(attributes: str, body: str, wide: float, high: float) -> None:
    linework = read(attributes, body)
    assert linework.stated
    assert sizes(linework)[0] == pytest.approx((wide, high), abs=1e-6)


def test_symbols_with_a_view_box_and_copies_of_copies() -> None:
    body = (
        f'<defs><symbol id="s" viewBox="0 0 10 20"><rect width="10" height="20" {PEN}/></symbol>'
        '<g id="pair"><use xlink:href="#s" width="30" height="60"/>'
        '<use href="#s" x="100" width="10" height="60" transform="rotate(90 100 0)"/></g></defs>'
        '<use href="#pair" x="5" y="7" transform="scale(2)"/>'
    )
    one, two = sizes(read('width="500mm" height="500mm" viewBox="0 0 500 500"', body))
    assert one == pytest.approx((60.0, 120.0), abs=1e-6)
    # The second keeps its shape in 10 x 60: a scale of 1, twice, on its side.
    assert two == pytest.approx((40.0, 20.0), abs=1e-6)


def test_clips_of_groups_shapes_and_style_sheets() -> None:
    body = (
        "<style>.cut { fill: none; clip-path: url(#half) }</style>"
        '<clipPath id="half"><rect width="50" height="100"/></clipPath>'
        '<clipPath id="disc"><use href="#round"/></clipPath>'
        '<defs><circle id="round" r="30"/></defs>'
        f'<g transform="translate(10 0)" clip-path="url(#half)">'
        f'<path d="M -20 10 H 100" {PEN}/></g>'
        f'<path d="M 0 20 H 200" transform="scale(2 1)" style="clip-path:url(#half)" {PEN}/>'
        '<path class="cut" stroke="#000" d="M 0 40 H 90"/>'
        f'<g clip-path="url(#half)"><g clip-path="url(#disc)"><path d="M -90 0 H 90" {PEN}/>'
        "</g></g>"
    )
    linework = read('width="300mm" height="100mm" viewBox="-100 0 300 100"', body)
    lengths = [sum(length(s) for s in stroke.segments) for stroke in linework.strokes]
    assert lengths == pytest.approx([50.0, 100.0, 50.0, 30.0], abs=0.02)


def test_arcs_mirrored_turned_and_too_small_for_their_ends() -> None:
    body = (
        f'<g transform="scale(-1 1)"><path d="M -150 100 A 50 50 0 0 1 -50 100" {PEN}/></g>'
        f'<path d="M 0 0 a 10 10 0 0 0 60 0" {PEN}/>'
        f'<path transform="rotate(30)" d="M 0 0 a 60 30 20 1 1 10 20" {PEN}/>'
    )
    linework = read('width="400mm" height="400mm" viewBox="0 0 400 400"', body)
    half, grown, _ = linework.strokes
    assert sum(map(length, half.segments)) == pytest.approx(math.pi * 50.0, abs=0.02)
    top = max(p.y for s in half.segments for p in flattened(s, 0.01))
    assert top == pytest.approx(-50.0, abs=0.01)  # the arc bows up on the page, mirrored or not
    # Radii too small are grown until they reach (SVG 2, 9.5.1): half a circle across 60 mm.
    assert sum(map(length, grown.segments)) == pytest.approx(math.pi * 30.0, abs=0.02)
    assert all(isinstance(s, Cubic) for s in half.segments)


def test_layers_of_a_drawing_program_hidden_ones_left_out() -> None:
    body = (
        '<g inkscape:groupmode="layer" inkscape:label="front" id="layer1" '
        'transform="translate(-3.2,12.5)">'
        f'<path d="m 10,10 c 20,0 40,10 40,40 l -40,0 z" style="fill:none;stroke:#ff0000;'
        'stroke-width:0.26px"/></g>'
        '<g inkscape:groupmode="layer" inkscape:label="notes" style="display:none">'
        f'<path d="M 0 0 H 500" {PEN}/></g>'
        f'<g visibility="hidden"><path d="M 0 0 H 500" {PEN}/></g>'
    )
    linework = read('width="210mm" height="297mm" viewBox="0 0 210 297"', body)
    assert [(s.layer, s.colour) for s in linework.strokes] == [("front", "#ff0000")]
    (outline,) = outlines(linework.strokes).outlines
    assert sum(isinstance(s, Cubic) for s in outline.segments) == 1


def test_svgwrite_polygons_lines_and_marked_units() -> None:
    drawing = svgwrite.Drawing(size=("30cm", "20cm"), viewBox="0 0 300 200")
    group = drawing.g(transform="translate(10,10) rotate(15) skewX(20)")
    group.add(drawing.polygon([(0, 0), (100, 0), (100, 50), (0, 50)], fill="none", stroke="black"))
    drawing.add(group)
    drawing.add(drawing.line(("10mm", "10mm"), ("20mm", "10mm"), stroke="black"))
    first, second = svg_linework(drawing.tostring().encode()).strokes
    (outline,) = outlines((first,)).outlines
    assert outline.area == pytest.approx(5000.0, abs=0.01)  # turning and skewing keep the area
    assert length(second.segments[0]) == pytest.approx(10 * 96 / 25.4, abs=1e-4)


def test_a_file_in_pixels_is_asked_about_and_told_dots_count() -> None:
    body = f'<path d="M 0 0 H 720 V 360 H 0 Z" {PEN}/>'
    for attributes in ("", 'width="720" height="360"', 'width="100%" height="100%"',
                       'viewBox="0 0 720 360"'):  # fmt: skip
        linework = read(attributes, body)
        assert not linework.stated and "pixel" in linework.told[0]
        assert linework_box(linework).width == pytest.approx(720 * 25.4 / 96)
    told = svg_linework(f"{HEAD}>{body}</svg>".encode(), dots_an_inch=72.0)
    assert linework_box(told).width == pytest.approx(254.0)


def test_straight_parts_stay_straight_and_curves_stay_curves() -> None:
    linework = read(
        'width="100mm" height="100mm" viewBox="0 0 100 100"',
        f'<path d="M0 0h50q25 0 25 25t-25 25s-20 20-50 0z" {PEN}/>',
    )
    kinds = [type(s) for s in linework.strokes[0].segments]
    assert kinds == [Line, Cubic, Cubic, Cubic, Line]


def test_short_entities_sizes_as_style_and_missing_name_spaces() -> None:
    entities = (
        '<?xml version="1.0" encoding="iso-8859-1"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" '
        '[<!ENTITY ns_svg "http://www.w3.org/2000/svg">]>'
        '<svg xmlns="&ns_svg;" width="283.4646pt" height="283.4646pt" '
        'viewBox="0 0 283.4646 283.4646"><style>.st0{fill:none;stroke:#000000;}</style>'
        '<polygon class="st0" points="0,0 283.4646,0 283.4646,141.7323"/></svg>'
    )
    assert sizes(svg_linework(entities.encode()))[0] == pytest.approx((100.0, 50.0), abs=1e-3)
    styled = read('style="width:10cm;height:10cm" viewBox="0 0 10 10"', f'<path d="M0 0H9" {PEN}/>')
    assert styled.stated and linework_box(styled).width == pytest.approx(90.0)
    bare = f'<svg width="10mm" height="10mm" viewBox="0 0 10 10"><path d="M0 0H9" {PEN}/></svg>'
    assert linework_box(svg_linework(bare.encode())).width == pytest.approx(9.0)
