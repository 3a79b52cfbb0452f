"""Paper pieces of known shape on the simulated table, for tests and benchmarks of tracing.

Shapes are polygons with corners known by hand; notches are V cuts and slits such as a notching
tool makes (about 1.6 mm wide and 6 mm deep: common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
import shapely
from shapely import affinity

from calibration.board import drawn_on_screen, printed_board, screen_board
from calibration.homography import fitted
from calibration.rig import Rig, true_table_points
from calibration.rig_camera import PHONE, Conditions
from calibration.rig_picture import photograph
from calibration.rig_surface import Sheet, board_sheet
from calibration.table_map import TableMap
from drafting.curves import flattened
from drafting.exchange.outlines import Outline
from projector.traced_outline import Tracing
from tests.calibration.sights import screen_grid

PIXELS_A_MM = 4
FINER = 3
MARGIN = 12.0


@dataclass(frozen=True)
class Shape:
    """A piece in its own frame, mm, y up: whole outline, corners, and where notches are cut.

    `cuts` holds place, inward direction and kind.
    """

    name: str
    body: shapely.Polygon
    corners: tuple[tuple[float, float], ...]
    cuts: tuple[tuple[tuple[float, float], tuple[float, float], str], ...] = ()


def _arc(x: float, y: float, radius: float, start: float, end: float) -> list[tuple[float, float]]:
    turns = np.radians(np.linspace(start, end, 90))
    return [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns]


def _cut(body: shapely.Polygon, along: float, kind: str):
    """A cut at a part of the outline's length, straight inward."""
    ring = shapely.orient_polygons(body).exterior
    length = ring.length
    place = shapely.line_interpolate_point(ring, along * length)
    before, after = (
        shapely.line_interpolate_point(ring, along * length + step) for step in (-1.0, 1.0)
    )
    dx, dy = after.x - before.x, after.y - before.y
    size = math.hypot(dx, dy)
    return ((place.x, place.y), (-dy / size, dx / size), kind)


def _corners(body: shapely.Polygon) -> tuple[tuple[float, float], ...]:
    """Where the outline turns by more than 20 degrees; its arcs turn by less at every point."""
    points = np.array(body.exterior.coords[:-1])
    into = points - np.roll(points, 1, axis=0)
    away = np.roll(into, -1, axis=0)
    cross = into[:, 0] * away[:, 1] - into[:, 1] * away[:, 0]
    turns = np.abs(np.arctan2(cross, (into * away).sum(axis=1)))
    return tuple((float(x), float(y)) for x, y in points[turns > math.radians(20.0)])


def shapes() -> tuple[Shape, ...]:
    """Pieces of many kinds: straight, curved, concave, with inner corners, small, long."""
    front = [(0, 0), (220, 0), *_arc(268, 250, 70, 239, 158), (185, 330), (105, 325),
             *_arc(30, 322, 75, 2, -88), (0, 247)]  # fmt: skip
    cap = [(x, 330 + 70 * math.cos(math.pi * x / 190)) for x in np.linspace(190, -190, 160)]
    collar = [(x, 62 + 14 * math.cos((x - 190) / 95)) for x in np.linspace(378, 2, 80)]
    oval = [(150 * math.cos(t), 95 * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 300)[:-1]]
    pocket = [(0, 160), *_arc(15, 15, 15, 180, 270), *_arc(115, 15, 15, 270, 360), (130, 160)]
    hem = [point for k in range(5) for point in _arc(30 + 60 * k, 0, 30, 180, 360)]
    skirt = [(0, 0), (260, 0), (245, 380), (175, 384), (160, 290), (145, 385), (0, 380)]
    drawn: tuple[tuple[str, list[tuple[float, float]], tuple[tuple[float, str], ...]], ...] = (
        ("front", front, ((0.1, "v"), (0.33, "slit"), (0.9, "v"), (0.43, "v"))),
        ("sleeve", [(-120, 0), (120, 0), *cap],
         ((0.05, "slit"), (0.45, "v"), (0.6, "slit"), (0.72, "v"))),
        ("L", [(0, 0), (320, 0), (320, 110), (120, 110), (120, 300), (0, 300)],
         ((0.08, "v"), (0.5, "slit"))),
        ("T", [(0, 0), (90, 0), (90, 210), (210, 240), (210, 330), (-120, 330), (-120, 240),
               (0, 210)], ((0.15, "v"), (0.62, "v"))),
        ("facing", [*_arc(0, 0, 130, 20, 160), *_arc(0, 0, 85, 160, 20)],
         ((0.2, "v"), (0.7, "slit"))),
        ("strip", [(0, 0), (900, 0), (900, 60), (0, 60)],
         ((0.2, "slit"), (0.3, "v"), (0.75, "slit"))),
        ("collar", [(0, 0), (380, 0), (425, 88), *collar, (-45, 88)], ((0.2, "v"), (0.7, "v"))),
        ("gusset", [(0, 0), (70, 55), (0, 110), (-70, 55)], ()),
        ("oval", oval, ((0.1, "v"), (0.5, "slit"))),
        ("pocket", pocket, ((0.5, "slit"),)),
        ("scalloped", [*hem, (300, 200), (0, 200)], ((0.75, "v"),)),
        ("skirt with an open dart", skirt, ((0.2, "v"), (0.9, "slit"))),
        ("tie", [(0, 0), (600, 0), (622, 14), (600, 28), (0, 28)], ()),
        ("small facing", [(0, 0), (90, 0), (90, 30), (60, 30), (60, 80), (0, 80)], ((0.1, "v"),)),
    )  # fmt: skip
    made = []
    for name, points, cuts in drawn:
        body = shapely.orient_polygons(shapely.Polygon(points))
        made.append(
            Shape(name, body, _corners(body), tuple(_cut(body, at, kind) for at, kind in cuts))
        )
    return tuple(made)


