"""SVG files as other programs write them: by hand, and by svgwrite, which is a general library."""

import math

import numpy as np
import pytest
import svgwrite
from scipy.integrate import quad

from drafting.curves import Cubic, flattened, length
from drafting.errors import DraftingError
from drafting.exchange.linework import Stroke, linework_box
from drafting.exchange.svg_reading import svg_linework

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {}>{}</svg>'
)


def read(head: str, body: str, dots: float = 96.0):
    return svg_linework(HEAD.format(head, body).encode(), dots)


def sizes(linework) -> tuple[float, float]:
    box = linework_box(linework)
    return box.width, box.height


def total(stroke: Stroke) -> float:
    return sum(length(segment) for segment in stroke.segments)


SQUARE = '<rect width="10" height="10" fill="none" stroke="red"/>'


@pytest.mark.parametrize(
    ("head", "side"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 10.0),
        ('width="4in" height="4in" viewBox="0 0 100 100"', 10.16),
        ('width="4in" viewBox="0 0 100 50"', 10.16),
        ('width="72pt" height="72pt" viewBox="0 0 100 100"', 2.54),
        ('width="6pc" height="6pc" viewBox="0 0 100 100"', 2.54),
        ('width="10cm" height="20cm" viewBox="-50 -50 100 100"', 10.0),
        ('width="100mm" height="100mm"', 25.4 * 10 / 96),
    ],
)
def test_scale_is_what_the_page_and_its_view_box_say(head: str, side: float) -> None:
    linework = read(head, SQUARE)
    assert linework.stated
    assert sizes(linework) == pytest.approx((side, side), abs=1e-4)


def test_a_file_without_units_is_flagged_and_read_at_the_dots_it_is_told() -> None:
    linework = read('viewBox="0 0 720 720"', SQUARE, 72.0)
    assert not linework.stated and "does not say" in linework.told[0]
    assert sizes(linework) == pytest.approx((10 / 72 * 25.4,) * 2, abs=1e-5)


def test_nested_transforms_inches_and_percentages() -> None:
    body = (
        '<g transform="translate(100 50) rotate(90)"><g transform="scale(2)">'
        '<g transform="matrix(1 0 0.5 1 0 0)"><line x1="0" y1="0" x2="10%" y2="10" stroke="blue"/>'
        "</g></g></g>"
    )
    linework = read('width="200mm" height="200mm" viewBox="0 0 200 200"', body)
    # By hand: (20, 10) skewed to (25, 10), doubled (50, 20), turned (-20, 50), shifted (80, 100).
    start, end = linework.strokes[0].start, linework.strokes[0].end
    assert (start.x, start.y) == pytest.approx((100, -50), abs=1e-3)
    assert (end.x, end.y) == pytest.approx((80, -100), abs=1e-3)
    inch = read('width="200mm" height="200mm"', '<circle cx="1in" cy="1in" r="1in" stroke="red"/>')
    assert sizes(inch) == pytest.approx((50.8, 50.8), abs=1e-3)


def test_inner_pages_symbols_and_copies_keep_their_scale() -> None:
    body = (
        '<defs><symbol id="s"><rect width="9" height="3" stroke="red"/>'
        "</symbol>"
        '<path id="p" d="M 0 0 h 7" stroke="blue"/></defs>'
        '<use xlink:href="#p" x="3" y="4"/><svg x="10" y="10" width="40" height="20" '
        'viewBox="0 0 4 2"><rect width="4" height="2" fill="green"/></svg>'
        '<use xlink:href="#s" width="18" height="18"/>'
    )
    linework = read('width="100mm" height="100mm" viewBox="0 0 100 100"', body)
    copied, inner, symbol = linework.strokes
    assert (copied.start.x, copied.start.y, total(copied)) == pytest.approx((3, -4, 7), abs=1e-3)
    assert total(inner) == pytest.approx(120, abs=1e-2)
    assert total(symbol) == pytest.approx(24, abs=1e-2)


