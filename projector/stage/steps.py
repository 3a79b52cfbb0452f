"""Small steps as the worker sees them: to the next section, to the next piece, by a millimetre."""

from __future__ import annotations

import math

from calibration.table_map import TableMap
from drafting.plane import Motion, Point
from projector.stage.commands import SlideCloth
from projector.stage.sections import crosses, section_step
from projector.stage.session import Session

__all__ = ["following", "lies_now", "nudge", "slide"]


def slide(session: Session, table_map: TableMap, forward: bool) -> SlideCloth:
    """To the next section, or back; the crosses of the overlap are those to be taken up."""
    cloth = session.layout.cloth
    marks = crosses(table_map, cloth, session.table_from_cloth, forward)
    step = section_step(table_map)
    return SlideCloth(step if forward else -step, marks)


def following(session: Session, back: bool = False) -> int | None:
    """The index of the next piece that is not cut yet, in the order of the lay; the next of all
    when all are cut, None without any."""
    placements = session.layout.placements
    if not placements:
        return None
    count = len(placements)
    step = -1 if back else 1
    start = session.selection if session.selection is not None else (0 if back else -1)
    order = [(start + step * n) % count for n in range(1, count + 1)]
    return next((index for index in order if not placements[index].cut), order[0])


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
