"""The plan as a drawing: both blocks, the lines that construct the sleeve, the contour.

True scale, mm, the frame of the block: x from the centre, y up from the waist. Points carry
numbers, and a key in the empty place below the sleeve tells what each of them is.
"""

from __future__ import annotations

from drafting.armhole import armhole, block_neckline
from drafting.bodice import HalfBlock
from drafting.curves import Line
from drafting.draft import Draft, contour_pieces
from drafting.drawing import (
    INK,
    Box,
    Curve,
    Drawing,
    Layer,
    Mark,
    Pen,
    Polyline,
    Words,
    around,
    box_of,
    box_of_boxes,
    grown,
)
from drafting.edge import flattened_edge
from drafting.piece import Piece, edge_named
from drafting.plane import Point, distance

__all__ = ["BACK", "FRONT", "POINTS", "plan_drawing"]

BACK, FRONT = "#2b6f86", "#a3541f"
GUIDE = "#7d8a90"
CONTOUR = Pen(1.1)
LETTER = 9.0

POINTS: tuple[tuple[str, str, tuple[float, float]], ...] = (
    ("neck_point", "halfway neck point", (-9.0, 7.0)),
    ("neck_edge", "neckline on the overarm", (0.0, 9.0)),
    ("shoulder_tip", "halfway shoulder tip", (-4.0, -17.0)),
    ("shoulder", "shoulder, notched", (2.0, 9.0)),
    ("highest_wrist", "wrist at lift 1, squared from the centre", (6.0, 5.0)),
    ("lowest_wrist", "wrist at lift 0, over the shoulder tip", (-10.0, -12.0)),
    ("overarm_wrist", "wrist at this lift, between the two", (7.0, 4.0)),
    ("underarm_wrist", "wrist of the underarm, squared", (4.0, -14.0)),
    ("side_point", "halfway side point on the bust line", (-14.0, 6.0)),
    ("corner", "underarm point on the eased side", (-15.0, 5.0)),
    ("curve_end", "end of the underarm curve", (4.0, -13.0)),
    ("curve_start", "start of the underarm curve", (-15.0, -4.0)),
    ("side_waist", "waist on the side seam", (13.0, 4.0)),
    ("side_hem", "hem on the side seam", (13.0, 4.0)),
)
"""Name of a plan point, what it is, and where its number stands from it, mm."""


def plan_drawing(made: Draft) -> Drawing:
    """Blocks, construction lines, contour, numbered points and their key, in named layers."""
    plan = made.plan
    # Whole, as they are before a join or a gusset parts them.
    back, front = contour_pieces(made.body, made.block, made.style, made.size)
    reach = max(plan.highest_wrist.x, plan.side_hem.x) + 20.0
    layers = [
        Layer("levels", _levels(made, reach)),
        Layer("blocks", (*_block(made.block.back, BACK), *_block(made.block.front, FRONT))),
        Layer("construction", _construction(made)),
        Layer("contour", (*_contour(back, BACK), *_contour(front, FRONT), *_parting(made))),
        Layer("points", _numbers(made)),
        Layer("key", _key(made)),
    ]
    shown = [layer for layer in layers if layer.name not in ("levels", "points")]
    box = box_of_boxes(_reach(mark) for layer in shown for mark in layer.marks)
    title = f"Plan {made.size}, lift {made.style.lift:g}".replace("  ", " ")
    return Drawing(grown(box, 22.0), tuple(layers), title)


def _reach(mark: Mark) -> Box:
    if isinstance(mark, Words):  # letters are counted as wide as 0.55 of their height
        end = mark.point + Point(0.55 * mark.size * len(mark.text), mark.size)
        return around((mark.point, end))
    return box_of(mark)


def _levels(made: Draft, reach: float) -> tuple[Mark, ...]:
    pen = Pen(0.35, GUIDE, (10.0, 3.0, 2.0, 3.0))
    marks: list[Mark] = []
    for y, text in ((0.0, "waist"), (made.plan.side_point.y, "bust line")):
        marks.append(Polyline((Point(0.0, y), Point(reach, y)), pen))
        # At the centre no wrist and no seam comes in its way.
        marks.append(Words(Point(4.0, y - 11.0), text, LETTER, colour=GUIDE))
    return tuple(marks)