def test_arcs_stay_within_a_hundredth_of_the_ellipse() -> None:
    body = (
        '<path d="M -400 0 A 400 150 0 0 1 400 0" transform="rotate(30)" fill="none" stroke="red"/>'
    )
    linework = read('width="1000mm" height="1000mm" viewBox="-500 -500 1000 1000"', body)
    points = np.array(
        [(p.x, p.y) for s in linework.strokes[0].segments for p in flattened(s, 1e-3)]
    )
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))
    along, across = points @ (c, -s), points @ (s, c)
    gap = np.abs(np.hypot(along / 400, across / 150) - 1) * 150
    assert gap.max() < 0.01
    wanted = quad(lambda t: math.hypot(400 * math.sin(t), 150 * math.cos(t)), 0, math.pi)[0]
    assert total(linework.strokes[0]) == pytest.approx(wanted, abs=0.01)


def test_curves_stay_curves_and_quadratic_ones_are_raised_exactly() -> None:
    body = '<path d="M0 0 Q 50 100 100 0 T 200 0" stroke="red" fill="none"/>'
    linework = read('width="200mm" height="200mm" viewBox="0 0 200 200"', body)
    first, second = linework.strokes[0].segments
    assert isinstance(first, Cubic) and isinstance(second, Cubic)
    wanted = quad(lambda t: math.hypot(100, 200 * (1 - 2 * t)), 0, 1)[0]
    assert length(first) == pytest.approx(wanted, abs=1e-3)
    assert length(second) == pytest.approx(wanted, abs=1e-3)


def test_svgwrite_file_with_layers_styles_and_hidden_parts() -> None:
    page = svgwrite.Drawing(size=("210mm", "297mm"), viewBox="0 0 210 297")
    cut = page.add(page.g(id="cut", stroke="#ff0000", fill="none"))
    cut.add(page.polygon([(10, 10), (110, 10), (110, 60)]))
    page.defs.add(page.style(".fine { stroke: #0000ff; fill: none }"))
    seam = page.add(page.g(id="seam"))
    seam.add(page.path("M 15,15 C 20,0 40,0 60,15", class_="fine"))
    hidden = page.add(page.g(id="hidden", visibility="hidden", stroke="black"))
    hidden.add(page.line((0, 0), (200, 200)))
    page.add(page.rect((0, 0), (5, 5), fill="none"))
    linework = svg_linework(page.tostring().encode())
    found = [(s.layer, s.colour, s.closed) for s in linework.strokes]
    assert found == [("cut", "#ff0000", True), ("seam", "#0000ff", False)]
    assert "2 shapes" in linework.told[0]
    assert total(linework.strokes[0]) == pytest.approx(150 + math.hypot(100, 50), abs=1e-3)


@pytest.mark.parametrize(
    ("head", "body", "told"),
    [
        ('width="-10cm" height="20cm"', SQUARE, "not negative"),
        ('width="10cm" height="0"', SQUARE, "above 0"),
        ('width="10em" height="10em"', SQUARE, "wanted a length in mm"),
        ('viewBox="0 0 -10 10"', SQUARE, "above 0"),
        ('viewBox="0 0 ten 10"', SQUARE, "four numbers"),
        ("", '<path d="M 0 0 L NaN 5" stroke="red"/>', "where a number was wanted"),
        ("", '<path d="M 0 0 L 1e999 5" stroke="red"/>', "not finite"),
        ("", '<rect width="-3" height="4" stroke="red"/>', "not negative"),
        ("", '<rect width="9e9" height="4" stroke="red"/>', "another unit"),
        ("", "<text>only words</text>", "no lines"),
        ("", '<g id="a"><use xlink:href="#b"/></g><g id="b"><use xlink:href="#a"/></g>', "no end"),
    ],
)  # fmt: skip
def test_strange_files_end_in_one_line(head: str, body: str, told: str) -> None:
    with pytest.raises(DraftingError, match=told) as caught:
        read(head, body)
    assert "\n" not in str(caught.value)