def with_cuts(shape: Shape) -> shapely.Polygon:
    """The outline as it is cut: V cuts 5 mm wide, slits 1.6 mm, both 6 mm deep."""
    out = shape.body
    for (x, y), (dx, dy), kind in shape.cuts:
        start, tip = (x - 2 * dx, y - 2 * dy), (x + 6 * dx, y + 6 * dy)
        if kind == "slit":
            hole = shapely.LineString([start, tip]).buffer(0.8, cap_style="flat")
        else:
            left, right = (x - 2.5 * dy, y + 2.5 * dx), (x + 2.5 * dy, y - 2.5 * dx)
            away = (-2 * dx, -2 * dy)
            hole = shapely.Polygon(
                [tip, left, (left[0] + away[0], left[1] + away[1]),
                 (right[0] + away[0], right[1] + away[1]), right]
            )  # fmt: skip
        out = out.difference(hole)
    return out


@dataclass(frozen=True)
class PaperScene:
    """Photographs of a piece on the table, and the truth in table mm.

    `photo` shows the piece in white light, with a printed board beside it if `board` says so;
    `lit` shows the projected board from the same place.
    """

    rig: Rig
    shape: Shape
    body: shapely.Polygon
    corners: np.ndarray
    notches: np.ndarray
    photo: np.ndarray
    lit: np.ndarray | None


def paper_scene(
    rig: Rig,
    shape: Shape,
    seed: int,
    paper: float = 0.8,
    table: float = 0.2,
    middle: tuple[float, float] = (0.5, 0.5),
    angle: float = 0.0,
    lit: bool = True,
    board: str = "",
    tapped: bool = True,
    conditions: Conditions = PHONE,
) -> PaperScene:
    """The piece with its middle at parts `middle` of the screen, turned by `angle` radians.

    `tapped` exposes the camera for the lighter of paper and table, as a tap on it does; else a
    small light piece on a dark table is burnt out.
    """
    if tapped:
        conditions = replace(conditions, gain=0.75 / max(paper, table))
    width, height = rig.screen_size
    at = true_table_points(rig, np.array([[middle[0] * width, middle[1] * height]]))[0]
    sheet = _drawn(shape, paper, table, (float(at[0]), float(at[1])), angle)
    white = np.full((height, width), 255, np.uint8)
    sheets = [sheet]
    if board:
        beside = true_table_points(rig, np.array([[0.2 * width, 0.5 * height]]))[0]
        sheets.append(
            board_sheet(printed_board(board), board, (float(beside[0]), float(beside[1])))
        )
    photo = photograph(rig, white, seed, tuple(sheets), table, conditions)
    shown = None
    if lit:
        screen = drawn_on_screen(screen_board(rig.screen_size), rig.screen_size)
        shown = photograph(rig, screen, seed + 1, tuple(sheets), table, conditions)
    left, bottom, right, top = shape.body.bounds
    centre = ((left + right) / 2, (bottom + top) / 2)

    def placed(geometry):
        moved = affinity.translate(geometry, -centre[0], -centre[1])
        turned = affinity.rotate(moved, angle, origin=(0, 0), use_radians=True)
        return affinity.translate(turned, float(at[0]), float(at[1]))

    corners = [placed(shapely.Point(place)) for place in shape.corners]
    notches = [placed(shapely.Point(place)) for place, _, _ in shape.cuts]
    return PaperScene(
        rig, shape, placed(shape.body), shapely.get_coordinates(corners),
        shapely.get_coordinates(notches), photo, shown,
    )  # fmt: skip


