"""Paper pieces of known shape photographed by scikit-image and by the rig, traced, measured."""

import math
from pathlib import Path

import cv2
import numpy as np
import pytest
import shapely
from scipy.ndimage import gaussian_filter
from skimage.draw import polygon2mask
from skimage.transform import ProjectiveTransform, warp
from typer.testing import CliRunner

from calibration.record import Record
from calibration.rig_scenes import random_rig
from drafting.curves import Cubic, Line, flattened
from drafting.edge import point_along
from drafting.exchange.completing import Said, completed, edges_of
from drafting.exchange.outlines import Outline
from drafting.marks import Notch
from drafting.piece import Piece, edge_named
from drafting.plane import Point
from projector.cli import app
from projector.errors import ProjectorError
from projector.files.job import read_job, write_job
from projector.files.table import write_record
from projector.job import Job
from projector.paper_outline import paper_outline
from projector.photo_plane import plane_of_points, plane_of_scale
from projector.traced_outline import (
    outline_of,
    traced,
    with_corner,
    with_corner_moved,
    with_notch,
    with_notch_moved,
    without_corner,
    without_notch,
)
from tests.projector.paper_scenes import errors_of, paper_scene, shapes, true_map


def notch_place(piece: Piece, notch: Notch) -> Point:
    return point_along(edge_named(piece, notch.edge), notch.along)


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


@pytest.mark.parametrize(("paper", "table"), [(0.8, 0.6), (0.35, 0.75)])
def test_outline_corners_and_notches_on_light_and_dark_tables(paper: float, table: float) -> None:
    image, plane = photograph(paper, table, 3)
    found = traced(plane(paper_outline(image)))
    outline, notches = outline_of(found), found.notches
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


@pytest.mark.parametrize(
    ("number", "seed", "paper", "table"), [(0, 1, 0.8, 0.15), (13, 2, 0.2, 0.8)]
)
def test_a_piece_on_the_lit_table_is_traced_by_the_command(
    tmp_path: Path, number: int, seed: int, paper: float, table: float
) -> None:
    rig = random_rig(91_000 + seed, projector_lens=0.0)
    scene = paper_scene(rig, shapes()[number], seed, paper, table, angle=0.2)
    cv2.imwrite(str(tmp_path / "piece.png"), scene.photo)
    cv2.imwrite(str(tmp_path / "lit.png"), scene.lit)
    write_record(tmp_path / "table.yaml", Record(true_map(rig), "tape"))
    write_job(tmp_path / "choir.yaml", Job("Choir"))
    told = CliRunner().invoke(
        app,
        ["trace", str(tmp_path / "piece.png"), "--table", str(tmp_path / "table.yaml"), "--lit",
         str(tmp_path / "lit.png"), "--into", str(tmp_path / "choir.yaml"), "--line", "seam",
         "--name", "piece", "--picture", str(tmp_path / "seen.png")],
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    assert cv2.imread(str(tmp_path / "seen.png")) is not None
    (piece,) = read_job(tmp_path / "choir.yaml").pieces
    made = Outline(tuple(s for e in piece.edges for s in e.segments), 0.0)
    errors = errors_of(scene, made)
    assert np.percentile(errors, 95) < 0.7
    assert len(piece.edges) == len(scene.corners)
    notches = [n for n in piece.marks if isinstance(n, Notch)]
    assert len(notches) == len(scene.notches)
    places = np.array([(p.x, p.y) for p in (notch_place(piece, n) for n in notches)])
    for place in scene.notches:
        assert np.hypot(*(places - place).T).min() < 1.2


def test_a_piece_beside_a_printed_board_is_traced_by_the_command(tmp_path: Path) -> None:
    rig = random_rig(91_010, projector_lens=0.0)
    shape = shapes()[2]
    scene = paper_scene(rig, shape, 5, 0.85, 0.3, (0.55, 0.5), 0.1, lit=False, board="A3")
    cv2.imwrite(str(tmp_path / "piece.png"), scene.photo)
    write_job(tmp_path / "choir.yaml", Job("Choir"))
    told = CliRunner().invoke(
        app,
        ["trace", str(tmp_path / "piece.png"), "--sheet", "A3", "--into",
         str(tmp_path / "choir.yaml"), "--line", "seam"],
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    (piece,) = read_job(tmp_path / "choir.yaml").pieces
    made = Outline(tuple(s for e in piece.edges for s in e.segments), 0.0)
    assert np.percentile(errors_of(scene, made, free=True), 95) < 0.7
    assert len(piece.edges) == 6 and len(piece.marks) == 3  # two notches and the grain


def test_corners_and_notches_are_corrected() -> None:
    x = np.concatenate([np.arange(0, 200, 0.5), np.full(200, 200.0), np.arange(200, 0, -0.5),
                        np.zeros(200)])  # fmt: skip
    y = np.concatenate([np.zeros(400), np.arange(0, 100, 0.5), np.full(400, 100.0),
                        np.arange(100, 0, -0.5)])  # fmt: skip
    found = traced(np.column_stack([x, y]))
    assert len(found.corners) == 4 and not found.notches
    more = with_corner(found, Point(100.0, 0.4))
    assert len(edges_of(outline_of(more))[0]) == 5
    aside = with_corner_moved(more, 1, Point(100.0, -6.0))
    lowest = min(s.start.y for s in outline_of(aside).segments)
    assert lowest == pytest.approx(-6.0)
    corner = next(k for k, c in enumerate(aside.corners) if c.place.y < -5.0)
    assert len(without_corner(aside, corner).corners) == 4
    cut = with_notch_moved(with_notch(found, Point(60.0, 1.0)), 0, Point(80.0, -2.0))
    assert cut.notches[0].place.x == pytest.approx(80.0, abs=0.3)
    piece = completed(outline_of(cut), Said("strip", line="seam"), cut.notches)
    assert sum(isinstance(mark, Notch) for mark in piece.marks) == 1
    assert not without_notch(cut, 0).notches
    with pytest.raises(ProjectorError, match="no number 7"):
        without_corner(found, 7)
