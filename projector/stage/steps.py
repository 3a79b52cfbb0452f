"""Small steps as the worker sees them: to the next section, to the next piece, by a millimetre."""

from __future__ import annotations

import math

import shapely

from calibration.table_map import TableMap, lit_outline
from drafting.plane import Motion, Point
from projector.cloth.shapes import moved_shape
from projector.cloth.yardage import used_length
from projector.stage.commands import SlideCloth
from projector.stage.moves import middle_of
from projector.stage.outlines import outlines
from projector.stage.sections import crosses, lit_window, section_step
from projector.stage.session import Session

__all__ = ["following", "lies_now", "nudge", "slide"]


def slide(session: Session, table_map: TableMap, forward: bool) -> SlideCloth:
    """To the next section, or back; the crosses of the overlap are those to be taken up.

    Beyond the last piece, and before the cut end, it is told that nothing lies there.
    """
    cloth = session.layout.cloth
    marks = crosses(table_map, cloth, session.table_from_cloth, forward)
    step = section_step(table_map) if forward else -section_step(table_map)
    low_x, low_y, high_x, _ = lit_window(table_map)
    back = session.table_from_cloth.inverse
    near, far = (back(Point(x, low_y)).x + step for x in (low_x, high_x))
    empty = near >= used_length(session.layout) if forward else far <= 0.0
    said = (
        "No piece lies here; Page Up goes back"
        if forward
        else "No cloth lies here; Page Down goes on"
    )
    return SlideCloth(step, marks, said if empty and session.layout.placements else "")


def following(session: Session, table_map: TableMap, back: bool = False) -> int | None:
    """The index of the next piece that is not cut yet, along the cloth, of those in the light.

    Of all where none of those is left; the next of the lay when all are cut; None without any.
    """
    layout, count = session.layout, len(session.layout.placements)
    if not count:
        return None
    # From the cut end on; pieces one above the other from the near edge.
    middles = [middle_of(layout, placement) for placement in layout.placements]
    order = sorted(range(count), key=lambda n: (round(middles[n].x), middles[n].y))
    if back:
        order.reverse()
    if session.selection in order:
        start = order.index(session.selection) + 1
        order = order[start:] + order[:start]
    lit = shapely.Polygon(lit_outline(table_map))
    left = [n for n in order if not layout.placements[n].cut]
    seen = [n for n in left if lit.intersects(_on_table(session, n))]
    return (seen or left or order)[0]


def _on_table(session: Session, index: int) -> shapely.Polygon:
    placement = session.layout.placements[index]
    shape = outlines(session.layout)[placement.piece].shape
    return moved_shape(shape, session.table_from_cloth @ placement.cloth_from_piece)


def nudge(session: Session, right: float, away: float) -> tuple[float, float]:
    """A step to the worker's right and away from her, mm, as a step in the cloth frame."""
    on_table = Motion(session.text_turn * math.pi / 2).direction(Point(right, away))
    step = session.table_from_cloth.inverse.direction(on_table)
    return step.x, step.y


def lies_now(first: Motion, now: Motion) -> Motion:
    """Where the cloth lies now against where it lay at `first`; both are table from cloth.

    Rounded to a thousandth of a mm and a millionth of a degree, less than can be seen, so that
    a cloth that lies as before is told to lie so exactly.
    """
    lies = first.inverse @ now
    angle = math.radians(round(math.degrees(math.remainder(lies.angle, 2 * math.pi)), 6))
    return Motion(angle, round(lies.dx, 3), round(lies.dy, 3))