def _drawn(
    shape: Shape, paper: float, table: float, middle: tuple[float, float], angle: float
) -> Sheet:
    """The piece drawn on a sheet as grey as the table, exact to a twelfth of a millimetre."""
    left, bottom, right, top = shape.body.bounds
    size = PIXELS_A_MM * FINER
    columns = 2 * math.ceil((right - left + 2 * MARGIN) / 2 * PIXELS_A_MM)
    rows = 2 * math.ceil((top - bottom + 2 * MARGIN) / 2 * PIXELS_A_MM)
    x, y = np.array(with_cuts(shape).exterior.coords).T
    px = np.column_stack([
        (x - (left + right) / 2) * size + columns * FINER / 2 - 0.5,
        ((bottom + top) / 2 - y) * size + rows * FINER / 2 - 0.5,
    ])  # fmt: skip
    fine = np.zeros((rows * FINER, columns * FINER), np.uint8)
    cv2.fillPoly(fine, [np.round(px * 16).astype(np.int32)], 255, cv2.LINE_8, 4)
    cover = cv2.resize(fine, (columns, rows), interpolation=cv2.INTER_AREA) / np.float32(255.0)
    drawing = table + (paper - table) * cover
    return Sheet(drawing.astype(np.float32), PIXELS_A_MM, middle, angle)


def true_map(rig: Rig) -> TableMap:
    """The map of a rig whose projector has no lens error, so that only the tracing errs."""
    grid = screen_grid(rig.screen_size, 9, 7, 0.0)
    return TableMap(fitted(grid, true_table_points(rig, grid)), rig.screen_size)


def _ring(outline: Outline) -> np.ndarray:
    return np.array([(p.x, p.y) for s in outline.segments for p in flattened(s, 0.02)])


def _placed(scene: PaperScene, points: np.ndarray, outline: Outline) -> np.ndarray:
    """True points in the tracing's own frame: the rigid motion that fits the outlines best.

    A few rounds of nearest points, from the frames' middles and the best of all quarter turns.
    """
    ring = shapely.LinearRing(_ring(outline))
    true = _sampled(scene)
    centre = shapely.get_coordinates(shapely.Polygon(ring).centroid)[0]
    start = shapely.get_coordinates(scene.body.centroid)[0]
    best: tuple[float, np.ndarray, np.ndarray, np.ndarray] | None = None
    for angle in np.linspace(0, 2 * np.pi, 73)[:-1]:
        c, s = np.cos(angle), np.sin(angle)
        turn = np.array([[c, -s], [s, c]])
        moved = (true - start) @ turn.T + centre
        gap = float(shapely.distance(ring, shapely.points(moved)).mean())
        if best is None or gap < best[0]:
            best = (gap, turn, start, centre)
    assert best is not None
    _, turn, start, centre = best
    for _ in range(30):
        moved = (true - start) @ turn.T + centre
        along = shapely.line_locate_point(ring, shapely.points(moved))
        near = shapely.get_coordinates(shapely.line_interpolate_point(ring, along))
        a, b = true.mean(axis=0), near.mean(axis=0)
        u, _, v = np.linalg.svd((true - a).T @ (near - b))
        turn, start, centre = (u @ np.diag([1.0, np.linalg.det(u @ v)]) @ v).T, a, b
    return (points - start) @ turn.T + centre


def _sampled(scene: PaperScene) -> np.ndarray:
    parts = np.linspace(0, 1, 2500)
    dots = shapely.line_interpolate_point(scene.body.exterior, parts, normalized=True)
    return shapely.get_coordinates(dots)


def errors_of(scene: PaperScene, outline: Outline, free: bool = False) -> np.ndarray:
    """How far points all round the true outline lie from the traced one, mm.

    `free` when the tracing's frame is not the table's, as with a printed board: only the shape
    is compared then.
    """
    true = _sampled(scene)
    moved = _placed(scene, true, outline) if free else true
    return shapely.distance(shapely.LinearRing(_ring(outline)), shapely.points(moved))


def nearest_notches(
    scene: PaperScene, tracing: Tracing, outline: Outline, free: bool = False
) -> np.ndarray:
    """How far each true notch is from the nearest that was found, mm."""
    found = np.array([(n.place.x, n.place.y) for n in tracing.notches])
    return _gaps(_placed(scene, scene.notches, outline) if free else scene.notches, found)


def nearest_corners(scene: PaperScene, outline: Outline, free: bool = False) -> np.ndarray:
    """How far each true corner is from the nearest that was found, mm."""
    found = np.array([(place.x, place.y) for place in outline.corners])
    return _gaps(_placed(scene, scene.corners, outline) if free else scene.corners, found)


def _gaps(wanted: np.ndarray, found: np.ndarray) -> np.ndarray:
    if len(wanted) == 0:
        return np.zeros(0)
    if len(found) == 0:
        return np.full(len(wanted), np.inf)
    return np.hypot(*(wanted[:, None] - found[None]).transpose(2, 0, 1)).min(axis=1)
