"""Paper pieces of known shape photographed by scikit-image, traced and measured."""

import math

import numpy as np
import pytest
import shapely
from scipy.ndimage import gaussian_filter
from skimage.draw import polygon2mask
from skimage.transform import ProjectiveTransform, warp

from drafting.curves import Cubic, Line, flattened
from projector.errors import ProjectorError
from projector.paper_outline import paper_outline
from projector.photo_plane import plane_of_points, plane_of_scale
from projector.traced_outline import traced_outline

FINE = 5  # dots a mm of the flat picture that is photographed


def arc(x: float, y: float, radius: float, start: float, end: float) -> list[tuple[float, float]]:
    turns = np.radians(np.linspace(start, end, 60))
    return [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns]


# A front with a round neck and armhole, mm, y up: corners are known by hand.
BODY = [(40, 40), (240, 40), (250.2, 201), *arc(290, 260, 70, 236, 160), (205, 340), (130, 330),
        *arc(60, 330, 70, 0, -90), (40, 260)]  # fmt: skip
CORNERS = (0, 1, 3, 62, 63, 125)
V_CUTS = [((140, 40), (0, 1)), ((40, 150), (1, 0))]
SLITS = [((245, 120), (-1, 0.0625))]


def truth() -> tuple[shapely.Polygon, shapely.Polygon, list[tuple[float, float]]]:
    body = shapely.Polygon(BODY)
    cut = body
    for (x, y), (dx, dy) in V_CUTS:
        away = (-dx * 1.0, -dy * 1.0)
        tip, left, right = (
            (x + 6 * dx, y + 6 * dy),
            (x - 2.5 * dy, y + 2.5 * dx),
            (x + 2.5 * dy, y - 2.5 * dx),
        )
        cut = cut.difference(
            shapely.Polygon(
                [
                    tip,
                    left,
                    (left[0] + away[0], left[1] + away[1]),
                    (right[0] + away[0], right[1] + away[1]),
                    right,
                ]
            )
        )
    for (x, y), (dx, dy) in SLITS:
        line = shapely.LineString([(x - dx * 2, y - dy * 2), (x + 6 * dx, y + 6 * dy)])
        cut = cut.difference(line.buffer(0.8, cap_style="flat"))
    return body, cut, [place for place, _ in V_CUTS + SLITS]


def photograph(paper: float, table: float, seed: int):
    """A slanted, shaded, blurred and noisy picture, its pixel size some 0.35 mm."""
    _, cut, _ = truth()
    width, height = 330, 390
    flat = np.full((height * FINE, width * FINE), table)
    x, y = cut.exterior.xy
    rows, columns = (height - np.array(y)) * FINE - 0.5, np.array(x) * FINE - 0.5
    flat[polygon2mask(flat.shape, np.column_stack([rows, columns]))] = paper
    sheet_px = np.array([(0, 0), (width, 0), (width, height), (0, height)]) * FINE - 0.5
    seen = np.array([(90, 60), (1010, 110), (960, 1190), (40, 1130)], float)
    to_flat = ProjectiveTransform.from_estimate(seen, sheet_px)
    picture = warp(
        gaussian_filter(flat, 0.35 * FINE), to_flat, output_shape=(1250, 1050), cval=table
    )
    across = np.linspace(-1, 1, 1050)[None, :] * 0.12 + np.linspace(-1, 1, 1250)[:, None] * 0.08
    picture = picture * (1 + across) + np.random.default_rng(seed).normal(0, 0.012, picture.shape)
    known = np.array([(a, b) for a in (0, 110, 220, 330) for b in (0, 130, 260, 390)], float)
    known_flat = np.column_stack([known[:, 0] * FINE - 0.5, (height - known[:, 1]) * FINE - 0.5])
    plane = plane_of_points(to_flat.inverse(known_flat), known, (1050, 1250))
    image = np.clip(picture * 255, 0, 255).astype(np.uint8)
    return np.repeat(image[:, :, None], 3, axis=2), plane


@pytest.mark.parametrize(("paper", "table"), [(0.85, 0.25), (0.8, 0.6), (0.35, 0.75), (0.6, 0.85)])
def test_outline_corners_and_notches_on_light_and_dark_tables(paper: float, table: float) -> None:
    image, plane = photograph(paper, table, 3)
    outline, notches = traced_outline(plane(paper_outline(image)))
    body, _, places = truth()
    points = [p for s in outline.segments for p in flattened(s, 0.05)]
    gaps = shapely.distance(body.exterior, shapely.points([(p.x, p.y) for p in points]))
    along = shapely.LinearRing([(p.x, p.y) for p in points])
    steps = shapely.line_interpolate_point(body.exterior, np.linspace(0, 1, 2000), normalized=True)
    back = shapely.distance(along, steps)
    assert np.percentile(back, 95) < 0.7 and np.percentile(gaps, 95) < 0.7
    assert len(notches) == len(places)
    for place in places:
        near = min(math.hypot(n.place.x - place[0], n.place.y - place[1]) for n in notches)
        assert near < 0.7
    ends = [(s.start.x, s.start.y) for s in outline.segments]
    for number in CORNERS:
        assert min(math.dist(BODY[number], end) for end in ends) < 0.7
    assert any(isinstance(s, Line) for s in outline.segments)
    assert any(isinstance(s, Cubic) for s in outline.segments)
    assert len(outline.segments) < 40


def test_what_cannot_be_traced_is_refused() -> None:
    plain = np.full((300, 300, 3), 128, np.uint8)
    with pytest.raises(ProjectorError, match=r"stands out|levels"):
        paper_outline(plain)
    over = plain.copy()
    over[100:, 50:250] = 250
    with pytest.raises(ProjectorError, match="border"):
        paper_outline(over)
    with pytest.raises(ProjectorError, match="mm a pixel"):
        plane_of_scale((100, 100), 0.0)
    with pytest.raises(ProjectorError, match="wanted 8"):
        plane_of_points([(0, 0)] * 4, [(0, 0)] * 4, (100, 100))