def _block(half: HalfBlock, colour: str) -> tuple[Mark, ...]:
    pen = Pen(0.35, colour, (4.0, 2.5))
    chains = (
        (Point(0.0, 0.0), half.centre_neck),
        (half.neck_point, half.shoulder_tip),
        (half.underarm, half.side_waist, Point(0.0, 0.0)),
        (Point(0.0, half.underarm.y), half.underarm),
    )
    darts = ((dart.inner, dart.tip, dart.outer) for dart in half.darts)
    fine = Pen(0.25, colour, (1.5, 1.5))
    return (
        *(Polyline(chain, pen) for chain in chains),
        Curve((block_neckline(half),), pen),
        Curve(armhole(half), pen),
        *(Polyline(legs, fine) for legs in darts),
    )


def _construction(made: Draft) -> tuple[Mark, ...]:
    plan = made.plan
    guide, fine = Pen(0.45, GUIDE), Pen(0.35, GUIDE, (3.0, 3.0))
    chains = [
        ((Point(0.0, plan.neck_point.y), plan.highest_wrist), guide),
        ((plan.neck_point, plan.lowest_wrist), guide),
        ((plan.lowest_wrist, plan.highest_wrist), fine),
        ((plan.neck_point, plan.overarm_wrist), fine),
        ((plan.overarm_wrist, plan.squared_wrist), fine),
        ((plan.curve_start, plan.corner), fine),
        ((plan.corner, plan.curve_end), fine),
        ((plan.side_point, Point(plan.side_waist.x, plan.side_point.y), plan.side_waist), fine),
    ]
    return tuple(Polyline(points, pen) for points, pen in chains if len(set(points)) > 1)


def _contour(piece: Piece, colour: str) -> tuple[Mark, ...]:
    # Back and front share everything but the neckline.
    own = edge_named(piece, "neckline")
    shared = tuple(
        Curve(edge.segments, CONTOUR)
        for edge in piece.edges
        if edge.role not in ("neckline", "fold")
    )
    points = flattened_edge(own, 0.1)
    depth = points[-1].y
    words = Words(Point(4.0, depth - 12.0), piece.name, LETTER, colour=colour)
    foot = Point(0.0, min(point.y for point in flattened_edge(edge_named(piece, "hem"), 0.5)))
    fold = Curve((Line(points[-1], foot),), Pen(0.8))
    return (*shared, fold, Polyline(points, Pen(1.1, colour)), words)


def _parting(made: Draft) -> tuple[Mark, ...]:
    """Where a join parts the sleeve and a gusset is let in, on the back."""
    return tuple(
        Curve(edge.segments, Pen(0.7, INK, (7.0, 3.0)))
        for edge in made.pieces[0].edges
        if edge.name == "join" or edge.name.startswith("gusset")
    )


def _numbers(made: Draft) -> tuple[Mark, ...]:
    marks: list[Mark] = []
    placed: dict[Point, tuple[str, Point]] = {}
    for number, (name, _, (dx, dy)) in enumerate(POINTS, 1):
        point = getattr(made.plan, name)
        # Points that fall together, as those of a cap's underarm do, share one place.
        same = next((p for p in placed if distance(p, point) < 1.0), None)
        if same is not None:
            placed[same] = (f"{placed[same][0]}, {number}", placed[same][1])
        else:
            placed[point] = (str(number), point + Point(dx, dy))
        ring = tuple(point + Point(x, y) for x, y in ((2.2, 0), (0, 2.2), (-2.2, 0), (0, -2.2)))
        marks.append(Polyline(ring, None, INK, closed=True))
    for point, (text, at) in placed.items():
        shared = "," in text
        place = point + Point(6.0, -3.0) if shared else at
        marks.append(Words(place, text, LETTER, "start" if shared else "middle", bold=True))
    return tuple(marks)


def _key(made: Draft) -> tuple[Mark, ...]:
    plan = made.plan
    left = max(plan.curve_start.x + 70.0, plan.side_hem.x + 40.0)
    if plan.highest_wrist.x < left + 240.0:  # a short sleeve leaves no room under it
        left = max(plan.highest_wrist.x, plan.side_hem.x) + 50.0
    top = min(made.plan.curve_start.y, made.plan.underarm_wrist.y) - 60.0
    rows: list[Mark] = [
        Words(Point(left, top), f"lift {made.style.lift:g}", LETTER, bold=True),
        Words(Point(left + 60.0, top), "back", LETTER, colour=BACK, bold=True),
        Words(Point(left + 100.0, top), "front", LETTER, colour=FRONT, bold=True),
    ]
    for number, (_, what, _) in enumerate(POINTS, 1):
        y = top - 1.5 * LETTER * number
        rows.append(Words(Point(left + 12.0, y), str(number), LETTER, "end", bold=True))
        rows.append(Words(Point(left + 18.0, y), what, LETTER))
    return tuple(rows)
